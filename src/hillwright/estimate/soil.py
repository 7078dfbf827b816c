"""Takeoff of soil and mulch: components by the bag or by the volume, each with its cells."""

from __future__ import annotations

import numpy as np

from hillwright.estimate.model import Kind, TakeoffLine
from hillwright.estimate.trace import by_row, named
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
    which = np.flatnonzero(np.isin(fill.mix, mine) & (fill.settled > 0))
    shares = np.array([sum(s for n, s in m.parts if n == part.name) for m in fill.mixes])
    each = np.where(fill.settled > 0, fill.loose * shares[fill.mix], 0.0)
    note = "; ".join(_share(fill, name, part.name) for name in part.mixes)
    item, count, unit, about = f"{part.name}, loose", part.loose, "m3", "delivered loose"
    kind: Kind = "material"
    if part.bank:
        item, count, about = f"{part.name}, dug on the site", part.bank, "measured in the ground"
        kind = "work"
    elif fill.supply == "bags":
        item, count, unit, about = f"{part.name}, bag", part.bags, "each", "bag of soil"
    else:
        note += f"; {plural(part.trucks, 'truck load')}, full by {part.full_by}"
    rows = by_row(layout, each * (count / each.sum()) if each.sum() > 0 else each)
    figure = f"takeoff.soil.{part.name.replace(' ', '-')}"
    mass = part.mass if unit == "m3" and not part.bank else 0.0
    return TakeoffLine(
        item, count, unit, about, named(layout, which), note, kind,
        works=("fill",), rows=rows, mass=mass, figure=figure,
        lots=(part.loose / fill.bag,) if unit == "each" else (),
    )  # fmt: skip


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
    which = np.flatnonzero(fill.mulch > 0)
    item, count, unit = f"{fill.mulch_kind}, loose", fill.mulch_ordered, "m3"
    if fill.supply == "bags":
        item, count, unit = f"{fill.mulch_kind}, bag", fill.mulch_bags, "each"
    rows = by_row(layout, fill.mulch * (count / fill.mulch.sum()))
    return TakeoffLine(
        item, count, unit, "bag of mulch" if unit == "each" else "mulch", named(layout, which), "",
        works=("mulch",), rows=rows, mass=fill.mulch_mass if unit == "m3" else 0.0,
        figure="takeoff.mulch", lots=(fill.mulch_ordered / fill.bag,) if unit == "each" else (),
    )  # fmt: skip


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
