"""Plan to the files of the work alone: chart and day sheets, tables and calendars."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from hillwright.errors import HillwrightError
from hillwright.sheets.crew import crew_sheets, days_csv, tasks_csv
from hillwright.sheets.ics import crew_ics, person_ics
from hillwright.sheets.pdf import print_rooms

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
        "work.pdf": print_rooms(plan, crew_sheets(plan)),
        "tasks.csv": tasks_csv(plan).encode(),
        "days.csv": days_csv(plan).encode(),
        **calendars(plan),
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".work-", dir=folder) as aside:
            for name, content in files.items():
                (Path(aside) / name).write_bytes(content)
            for name in files:
                os.replace(Path(aside) / name, folder / name)
    except OSError as error:
        raise HillwrightError(
            str(folder),
            f"the files cannot be written here ({error.strerror or error})",
            "name a folder that you may write to, and close its files in other programs",
        ) from error
    return tuple(folder / name for name in files)
