"""Commands that show what the program knows: plants, published methods and checks, the schema."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from hillwright.cli.common import Json, app


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
