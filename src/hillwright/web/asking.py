"""What the worker is asked about the plan that it holds: why, the frame, a section, the sheets."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from hillwright.errors import HillwrightError, did_you_mean
from hillwright.web.standing import NotYet

if TYPE_CHECKING:
    from hillwright.web.worker import Worker

POINTS = 400  # of a section


class AskError(HillwrightError):
    """Something was asked that the plan cannot answer."""


def frame(worker: Worker) -> dict[str, Any]:
    """Give how local metres become places of the job."""
    f = worker.memo.standing.site.frame
    return {
        "origin": (f.origin_x, f.origin_y),
        "scale": f.scale,
        "unit_name": f.unit_name,
        "projection": f.crs if f.crs.startswith("+proj") else "",
    }


def why(worker: Worker, figure: str) -> dict[str, Any]:
    """Give the working of one figure: equation, numbers, result, source."""
    from hillwright.document.front import figure_part
    from hillwright.method import all_methods, described

    workings = worker.memo.standing.workings()
    if figure not in workings and worker.planning:
        raise NotYet(figure)
    if figure not in workings:
        right = did_you_mean(figure, workings, "the list of figures names them")
        raise AskError(figure, "is not a figure of this plan", right)
    working = workings[figure]
    found = figure_part(working, worker.memo.standing.job.units).model_dump()
    about: dict[str, Any] = {"range": "", "inputs": inputs_of(figure)}
    if working.method:
        about["range"] = described(all_methods()[working.method].function).range
    return {"figure": figure, **found, **about}


# sections of the job that a room's figures rest on first; the page opens them beside the figure
_INPUTS = {
    "terrain": ("survey", "grading", "outline"),
    "layout": ("cell", "layout", "outline", "exclusion"),
    "setout": ("benchmarks", "base_line"),
    "planting": ("planting", "wish", "pin", "weights"),
    "fill": ("fill", "mix", "cell"),
    "stability": ("soil", "checklist", "holding"),
    "runoff": ("rain", "drains", "soil"),
    "carry": ("carry", "crew"),
    "watering": ("climate", "watering"),
    "irrigation": ("supply", "irrigation", "emitter", "tubing"),
    "crew": ("crew", "person", "measured"),
    "takeoff": ("cell", "holding", "tubing", "waste"),
    "estimate": ("estimate", "crew", "waste"),
}


def inputs_of(figure: str) -> list[str]:
    """Give the sections of the job that drive a figure's room."""
    return list(_INPUTS.get(figure.split(".")[0], ()))


def section(worker: Worker, start: tuple[float, float], end: tuple[float, float]) -> dict[str, Any]:
    """Cut the hill along a line: the ground, the cells on it, and the slip circle if it is near."""
    from hillwright.sheets.section import cut_cells

    standing = worker.memo.standing
    surface, layout = standing.surface, standing.layout
    a, b = np.asarray(start, float), np.asarray(end, float)
    length = float(np.linalg.norm(b - a))
    if not 0.1 <= length <= 2000:
        raise AskError("section", f"the line is {length:.3g} m long", "draw it from 0.1 m to 2 km")
    t = np.linspace(0, 1, POINTS)
    xy = a + t[:, None] * (b - a)
    z = np.asarray(surface.ground.at(xy[:, 0], xy[:, 1])[0])
    graded = np.asarray(surface.graded.at(xy[:, 0], xy[:, 1])[0])
    line = np.column_stack([xy, graded])
    known = np.isfinite(graded)
    cells = []
    if known.sum() > 1:
        first = float(t[known][0]) * length  # places along are counted from the first known point
        for cut in cut_cells(layout, line[known], t[known] * length - first):
            base = [[float(s) + first, float(height)] for s, height in cut.base]
            cells.append({"row": cut.row, "number": cut.number, "base": base})
    return {
        "length": length,
        "distance": [float(v) for v in t * length],
        "ground": _numbers(z),
        "graded": _numbers(graded),
        "cells": cells,
        "depth": float(layout.cell.depth),
    }


def _numbers(values: Any) -> list[float | None]:
    return [float(v) if math.isfinite(v) else None for v in values]


def sheets(worker: Worker, folder: str) -> dict[str, Any]:
    """Make the set of papers of the newest plan in a folder."""
    from hillwright.sheets.write import write_sheets

    if worker.plan is None or worker.planning:
        raise NotYet("papers")

    def tell(file: str, share: float) -> None:
        worker.tell("sheets", {"file": file, "share": min(share, 0.999)})

    into = Path(folder)
    written = write_sheets(worker.plan, into, tell)
    files = [str(path.relative_to(into)) for path in written]
    return {"revision": worker.revision, "files": files}


def prices(worker: Worker) -> dict[str, Any]:
    """Give the price book to fill in: every item that the plan needs, with the prices known."""
    import csv

    from hillwright.job.prices import COLUMNS, read_prices
    from hillwright.sheets.pricebook import price_book

    plan = worker.plan
    if plan is None or worker.planning:
        raise NotYet("prices")
    book = read_prices(plan.opened)
    lines = [t for t in price_book(plan, book).splitlines() if not t.startswith("#")]
    rows = [dict(zip(COLUMNS, row, strict=True)) for row in csv.reader(lines[1:])]
    return {"file": book.file or "prices.csv", "rows": rows}


ANSWERS = {"frame": frame, "why": why, "section": section, "sheets": sheets, "prices": prices}
