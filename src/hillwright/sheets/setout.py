"""The pages of the set-out: the plan, the section, the row schedule, what to order and smooth."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hillwright.job.model import Job
from hillwright.sheets import figures, tables, words
from hillwright.sheets.blocks import RoomSheet, Table
from hillwright.sheets.furniture import compass_marks, sample, scale_bar
from hillwright.sheets.marks import LAYERS
from hillwright.sheets.pages import BAR, Page, compass_height
from hillwright.sheets.plan_sheet import PlanSheet, plan_sheet
from hillwright.sheets.scale import Paper, paper_of, scale_text
from hillwright.sheets.section import section_sheet
from hillwright.sheets.svg import svg

if TYPE_CHECKING:
    from hillwright.plan import Plan


def setout_sheets(plan: Plan) -> tuple[Page, ...]:
    """Give the pages that the rows are set out from."""
    page = plan_sheet(plan)
    facts = tuple(words.plan_facts(plan))
    return (
        plan_page(plan, page, notes=facts),
        section_page(plan),
        schedule_page(plan, page),
    )


def plan_page(
    plan: Plan,
    page: PlanSheet,
    title: str = "Set-out plan",
    alt: str = "Set-out plan: cells in rows inside the outline, with pegs and base line",
    notes: tuple[str, ...] = (),
) -> Page:
    """Give the page of a plan with its column of legend, and of notes where there is room."""
    paper, job = page.paper, plan.opened.job
    compass = compass_height(paper)
    files = {
        "plan.svg": svg(page.drawing.in_order(), *paper.drawing).encode(),
        "compass.svg": svg(
            compass_marks(page.north, page.downhill, page.north_known, paper.column, compass),
            paper.column,
            compass,
        ).encode(),
        "scale-bar.svg": svg(
            scale_bar(page.scale, job.units, paper.column, BAR), paper.column, BAR
        ).encode(),
    }
    legend = []
    for layer in LAYERS:
        if layer in page.drawing.notes and (marks := sample(layer)):
            name = f"legend-{layer}.svg"
            files[name] = svg(marks, 11, 5).encode()
            legend.append({"file": name, "text": page.drawing.notes[layer]})
    for k, (marks, text) in enumerate(page.drawing.keys):
        name = f"legend-{k}.svg"
        files[name] = svg(marks, 11, 5).encode()
        legend.append({"file": name, "text": text})
    data = {
        "alt": alt,
        "stops": [f"STOP: {short}" for short in words.stops(plan)[:1]],
        "legend": legend,
        "notes": [*plan_notes(plan, page), *notes, *words.CAUTIONS],
    }
    return Page("plan", title, _scale(page.scale, paper, job), data, files)


def section_page(plan: Plan) -> Page:
    """Give the page of the section down the steepest fall line."""
    paper = paper_of(plan.opened.job)
    data: dict[str, Any] = {
        "file": "",
        "legend": [],
        "alt": "No section: the ground has no fall line.",
    }
    files, scale = {}, ""
    if len(plan.surface.fall_line) > 1:
        cut = section_sheet(plan, paper)
        files["section.svg"] = svg(cut.drawing.in_order(), cut.width, cut.height).encode()
        scale = _scale(cut.scale, paper, plan.opened.job)
        data = {
            "file": "section.svg",
            "width": cut.width,
            "height": cut.height,
            "legend": [
                "Heavy line: ground as grading leaves it",
                "Dashed line: ground as surveyed",
                "Boxes: cells, named by row",
                "Dash-dotted arc: slip circle with the least factor, soaked",
            ],
            "alt": "Section down the steepest fall line with ground, cells and slopes",
        }
    return Page("section", "Section on the steepest fall line", scale, data, files)


def schedule_page(plan: Plan, page: PlanSheet) -> Page:
    """Give the row schedule, how to set it out, and where pegs and string stand."""
    setout, system = plan.setout, plan.opened.job.units
    most = int(setout.cells.max()) if len(setout.cells) else 0
    data = {
        "schedule": {
            **tables.schedule(setout, system),
            "notes": [
                words.closure_text(setout, system),
                *words.square_text(setout, system),
                *([setout.note] if setout.note else []),
                "Stations and offsets are level distances: right or left of the base line as you "
                "look from its start to its end. All other lengths are slope distances.",
                *([words.INCHES] if system == "us" else []),
                "W: poor tape point, use station and offset. C: the printed readings do not close. "
                '"String to start": from the left end of the top string (stake TS-1).',
            ],
        },
        "facts": [*words.plan_facts(plan), *plan_notes(plan, page), *words.CAUTIONS],
        "steps": words.steps(setout, system),
        "cumulative": {
            "unit": figures.unit(system),
            "across": 4 if paper_of(plan.opened.job).width < 300 else 6,
            "rows": tables.cumulative(plan.layout.cell.width, most, system),
        },
        "marks": {**tables.marks(setout, system), "notes": [words.MARKS]},
    }
    return Page("schedule", "Row schedule", "", data, {}, "wide")


def order_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give what to order: goods alone, with what is added for waste, before packs."""
    rows = tuple(tuple(row) for row in tables.order_rows(plan.takeoff, plan.opened.job.units))
    head = ("item", "used", "to order", "unit", "each", "for rows", "note")
    said = ("To order: what is used, with waste and spares, before whole packs and rolls.",)
    table = Table("To order", head, rows, (1, 2), (0, 0, 0, 0, 1, 0, 1.4), said)
    return (RoomSheet("What to order", (table,)),)


def _scale(scale: int, paper: Paper, job: Job) -> str:
    return f"{scale_text(scale, job.units)} on {paper.shown}"


def plan_notes(plan: Plan, page: PlanSheet) -> list[str]:
    """Say what a plan does not show by itself, and what found no room on it."""
    drawing = page.drawing
    notes = [drawing.notes["cell-numbers"] + "."] if "cell-numbers" in drawing.notes else []
    if not page.north_known:
        notes.append("North was not given; y is square to the left of the base line.")
    if plan.site.frame.note:
        notes.append(plan.site.frame.note)
    if plan.opened.job.site.notes:
        notes.append(plan.opened.job.site.notes)
    if drawing.unplaced:
        some, more = drawing.unplaced[:6], len(drawing.unplaced) - 6
        rest = f" and {more} more" if more > 0 else ""
        notes.append(f"No room on the plan to letter: {', '.join(some)}{rest}.")
    return notes
