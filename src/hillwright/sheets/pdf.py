"""The pages: what is printed on each, handed to typst as data beside a fixed template."""

from __future__ import annotations

import json
from importlib import resources
from typing import TYPE_CHECKING, Any, Literal

from hillwright.errors import HillwrightError
from hillwright.job.model import Job
from hillwright.sheets import figures, tables, words
from hillwright.sheets.blocks import RoomSheet, set_from
from hillwright.sheets.crew import crew_sheets
from hillwright.sheets.drip import drip_sheets
from hillwright.sheets.fonts import FOLDER
from hillwright.sheets.furniture import compass_marks, sample, scale_bar
from hillwright.sheets.hold import hold_sheet
from hillwright.sheets.marks import LAYERS
from hillwright.sheets.plan_sheet import PlanSheet
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.rain import rain_sheet
from hillwright.sheets.scale import GAP, MARGIN, STRIP, Paper, paper_of, scale_text
from hillwright.sheets.section import section_sheet
from hillwright.sheets.soil import soil_sheets
from hillwright.sheets.svg import svg
from hillwright.sheets.view import unit_label
from hillwright.sheets.watersheets import water_sheets

if TYPE_CHECKING:
    from hillwright.plan import Plan

BAR = 8.5  # height of the scale bar [mm]


def pages(plan: Plan, plan_page: PlanSheet) -> dict[str, bytes]:
    """Give everything the pages are set from: the template, its data and its pictures."""
    paper = plan_page.paper
    compass = compass_height(paper)
    files: dict[str, bytes] = {
        "main": (resources.files("hillwright.data") / "sheets.typ").read_bytes(),
        "plan.svg": svg(plan_page.drawing.in_order(), *paper.drawing).encode(),
        "compass.svg": svg(
            compass_marks(
                plan_page.north, plan_page.downhill, plan_page.north_known, paper.column, compass
            ),
            paper.column,
            compass,
        ).encode(),
        "scale-bar.svg": svg(
            scale_bar(plan_page.scale, plan.opened.job.units, paper.column, BAR), paper.column, BAR
        ).encode(),
    }
    legend = []
    for layer in LAYERS:
        if layer in plan_page.drawing.notes and (marks := sample(layer)):
            name = f"legend-{layer}.svg"
            files[name] = svg(marks, 11, 5).encode()
            legend.append({"file": name, "text": plan_page.drawing.notes[layer]})
    section: dict[str, Any] = {
        "file": "",
        "scale": "no scale",
        "legend": [],
        "alt": "No section: the ground has no fall line.",
    }
    if len(plan.surface.fall_line) > 1:
        cut = section_sheet(plan, paper)
        files["section.svg"] = svg(cut.drawing.in_order(), cut.width, cut.height).encode()
        section = {
            "file": "section.svg",
            "scale": _scale(cut.scale, paper, plan.opened.job),
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
    data = _data(plan, plan_page, legend, section)
    data["more"], pictures = set_from(room_sheets(plan, paper))
    files |= pictures
    files["data.json"] = json.dumps(data, ensure_ascii=False, sort_keys=True).encode()
    return files


def room_sheets(plan: Plan, paper: Paper) -> tuple[RoomSheet, ...]:
    """Give the sheets that the rooms add to the set, in the order of the questions."""
    return (
        hold_sheet(plan, paper),
        rain_sheet(plan),
        *soil_sheets(plan),
        *planting_sheets(plan),
        *water_sheets(plan),
        *drip_sheets(plan),
        *crew_sheets(plan),
    )


def compass_height(paper: Paper) -> float:
    """Give the height of the north and downhill arrows: less on a small paper [mm]."""
    return 22.0 if paper.width < 300 else 30.0


def print_pages(
    files: dict[str, bytes], form: Literal["pdf", "png"], ppi: int = 110
) -> list[bytes]:
    """Set the pages: one PDF, or one PNG for each page. The same input gives the same bytes.

    Raises
    ------
    HillwrightError
        The pages cannot be set without a warning (a missing font, say): a fault of the program.
    """
    import typst

    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FOLDER)]
    )
    try:
        compiled: Any = typst.compile_with_warnings
        made, warned = compiled(
            files,
            font_paths=fonts,
            ignore_system_fonts=True,
            format=form,
            timestamp=0,
            **({"ppi": ppi} if form == "png" else {}),
        )
    except typst.TypstError as error:
        raise HillwrightError("sheets", f"cannot be set: {error}", "report this") from error
    if warned:
        said = "; ".join(str(w) for w in warned)
        raise HillwrightError("sheets", f"set with warnings: {said}", "report this")
    return list(made) if isinstance(made, list) else [bytes(made)]


def _scale(scale: int, paper: Paper, job: Job) -> str:
    return f"{scale_text(scale, job.units)} on {paper.shown}"


def _data(
    plan: Plan, page: PlanSheet, legend: list[dict[str, str]], section: dict[str, Any]
) -> dict[str, Any]:
    job, system, paper = plan.opened.job, plan.opened.job.units, page.paper
    setout = plan.setout
    most = int(setout.cells.max()) if len(setout.cells) else 0
    return {
        **_page(plan, paper),
        "plan": {
            "scale": _scale(page.scale, paper, job),
            "alt": "Set-out plan: cells in rows inside the outline, with pegs and base line",
            "stop": [f"STOP: {short}" for short in words.stops(plan)],
            "facts": words.plan_facts(plan),
            "legend": legend,
            "notes": _plan_notes(plan, page),
            "cautions": list(words.CAUTIONS),
        },
        "section": section,
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
        "steps": words.steps(setout, system),
        "cumulative": {
            "unit": figures.unit(system),
            "across": 4 if paper.width < 300 else 6,
            "rows": tables.cumulative(plan.layout.cell.width, most, system),
        },
        "marks": {**tables.marks(setout, system), "notes": [words.MARKS]},
        "takeoff": {
            "head": ["item", "count", "unit", "each", "for rows", "note"],
            "rows": tables.takeoff_rows(plan.takeoff, system),
        },
        "spots": {
            "head": [
                "spot",
                "what",
                "depth",
                *(
                    f"{t} [{figures.unit(system)}]"
                    for t in ("from A", "from B", "station", "offset")
                ),
                "area",
                "to trim",
                "to fill",
            ],
            "rows": tables.spot_rows(plan),
            "none": "No spot of the ground by itself; what single cells need stands in the "
            "warnings below."
            if plan.layout.warnings
            else "Nothing: every cell's base lies within its tolerance.",
            "notes": [
                "Depth: of the dip under, or the hump above, what a cell bridges. Tapes are pulled "
                "along the slope, as for the rows."
            ],
        },
        "left_out": left_out(plan),
        "cautions": [*words.CAUTIONS, *dict.fromkeys(a.caution for a in plan.answers if a.caution)],
        "warnings": list(plan.warnings),
    }


def _page(plan: Plan, paper: Paper, whole: bool = True) -> dict[str, Any]:
    """Give what every page is set from; ``whole`` tells the set from a room's sheets alone."""
    width, height = paper.drawing
    return {
        "whole": whole,
        "page": {
            "width": paper.width,
            "height": paper.height,
            "margin": MARGIN,
            "strip": STRIP,
            "gap": GAP,
            "column": paper.column,
            "draw_width": width,
            "draw_height": height,
            "compass": compass_height(paper),
            "bar": BAR,
            "text": 7.5 if paper.width < 300 else 9,
        },
        "stop": words.STOPPED if words.stops(plan) else "",
        "no_scale": f"no scale; {paper.shown}",
        "title": _title(plan),
    }


def print_rooms(plan: Plan, sheets: tuple[RoomSheet, ...]) -> bytes:
    """Print sheets of a room alone, as one PDF."""
    data = _page(plan, paper_of(plan.opened.job), whole=False)
    data["more"], files = set_from(sheets)
    files["main"] = (resources.files("hillwright.data") / "sheets.typ").read_bytes()
    files["data.json"] = json.dumps(data, ensure_ascii=False, sort_keys=True).encode()
    return print_pages(files, "pdf")[0]


def _title(plan: Plan) -> dict[str, str]:
    job, frame = plan.opened.job, plan.site.frame
    site, system = job.site, job.units
    datum = f"survey in {unit_label(frame)}, {frame.crs or 'local grid'}"
    return {
        "document": f"Set-out of {site.name}",
        "name": site.name,
        "address": site.address,
        "client": site.client,
        "contractor": site.contractor,
        "notes": site.notes,
        "units": f"sheet in {figures.unit(system)}; {datum}",
        "date": job.sheets.date,
        "revision": job.sheets.revision,
    }


def _plan_notes(plan: Plan, page: PlanSheet) -> list[str]:
    drawing = page.drawing
    notes = [drawing.notes["cell-numbers"] + "."] if "cell-numbers" in drawing.notes else []
    if not page.north_known:
        notes.append("North was not given; y is square to the left of the base line.")
    if plan.site.frame.note:
        notes.append(plan.site.frame.note)
    if drawing.unplaced:
        some, more = drawing.unplaced[:6], len(drawing.unplaced) - 6
        rest = f" and {more} more" if more > 0 else ""
        notes.append(f"No room on the plan to letter: {', '.join(some)}{rest}.")
    return notes


def left_out(plan: Plan) -> list[str]:
    """Count the cells left out by reason."""
    reasons: dict[str, int] = {}
    for cell in plan.layout.left_out:
        reasons[cell.why] = reasons.get(cell.why, 0) + 1
    return [f"{figures.plural(n, 'cell')}: {why}." for why, n in reasons.items()]
