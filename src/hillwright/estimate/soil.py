"""Takeoff of soil and mulch: components by the bag or by the volume, each with its cells."""

from __future__ import annotations

import numpy as np

from hillwright.estimate.model import TakeoffLine
from hillwright.fill.model import Fill, PartTotal
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.wording import plural


def soil_lines(layout: Layout, fill: Fill) -> tuple[list[TakeoffLine], list[Working]]:
    """Give the lines for soil, component by component over all mixes, and for mulch."""
    lines = [_part_line(layout, fill, part) for part in fill.parts]
    workings = [_part_working(fill, part) for part in fill.parts]
    if fill.mulch_ordered > 0:
        lines.append(_mulch_line(layout, fill))
        workings.append(_mulch_working(fill))
    return lines, workings


def _part_line(layout: Layout, fill: Fill, part: PartTotal) -> TakeoffLine:
    mine = [i for i, m in enumerate(fill.mixes) if m.name in part.mixes]
    cells = _cells(layout, np.isin(fill.mix, mine) & (fill.settled > 0))
    note = "; ".join(_share(fill, name, part.name) for name in part.mixes)
    if part.bank:
        item, each = f"{part.name}, dug on the site", "measured in the ground"
        return TakeoffLine(item, part.bank, "m3", each, cells, note)
    if fill.supply == "bags":
        return TakeoffLine(f"{part.name}, bag", part.bags, "each", "bag of soil", cells, note)
    note += f"; {plural(part.trucks, 'truck load')}, full by {part.full_by}"
    return TakeoffLine(f"{part.name}, loose", part.loose, "m3", "delivered loose", cells, note)


def _share(fill: Fill, mix: str, part: str) -> str:
    share = next(s for m in fill.mixes if m.name == mix for n, s in m.parts if n == part)
    return f"{100 * share:.4g} % of {mix}"


def _part_working(fill: Fill, part: PartTotal) -> Working:
    given = tuple(
        Number(t.mix.name, v, "m3") for t in fill.totals for n, v in t.parts if n == part.name
    )
    return Working(
        f"takeoff.soil.{part.name.replace(' ', '-')}",
        f"{part.name.capitalize()} to order, loose",
        "sum over mixes of share ordered / (1 - mixing loss)",
        given,
        Number("loose", part.loose, "m3"),
        "definitions; mixing loss by common practice, no source",
    )


def _mulch_line(layout: Layout, fill: Fill) -> TakeoffLine:
    cells = _cells(layout, fill.mulch > 0)
    if fill.supply == "bags":
        item = f"{fill.mulch_kind}, bag"
        return TakeoffLine(item, fill.mulch_bags, "each", "bag of mulch", cells, "")
    return TakeoffLine(f"{fill.mulch_kind}, loose", fill.mulch_ordered, "m3", "mulch", cells, "")


def _mulch_working(fill: Fill) -> Working:
    return Working(
        "takeoff.mulch",
        f"Mulch: {fill.mulch_kind}",
        "sum over cells / (1 - settlement) (1 + waste)",
        (
            Number("in place", float(fill.mulch.sum()), "m3"),
            Number("waste", fill.waste, "%"),
        ),
        Number("order", fill.mulch_ordered, "m3"),
        "thickness by the job; settlement and waste by common practice, no source",
    )


def _cells(layout: Layout, which: object) -> tuple[tuple[int, int], ...]:
    at = np.flatnonzero(np.asarray(which))
    return tuple(zip(layout.row[at].tolist(), layout.number[at].tolist(), strict=True))
