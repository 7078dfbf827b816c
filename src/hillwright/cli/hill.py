"""Commands that work a hill out: its answers, why they are so, alternatives, a better planting."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from hillwright.cli.common import CommandError, JobFile, Json, app, worked_out
from hillwright.errors import did_you_mean


@app.command()
def plan(job: JobFile, json: Json = False) -> None:
    """Work a job out and answer the ten questions."""
    from hillwright.console import plan_data, print_json, print_plan

    found = worked_out(job)
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

    found = worked_out(job)
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
