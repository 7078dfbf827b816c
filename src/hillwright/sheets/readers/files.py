"""What other programs read: tables, drawings, maps, calendars, networks."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from hillwright.document.make import plan_json
from hillwright.irrigation.model import Valve
from hillwright.irrigation.solve import WATER_20C
from hillwright.sheets import rows, words
from hillwright.sheets.builtform import built_csv
from hillwright.sheets.crew import days_csv, tasks_csv
from hillwright.sheets.documents import Document, ready, text
from hillwright.sheets.drawing import Drawing
from hillwright.sheets.drip import punching_csv
from hillwright.sheets.dripplan import cell_width, draw_network
from hillwright.sheets.dxf import write_dxf
from hillwright.sheets.gpkg import write_gpkg
from hillwright.sheets.inp import inp
from hillwright.sheets.marks import Words
from hillwright.sheets.model3d.write import glb
from hillwright.sheets.plan_sheet import fill, plan_scale
from hillwright.sheets.plantcsv import planting_csv, plants_csv
from hillwright.sheets.plantlayers import draw_planting
from hillwright.sheets.price import price_csv
from hillwright.sheets.rainrows import rain_csv
from hillwright.sheets.schedule import calendars
from hillwright.sheets.soil import soil_csv
from hillwright.sheets.upkeep import upkeep_csv, upkeep_ics
from hillwright.sheets.view import View, survey_xy
from hillwright.sheets.watercalendar import watering_ics
from hillwright.sheets.watertables import program_csv, water_csv
from hillwright.sheets.workbook.write import workbook

if TYPE_CHECKING:
    from hillwright.plan import Plan

# name, title, use, maker
TABLES = (
    ("stakes.csv", "Stakes", "For a total station", rows.stakes_csv),
    ("bars.csv", "Bars", "Anchors and stakes that hold cells, for a total station", rows.bars_csv),
    ("rows.csv", "Row schedule", "Tapes, stations and offsets, with errors", rows.rows_csv),
    ("cells.csv", "Cells", "Corners, fit and slopes of every cell", rows.cells_csv),
    ("rain.csv", "Storm by row", "What each row holds, spills and lets go", rain_csv),
    ("soil.csv", "Soil by cell", "Mix, depth, amount and weight", soil_csv),
    ("tasks.csv", "Tasks", "Who each takes and what it waits for", tasks_csv),
    ("days.csv", "Days", "What each person does, spell by spell", days_csv),
    ("planting.csv", "Planting by cell", "Use, plant, water, mix, hours of sun", planting_csv),
    ("plants.csv", "Plant list", "How many, sizes, when to plant, sources", plants_csv),
    ("water.csv", "Water by cell", "Demand by month, peak for the pipes", water_csv),
    ("watering.csv", "Watering program", "By valve and month", program_csv),
    ("upkeep.csv", "Upkeep", "What to do in each month of the years after", upkeep_csv),
    ("as-built.csv", "Form of what was built", "To fill in and put beside the job", built_csv),
    ("price.csv", "Price", "The ladder, and the cost by part, row and week", price_csv),
)


# the same, made from the whole plan as bytes
WHOLE = (
    ("workbook.xlsx", "Workbook", "Order, price, soil, hours, water with live formulas", workbook),
    ("model.glb", "3D model", "Ground, cells, soil, plants grown up, bars, pipes (glTF 2.0)", glb),
    ("plan.json", "The whole plan", "Every figure and cell in SI units, for programs", plan_json),
)


def whole(name: str, title: str, use: str, make: Callable[[Plan], bytes]) -> Document:
    """Give a file that is made from the whole plan."""

    def write(plan: Plan, path: Path, number: str) -> None:
        path.write_bytes(make(plan))

    return Document("files", name, title, use, write)


def files(plan: Plan) -> tuple[Document, ...]:
    """Give the files for other programs: tables first, then drawings, maps and networks."""
    # without a network there is no valve that a program could open
    runs = not plan.irrigation.refused
    found = [text("files", *row) for row in TABLES if runs or row[0] != "watering.csv"]
    if plan.irrigation.valves:
        found.append(
            text("files", "punching.csv", "Punching list", "Every hole and tube", punching_csv)
        )
    found += [
        ready("files", name, "Work calendar", "The work, of all or of one person", content)
        for name, content in calendars(plan).items()
    ]
    if runs:
        found.append(
            text(
                "files",
                "watering.ics",
                "Watering calendar",
                "Openings of the valves in a year",
                watering_ics,
            )
        )
    found += [
        text("files", "upkeep.ics", "Upkeep calendar", "Chores of the years after", upkeep_ics),
        Document("files", "set-out.dxf", "Drawing", "The plan for CAD, by layers", _dxf),
        Document(
            "files",
            "set-out.gpkg",
            "Map",
            "Cells, rows, stakes, drip lines, contours for GIS",
            lambda plan, path, number: write_gpkg(plan, path),
        ),
    ]
    found += [whole(*row) for row in WHOLE]
    # an open format: anybody can run the network again
    found += [
        text(
            "files",
            f"valve-{valve.number}.inp",
            f"Network of valve {valve.number}",
            "The pipes as an EPANET input file",
            _inp(valve),
        )
        for valve in plan.irrigation.valves
    ]
    return tuple(found)


def _dxf(plan: Plan, path: Path, number: str) -> None:
    frame, scale = plan.site.frame, plan_scale(plan)
    view = View.survey(frame, scale)
    drawing = Drawing(view, frame, plan.opened.job.units, scale)
    fill(drawing, plan)
    draw_planting(drawing, plan)
    if plan.irrigation.valves:
        draw_network(drawing, plan.irrigation, cell_width(plan, drawing), together=True)
    if words.stops(plan):
        low = drawing.view.place(plan.surface.outline).min(axis=0) - drawing.mm(12)
        at = (float(low[0]), float(low[1]))
        drawing.marks.append(Words("frame", at, words.STOPPED, drawing.mm(5), 0.0, "left", True))
    write_dxf(drawing.in_order(), frame, path, view.mm)


def _inp(valve: Valve) -> Callable[[Plan], str]:
    def make(plan: Plan) -> str:
        xy = survey_xy(plan.site.frame, valve.at)
        title = f"{plan.opened.job.site.name}: valve {valve.number}, low supply"
        places = tuple((float(x), float(y)) for x, y in xy)
        return inp(valve.network, valve.low, title, WATER_20C, places=places)

    return make
