"""Plan to the files of the work alone: chart and day sheets, tables and calendars."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from hillwright.sheets.crew import crew_sheets, day_sheets, days_csv, tasks_csv
from hillwright.sheets.ics import crew_ics, person_ics
from hillwright.sheets.pdf import print_document
from hillwright.sheets.setfolder import put

if TYPE_CHECKING:
    from hillwright.plan import Plan


def calendars(plan: Plan) -> dict[str, bytes]:
    """Give the calendar files by name: the crew's and each person's; none without dates."""
    work, site = plan.work, plan.opened.job.site.name
    if not work.calendar.dated or not work.makespan:
        return {}
    found = {"crew.ics": crew_ics(work, site)}
    for i, person in enumerate(work.crew.people):
        plain = re.sub(r"[^\w-]+", "-", person.name.strip()).strip("-").lower() or str(i + 1)
        name = f"crew-{plain}.ics"
        # two names may look the same without their signs
        name = f"crew-{plain}-{i + 1}.ics" if name in found else name
        found[name] = person_ics(work, site, i)
    return found


def write_schedule(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Write chart, tasks and day sheets as PDF and tables, and the calendars.

    Raises
    ------
    HillwrightError
        The folder cannot be written.
    """
    files = {
        "work.pdf": print_document(plan, "Work plan", (*crew_sheets(plan), *day_sheets(plan))),
        "tasks.csv": tasks_csv(plan).encode(),
        "days.csv": days_csv(plan).encode(),
        **calendars(plan),
    }
    about = {"site": plan.opened.job.site.name}
    return put(folder, {name: _ready(content) for name, content in files.items()}, about)


def _ready(content: bytes) -> Callable[[Path], None]:
    def write(path: Path) -> None:
        path.write_bytes(content)

    return write
