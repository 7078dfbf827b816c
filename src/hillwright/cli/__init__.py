"""The commands: each parses, calls one function and shows the answer.

Anything heavy is imported inside the command that needs it, so that ``hillwright --help`` is
there at once. Exit codes: 0 done, 1 a published check failed, 2 something to put right (told as
where, what, and what would be right), 70 a fault of the program, 130 interrupted.
"""

from __future__ import annotations

import gc
import os
import sys
from typing import Annotated

import typer

# the order of the commands in the help is that of these
from hillwright.cli import begin, hill, papers, reference  # noqa: F401
from hillwright.cli.common import CommandError, app
from hillwright.errors import HillwrightError


def _version(wanted: bool) -> None:
    if wanted:
        from hillwright import __version__

        print(f"hillwright {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def _start(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        print(context.get_help())


def main(arguments: list[str] | None = None) -> int:
    """Run one command and give its exit code; no traceback reaches the person who ran it."""
    given = sys.argv[1:] if arguments is None else arguments
    # our matrices are small: on busy cores a second thread makes them ten times slower, not faster
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(200_000, 20, 100)  # a command lives too short for its memory to be combed
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a console that has no sign for a letter shows "?"
            stream.reconfigure(errors="replace")
    try:
        code = app(given, prog_name="hillwright", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else 0
    except HillwrightError as error:
        return _tell(error, "--json" in given)
    except (KeyboardInterrupt, typer.Abort):
        return 130
    except BrokenPipeError:  # the reader of a pipe, such as `head`, has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except Exception as error:
        if hasattr(error, "format_message"):  # typer's own: the command line is not right
            context = getattr(error, "ctx", None)
            command = context.command_path if context else "hillwright"
            right = f"`{command} --help` says how it is used"
            wrong = CommandError(command, error.format_message().strip().rstrip("."), right)
            return _tell(wrong, "--json" in given)
        return _own_fault(error)


def _tell(error: HillwrightError, as_json: bool) -> int:
    from hillwright.console import print_json, print_problems, problems_data

    if as_json:
        print_json(problems_data(error))
    else:
        print_problems(error)
    return 2


def _own_fault(error: Exception) -> int:
    from hillwright import __version__

    if os.environ.get("HILLWRIGHT_DEBUG"):
        import traceback

        traceback.print_exception(error)
    kind = type(error).__name__
    print(
        f"hillwright {__version__}: a fault of the program, not of your job ({kind}: {error}).\n"
        "Please report it: what you ran, this message, and the job and survey files if you may\n"
        "share them. Set HILLWRIGHT_DEBUG=1 and run it again to see where it happened.",
        file=sys.stderr,
    )
    return 70
