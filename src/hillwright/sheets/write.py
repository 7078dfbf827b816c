"""Plan to files: the sheets as PDF, DXF, GeoPackage and tables."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from hillwright.errors import HillwrightError
from hillwright.irrigation.model import Valve
from hillwright.irrigation.solve import WATER_20C
from hillwright.sheets import rows, words
from hillwright.sheets.crew import days_csv, tasks_csv
from hillwright.sheets.drawing import Drawing
from hillwright.sheets.drip import punching_csv
from hillwright.sheets.dxf import write_dxf
from hillwright.sheets.gpkg import write_gpkg
from hillwright.sheets.inp import inp
from hillwright.sheets.marks import Words
from hillwright.sheets.pdf import pages, print_pages
from hillwright.sheets.plan_sheet import PlanSheet, fill, plan_sheet
from hillwright.sheets.planting import planting_csv, plants_csv
from hillwright.sheets.rainrows import rain_csv
from hillwright.sheets.schedule import calendars
from hillwright.sheets.soil import soil_csv
from hillwright.sheets.view import View, survey_xy
from hillwright.sheets.watercalendar import watering_ics
from hillwright.sheets.watertables import program_csv, water_csv

if TYPE_CHECKING:
    from hillwright.plan import Plan

Progress = Callable[[str, float], None]  # what is being done, and the share done so far


STOP = "STOP.txt"  # stands in the folder while the plan says stop


def write_sheets(plan: Plan, folder: Path, progress: Progress | None = None) -> tuple[Path, ...]:
    """Write every sheet of a plan; the same plan gives the same bytes.

    Files are made aside and moved into place only when all of them stand, so that a folder never
    holds half a set.

    Parameters
    ----------
    plan : Plan
        What to draw.
    folder : Path
        Where the files go; made if it is not there.
    progress : callable, optional
        Told the name of each file as it is started, and the share done.

    Returns
    -------
    tuple of Path
        The files written, the one to read first at the front.

    Raises
    ------
    JobError
        The scale asked for does not fit the paper.
    HillwrightError
        The folder cannot be written.
    """
    sheet = plan_sheet(plan)
    makers: dict[str, Callable[[Plan, Path], None]] = {
        "set-out.pdf": lambda p, path: _pdf(p, sheet, path),
        "stakes.csv": _text(rows.stakes_csv),
        "rows.csv": _text(rows.rows_csv),
        "cells.csv": _text(rows.cells_csv),
        "bars.csv": _text(rows.bars_csv),
        "takeoff.csv": _text(rows.takeoff_csv),
        "rain.csv": _text(rain_csv),
        "soil.csv": _text(soil_csv),
        "tasks.csv": _text(tasks_csv),
        "days.csv": _text(days_csv),
        **{name: _as_it_is(content) for name, content in calendars(plan).items()},
        "planting.csv": _text(planting_csv),
        "plants.csv": _text(plants_csv),
        "water.csv": _text(water_csv),
        "watering.csv": _text(program_csv),
        "watering.ics": _text(watering_ics),
        "set-out.dxf": lambda p, path: _dxf(p, sheet, path),
        "set-out.gpkg": write_gpkg,
    }
    if plan.irrigation.valves:
        makers["punching.csv"] = _text(punching_csv)
    for valve in plan.irrigation.valves:
        # an open format: anybody can run the network again
        makers[f"valve-{valve.number}.inp"] = _inp(valve)
    if words.stops(plan):
        makers[STOP] = _text(words.stop_text)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if STOP not in makers:
            (folder / STOP).unlink(missing_ok=True)  # of a plan that was not cleared yet
        with tempfile.TemporaryDirectory(prefix=".sheets-", dir=folder) as aside:
            for k, (name, make) in enumerate(makers.items()):
                if progress:
                    progress(name, k / len(makers))
                make(plan, Path(aside) / name)
            for name in makers:
                os.replace(Path(aside) / name, folder / name)
    except OSError as error:
        raise HillwrightError(
            str(folder),
            f"the sheets cannot be written here ({error.strerror or error})",
            "name a folder that you may write to, and close its files in other programs",
        ) from error
    if progress:
        progress("done", 1.0)
    return tuple(folder / name for name in makers)


def preview(plan: Plan, folder: Path, ppi: int = 110) -> tuple[Path, ...]:
    """Write each page of the PDF as a picture, page-1.png and on, to look at."""
    folder.mkdir(parents=True, exist_ok=True)
    found = []
    for k, page in enumerate(print_pages(pages(plan, plan_sheet(plan)), "png", ppi), 1):
        path = folder / f"page-{k}.png"
        path.write_bytes(page)
        found.append(path)
    return tuple(found)


def _as_it_is(content: bytes) -> Callable[[Plan, Path], None]:
    def write(plan: Plan, path: Path) -> None:
        path.write_bytes(content)

    return write


def _pdf(plan: Plan, sheet: PlanSheet, path: Path) -> None:
    path.write_bytes(print_pages(pages(plan, sheet), "pdf")[0])


def _dxf(plan: Plan, sheet: PlanSheet, path: Path) -> None:
    frame = plan.site.frame
    view = View.survey(frame, sheet.scale)
    drawing = Drawing(view, frame, plan.opened.job.units, sheet.scale)
    fill(drawing, plan)
    if words.stops(plan):
        low = drawing.view.place(plan.surface.outline).min(axis=0) - drawing.mm(12)
        at = (float(low[0]), float(low[1]))
        drawing.marks.append(Words("frame", at, words.STOPPED, drawing.mm(5), 0.0, "left", True))
    write_dxf(drawing.in_order(), frame, path)


def _inp(valve: Valve) -> Callable[[Plan, Path], None]:
    def write(plan: Plan, path: Path) -> None:
        xy = survey_xy(plan.site.frame, valve.at)
        title = f"{plan.opened.job.site.name}: valve {valve.number}, low supply"
        places = tuple((float(x), float(y)) for x, y in xy)
        text = inp(valve.network, valve.low, title, WATER_20C, places=places)
        path.write_text(text, encoding="utf-8", newline="")

    return write


def _text(make: Callable[[Plan], str]) -> Callable[[Plan, Path], None]:
    def write(plan: Plan, path: Path) -> None:
        path.write_text(make(plan), encoding="utf-8", newline="")

    return write
