"""The commands: each parses, calls one function and shows the answer.

Anything heavy is imported inside the command that needs it, so that ``hillwright --help`` is
there at once. Exit codes: 0 done, 1 a published check failed, 2 something to put right (told as
where, what, and what would be right), 70 a fault of the program, 130 interrupted.
"""

from __future__ import annotations

import datetime
import gc
import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hillwright.errors import HillwrightError, did_you_mean

if TYPE_CHECKING:
    from hillwright.job.model import OpenJob
    from hillwright.plan import Plan

app = typer.Typer(
    name="hillwright",
    help="From a survey of a bare hillside to a terrace garden that can be built.",
    epilog="With --json, what went wrong is printed on standard output too, as "
    '{"problems": [{"where", "what", "right"}]}. '
    "Exit code: 0 done, 1 a published check failed, 2 something to put right, "
    "70 a fault of the program.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    no_args_is_help=False,
)


class Units(StrEnum):
    """Units that a job is written in."""

    us = "us"
    metric = "metric"


JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="The job file, or its folder.")]
Json = Annotated[bool, typer.Option("--json", help="Print JSON.")]


class CommandError(HillwrightError):
    """A command was asked for something that is not there."""


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


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to write it in.")],
    units: Annotated[Units, typer.Option(help="Units that the job is written in.")] = Units.us,
    json: Json = False,
) -> None:
    """Write a job to start from: commented, and it works as it stands."""
    from hillwright.console import print_files, print_json
    from hillwright.job.new import write_job

    files = write_job(folder, units.value)
    if json:
        print_json({"files": files})
    else:
        print_files(files)


@app.command()
def plan(job: JobFile, json: Json = False) -> None:
    """Work a job out and answer the ten questions."""
    from hillwright.console import plan_data, print_json, print_plan

    found = _worked_out(job)
    if json:
        print_json(plan_data(found))
    else:
        print_plan(found)


@app.command()
def why(
    job: JobFile,
    figure: Annotated[
        str, typer.Argument(metavar="[FIGURE]", help="Name of a figure; left out, all are listed.")
    ] = "",
    json: Json = False,
) -> None:
    """Show how a figure came about: equation, numbers, result, source."""
    from hillwright import console

    found = _worked_out(job)
    if not figure:
        if json:
            console.print_json({"figures": console.plan_data(found)["figures"]})
        else:
            console.print_figures(found)
        return
    if figure not in found.workings:
        right = did_you_mean(figure, found.workings, f"`hillwright why {job}` lists them")
        raise CommandError(figure, "is not a figure of this job", right)
    if json:
        console.print_json(console.working_data(found, figure))
    else:
        console.print_working(found, figure)


@app.command()
def sheets(
    job: JobFile,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help='Folder for them; else "JOB sheets" beside the job.'),
    ] = None,
    prove: Annotated[
        bool, typer.Option("--prove", help="Prove the shortest order of work first, some seconds.")
    ] = False,
    json: Json = False,
) -> None:
    """Write the set of papers and files, a folder for each reader."""
    from hillwright.console import print_files, print_json, progress
    from hillwright.job.read import open_job
    from hillwright.sheets.helpers import standing_by

    opened = open_job(job)
    # they read their libraries while the plan is worked out
    with standing_by() as helpers:
        found = _work_out(opened)
        if prove:
            from hillwright.plan import prove_schedule

            with progress("looking for the shortest order of work"):
                found = prove_schedule(found, today=datetime.date.today())
        from hillwright.sheets.write import write_sheets

        path = opened.path
        folder = out if out is not None else path.parent / f"{path.stem} sheets"
        with progress("writing the sheets") as tell:
            files = write_sheets(found, folder, tell, helpers)
    if json:
        print_json({"files": files})
    else:
        print_files(files)


@app.command()
def schedule(
    job: JobFile,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", help='Folder for them; else "JOB work" beside the job.'),
    ] = None,
    effort: Annotated[
        float,
        typer.Option(
            min=0.1,
            max=600,
            help="Work that the solver may put in, about seconds of a fast core; the same job "
            "gives the same schedule.",
        ),
    ] = 4.0,
    json: Json = False,
) -> None:
    """Prove the shortest order of work; write its chart, day sheets and calendars."""
    from hillwright.console import plan_data, print_answer, print_files, print_json, progress
    from hillwright.plan import prove_schedule
    from hillwright.sheets.schedule import write_schedule

    found = _worked_out(job)
    path = found.opened.path
    with progress("looking for the shortest order of work") as tell:
        found = prove_schedule(found, effort, datetime.date.today())
        if tell:
            tell("writing", 0.9)
        files = write_schedule(found, out or path.parent / f"{path.stem} work")
    if json:
        answer = plan_data(found)["answers"][7]
        print_json({"answer": answer, "files": files})
    else:
        print_answer(found.answers[7])
        print_files(files)


@app.command()
def planting(
    job: JobFile,
    effort: Annotated[
        int,
        typer.Option(
            min=1, max=100, help="How long to look for better paths and bounds; 1 is the usual."
        ),
    ] = 1,
    json: Json = False,
) -> None:
    """Make the planting better, prove how good it is, and keep it beside the job."""
    from hillwright.console import plan_data, print_files, print_json, print_plan, progress
    from hillwright.job.plantsite import kept_path, write_kept
    from hillwright.job.read import open_job
    from hillwright.plan import improve_planting, work_out

    opened = open_job(job)
    with progress("looking for a better planting") as tell:
        kept = improve_planting(opened, effort, tell)
        path = kept_path(opened.path)
        write_kept(path, kept)
        found = work_out(opened)
    if json:
        print_json({"files": [path], **plan_data(found)})
    else:
        print_plan(found)
        print_files([path])


@app.command()
def plants(
    word: Annotated[
        str, typer.Argument(metavar="[WORD]", help="A plant, a kind or a use; left out, all.")
    ] = "",
    json: Json = False,
) -> None:
    """List the plants that a job can name: size, sun, water, months, source."""
    from hillwright.console import print_json
    from hillwright.plantlist import as_data, as_text, pick

    found = pick(word)
    if json:
        print_json({"plants": [as_data(p) for p in found]})
    else:
        print("\n".join(as_text(p, full=len(found) == 1) for p in found))


@app.command()
def compare(
    jobs: Annotated[
        list[Path], typer.Argument(metavar="JOB...", help="Job files, or their folders.")
    ],
    vary: Annotated[
        list[str] | None,
        typer.Option(
            metavar='"KEY = A | B"',
            help="Values to try for a key of the job, in place of its own [[choice]]; may be "
            "given again, and every combination is tried.",
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE", help="Write the table as CSV too.")
    ] = None,
    json: Json = False,
) -> None:
    """Show alternatives side by side, and which of them no other beats."""
    from hillwright import compare as side
    from hillwright.console import print_files, print_json, progress
    from hillwright.job.alternatives import choices_of, combined
    from hillwright.job.read import open_job
    from hillwright.sheets.aside import write_new

    opened = [open_job(path) for path in jobs]
    tried: list[Any] = []
    for one in opened:
        choices = choices_of(one, vary or ()) if vary or len(opened) == 1 else ()
        name = str(one.path.parent.name) if one.path.name == "job.toml" else one.path.stem
        for label, job in combined(one, choices) if choices else [("", one)]:
            tried.append((f"{name}, {label}" if len(opened) > 1 and label else label or name, job))
    if len(tried) < 2:
        right = 'name another job, add [[choice]] to it, or give --vary "cell.depth = 6 in | 8 in"'
        raise CommandError(str(jobs[0]), "there is nothing to compare it with", right)
    with progress("working the alternatives out") as tell:
        found = side.compare(tried, datetime.date.today(), tell)
    system = opened[0].job.units
    if out is not None:
        write_new(out, side.as_csv(found, system))
    if json:
        print_json({"alternatives": found, "traded": side.traded(found)})
    else:
        print(side.as_text(found, system))
        if out is not None:
            print_files([out])


@app.command()
def prices(
    job: JobFile,
    out: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help='File to write; else "prices.csv" beside the job.'),
    ] = None,
    json: Json = False,
) -> None:
    """Write a price book to fill in: every item that the plan needs, known prices kept."""
    from hillwright.console import print_files, print_json
    from hillwright.job.prices import read_prices
    from hillwright.sheets.aside import write_new
    from hillwright.sheets.pricebook import price_book

    found = _worked_out(job)
    path = out if out is not None else found.opened.path.parent / "prices.csv"
    write_new(path, price_book(found, read_prices(found.opened)))
    if json:
        print_json({"files": [path]})
    else:
        print_files([path])


@app.command()
def verify(
    cases: Annotated[
        list[Path] | None,
        typer.Option(
            "--cases",
            metavar="FILE",
            help="Run the checks of this file only, not those that ship with the program; "
            "may be given again.",
        ),
    ] = None,
    form: Annotated[
        bool, typer.Option("--form", help="Print a check to copy, which says what each line is.")
    ] = False,
    json: Json = False,
) -> None:
    """Run published checks: expected, got, difference. Exit code 1 if any fails."""
    from hillwright.checking import read, report, run
    from hillwright.console import print_json, print_problems, progress
    from hillwright.errors import CheckError

    if form:
        print(read.FORM, end="")
        return
    # one slip of the pen in a person's file does not keep the rest of it from running
    checks, unread = read.checks_in(*cases) if cases else (read.shipped_checks(), ())
    with progress("checking") as tell:
        results = run.run_all(checks, tell)
    if json:
        print_json(report.as_data(results, unread))
    else:
        print(report.as_text(results, unread))
        if unread:
            print_problems(CheckError.all(unread))
    if unread or not all(r.passed for r in results):
        raise typer.Exit(1)


@app.command()
def methods(
    method: Annotated[
        str, typer.Argument(metavar="[METHOD]", help="Id of one, to see it in full.")
    ] = "",
    markdown: Annotated[
        bool, typer.Option("--markdown", help="Print the page docs/methods.md.")
    ] = False,
    json: Json = False,
) -> None:
    """List the published methods: equation, units, range, source."""
    from hillwright import methodlist
    from hillwright.console import print_json
    from hillwright.method import all_methods

    known = all_methods()
    wanted = [methodlist.pick(known, method)] if method else list(known.values())
    if json:
        listed: list[dict[str, Any]] = [methodlist.as_data(m) for m in wanted]
        print_json(listed[0] if method else {"methods": listed})
    elif markdown:
        print(methodlist.as_markdown(wanted), end="")
    else:
        print("\n\n".join(methodlist.as_text(m, full=bool(method)) for m in wanted))


@app.command()
def schema(json: Json = False) -> None:
    """Print the JSON Schema of plan.json: every key, its unit, its axes."""
    from hillwright.document.make import schema_text

    print(schema_text(), end="")  # it is JSON either way


@app.command()
def serve(
    job: Annotated[
        Path | None, typer.Argument(metavar="[JOB]", help="A job to open; left out, the list.")
    ] = None,
    store: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="File that jobs are kept in; else the user's own."),
    ] = None,
    host: Annotated[
        str, typer.Option(help="Address to listen on; any but this machine's own lets others in.")
    ] = "127.0.0.1",
    port: Annotated[
        int | None, typer.Option(min=0, max=65535, help="Port; else the first free one.")
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open the browser.")] = True,
    longest: Annotated[
        float, typer.Option(min=1, max=36000, help="Seconds that a plan may take.")
    ] = 300.0,
    memory: Annotated[
        float, typer.Option(min=1, max=1000, help="Gigabytes that a plan may take.")
    ] = 6.0,
    certificate: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="PEM file; with --key, what is sent is encrypted."),
    ] = None,
    key: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Key of the certificate.")
    ] = None,
) -> None:
    """Open the page: see the hill, change anything, watch everything follow."""
    from hillwright.web import serve as web
    from hillwright.web.planner import Limits

    limits = Limits(longest=longest, memory=int(memory * 1e9))
    if (certificate is None) != (key is None):
        missing = "--key" if key is None else "--certificate"
        raise CommandError(missing, "is missing", "give --certificate and --key together")
    sealed = (certificate, key) if certificate and key else None
    web.serve(job, store or web.default_store(), host, port, browser, limits, sealed)


def _worked_out(job: Path) -> Plan:
    from hillwright.job.read import open_job

    return _work_out(open_job(job))


def _work_out(opened: OpenJob) -> Plan:
    from hillwright.console import progress
    from hillwright.plan import work_out

    with progress("working it out") as tell:
        return work_out(opened, progress=tell, today=datetime.date.today())


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
