"""What the commands share: the application, how a job is named, and a job worked out."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hillwright.errors import HillwrightError

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

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="The job file, or its folder.")]
Json = Annotated[bool, typer.Option("--json", help="Print JSON.")]


class CommandError(HillwrightError):
    """A command was asked for something that is not there."""


def worked_out(job: Path) -> Plan:
    """Read a job and work it out."""
    from hillwright.job.read import open_job

    return work_it_out(open_job(job))


def work_it_out(opened: OpenJob) -> Plan:
    """Work an open job out, and show how far it is."""
    from hillwright.console import progress
    from hillwright.plan import work_out

    with progress("working it out") as tell:
        return work_out(opened, progress=tell, today=datetime.date.today())
