"""Commands that write files from a plan: the set, the order of work, the price book."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from hillwright.cli.common import JobFile, Json, app, work_it_out, worked_out


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
        found = work_it_out(opened)
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

    found = worked_out(job)
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

    found = worked_out(job)
    path = out if out is not None else found.opened.path.parent / "prices.csv"
    write_new(path, price_book(found, read_prices(found.opened)))
    if json:
        print_json({"files": [path]})
    else:
        print_files([path])
