"""The pages: what is printed on each, handed to typst as data beside a fixed template."""

from __future__ import annotations

import copy
import json
import re
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any, Literal

from hillwright.errors import HillwrightError
from hillwright.sheets import figures, words
from hillwright.sheets.blocks import RoomSheet, section, set_blocks
from hillwright.sheets.bookspread import spread_book
from hillwright.sheets.fonts import FOLDER
from hillwright.sheets.pages import Sheet, laid_out, page_of
from hillwright.sheets.spread import spread
from hillwright.sheets.view import unit_label

if TYPE_CHECKING:
    from hillwright.plan import Plan

NEARLY_EMPTY = 0.25  # share of a page that is filled
SHARES = (0.96, 0.92, 0.88)  # lettering that is tried where a page would be nearly empty


def document(
    plan: Plan, title: str, sheets: tuple[Sheet, ...], number: str
) -> tuple[dict[str, bytes], dict[str, Any]]:
    """Give everything a paper is set from: the templates with its pictures, and its data."""
    job = plan.opened.job
    files = {
        "main" if f.name == "main.typ" else f.name: f.read_bytes()
        for f in (resources.files("hillwright.data") / "typst").iterdir()
    }
    listed = []
    for k, sheet in enumerate(laid_out(sheets, job.units)):
        paper = page_of(plan, sheet.paper)
        if sheet.kind == "blocks":
            blocks, pictures = _with_titles(sheet.data["sheets"], f"{k}-")
            files |= pictures
            data: dict[str, Any] = {"blocks": blocks}
        else:
            data = sheet.data
        files |= sheet.files
        scale = sheet.scale or "none: not to scale"
        listed.append(
            {
                "index": k,
                "kind": sheet.kind,
                "title": sheet.title or title,
                "scale": scale,
                "paper": paper,
                **data,
            }
        )
    data = {
        "stop": words.STOPPED if words.stops(plan) else "",
        "title": {**_title(plan), "document": f"{title}: {job.site.name}"},
        "number": number,
        "sheets": listed,
    }
    return files, data


def _with_titles(
    sheets: list[RoomSheet], prefix: str
) -> tuple[list[dict[str, Any]], dict[str, bytes]]:
    """Give the blocks of sheets that share their pages, each headed by its title."""
    found: list[dict[str, Any]] = []
    files: dict[str, bytes] = {}
    for i, sheet in enumerate(sheets):
        blocks, pictures = set_blocks(sheet.blocks, f"{prefix}{i}-")
        found += [section(sheet.title), *blocks] if sheet.title else blocks
        files |= pictures
    return found, files


def print_document(plan: Plan, title: str, sheets: tuple[Sheet, ...], number: str = "") -> bytes:
    """Print sheets as one PDF, numbered as a paper of the set or by themselves.

    A sheet whose last page would come out nearly empty is set again in smaller lettering, down to
    the least of `SHARES`, and left as it was where that saves no page.
    """
    files, data = document(plan, title, sheets, number)
    ends = _ends(files, data)
    for share in SHARES:
        spilt = [k for k in _nearly_empty(ends, data) if not data["sheets"][k]["paper"]["drawing"]]
        if not spilt:
            break
        smaller = copy.deepcopy(data)
        for k in spilt:
            for key in ("text", "small", "table"):
                smaller["sheets"][k]["paper"][key] *= share
        tried = _ends(files, smaller)
        if tried[-1]["page"] < ends[-1]["page"]:
            ends, data = tried, smaller
    return print_pages({**files, "data.json": _json(data)}, "pdf")[0]


def _ends(files: dict[str, bytes], data: dict[str, Any]) -> list[dict[str, Any]]:
    """Give the page and the height at which each sheet ends."""
    import typst

    said = json.loads(typst.query({**files, "data.json": _json(data)}, "<end>", **_fonts()))
    ends = {mark["value"]["sheet"]: mark["value"] for mark in said}  # the last of each
    return [ends[k] for k in sorted(ends)]


def _nearly_empty(ends: list[dict[str, Any]], data: dict[str, Any]) -> list[int]:
    """Give the sheets that go on to a further page and leave most of it white."""
    found, before = [], 0
    for k, end in enumerate(ends):
        paper = data["sheets"][k]["paper"]
        room = paper["height"] - 2 * paper["margin"] - paper["strip"] - paper["gap"]
        if end["page"] - before > 1 and (end["y"] - paper["margin"]) / room < NEARLY_EMPTY:
            found.append(k)
        before = end["page"]
    return found


def _json(data: dict[str, Any]) -> bytes:
    """Give the data as the template reads it: blocks spread over their pages."""
    listed = [_spread(sheet) for sheet in data["sheets"]]
    return json.dumps({**data, "sheets": listed}, ensure_ascii=False, sort_keys=True).encode()


def _spread(sheet: dict[str, Any]) -> dict[str, Any]:
    if sheet["kind"] == "book":
        return spread_book(sheet)
    return (
        {**sheet, "blocks": spread(sheet["blocks"], sheet["paper"])} if "blocks" in sheet else sheet
    )


@cache
def _fonts() -> dict[str, Any]:
    import typst

    # its own mathematical face is wanted; everything else is set in the fonts of the package
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(FOLDER)]
    )
    return {"font_paths": fonts, "ignore_system_fonts": True}


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

    try:
        compiled: Any = typst.compile_with_warnings
        made, warned = compiled(
            files,
            **_fonts(),
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
