"""The pages: what is printed on each, handed to typst as data beside a fixed template."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Any, Literal

from hillwright.errors import HillwrightError
from hillwright.sheets import figures, words
from hillwright.sheets.blocks import RoomSheet, set_from
from hillwright.sheets.fonts import FOLDER
from hillwright.sheets.scale import GAP, MARGIN, STRIP, Paper, paper_of
from hillwright.sheets.view import unit_label

if TYPE_CHECKING:
    from hillwright.plan import Plan


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """A sheet with a form of its own in the template.

    Attributes
    ----------
    kind : str
        The form, as the template calls it.
    title, scale : str
        What the title block says; an empty scale stands for none.
    data : dict
        What the form is filled from.
    files : dict
        Its pictures, by the names that ``data`` uses.
    """

    kind: str
    title: str
    scale: str
    data: dict[str, Any]
    files: dict[str, bytes]


Sheet = Page | RoomSheet


def document(plan: Plan, title: str, sheets: tuple[Sheet, ...], number: str) -> dict[str, bytes]:
    """Give everything a paper is set from: the template, its data and its pictures."""
    paper = paper_of(plan.opened.job)
    files: dict[str, bytes] = {
        "main": (resources.files("hillwright.data") / "sheets.typ").read_bytes()
    }
    listed = []
    for k, sheet in enumerate(sheets):
        if isinstance(sheet, Page):
            scale = sheet.scale or f"no scale; {paper.shown}"
            listed.append({"kind": sheet.kind, "title": sheet.title, "scale": scale, **sheet.data})
            files |= sheet.files
        else:
            blocks, pictures = set_from(sheet, f"{k}-")
            files |= pictures
            scale = sheet.scale or f"no scale; {paper.shown}"
            listed.append(
                {"kind": "blocks", "title": sheet.title, "scale": scale, "blocks": blocks}
            )
    data = {
        "page": _page(paper),
        "stop": words.STOPPED if words.stops(plan) else "",
        "title": {**_title(plan), "document": f"{title}: {plan.opened.job.site.name}"},
        "number": number,
        "sheets": listed,
    }
    files["data.json"] = json.dumps(data, ensure_ascii=False, sort_keys=True).encode()
    return files


def print_document(plan: Plan, title: str, sheets: tuple[Sheet, ...], number: str = "") -> bytes:
    """Print sheets as one PDF, numbered as a paper of the set or by themselves."""
    return print_pages(document(plan, title, sheets, number), "pdf")[0]


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


def page_count(pdf: bytes) -> int:
    """Count the pages of a PDF that was printed here: its page tree is one plain node."""
    found = re.search(rb"/Type\s*/Pages\s*/Count (\d+)", pdf)
    if not found:
        raise HillwrightError("sheets", "a paper was printed without a page tree", "report this")
    return int(found[1])


def compass_height(paper: Paper) -> float:
    """Give the height of the north and downhill arrows: less on a small paper [mm]."""
    return 22.0 if paper.width < 300 else 30.0


BAR = 8.5  # height of the scale bar [mm]


def _page(paper: Paper) -> dict[str, Any]:
    width, height = paper.drawing
    return {
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
    }


def _title(plan: Plan) -> dict[str, str]:
    job, frame = plan.opened.job, plan.site.frame
    site, system = job.site, job.units
    datum = f"survey in {unit_label(frame)}, {frame.crs or 'local grid'}"
    return {
        "name": site.name,
        "address": site.address,
        "client": site.client,
        "contractor": site.contractor,
        "notes": site.notes,
        "units": f"sheet in {figures.unit(system)}; {datum}",
        "date": job.sheets.date,
        "revision": job.sheets.revision,
    }
