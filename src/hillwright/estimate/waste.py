"""Waste: what is ordered over what is used, and why each line is what it is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from hillwright.estimate.model import TakeoffLine
from hillwright.estimate.trace import slug
from hillwright.job.estimate import WasteText
from hillwright.method import Number, Working

_SAID = "allowance by common practice, no source, or as the job has it in [waste]"
_TRACED = 6  # names of pipes or tasks that a working tells one by one


def with_waste(
    lines: Iterable[TakeoffLine], waste: WasteText, known: Sequence[Working]
) -> tuple[list[TakeoffLine], list[Working]]:
    """Add to each line what is ordered over it, and give the working of every line.

    Whole things are ordered whole; of small fittings some are spare at least. Soil and mulch come
    with their waste from the room that fills the cells.
    """
    done, workings = [], []
    taken = {w.figure for w in known}
    for line in lines:
        share = float(getattr(waste, line.group)) if line.group else 0.0
        ordered = line.count * (1 + share)
        spares = waste.spares if line.group == "fittings" and line.count else 0
        if isinstance(line.count, int):
            ordered = math.ceil(round(ordered, 9) - 1e-9)
            ordered = max(ordered, line.count + spares)
        figure = line.figure or f"takeoff.{slug(line.item)}"
        done.append(replace(line, figure=figure, waste=share, ordered=ordered))
        if figure not in taken:
            workings.append(_working(done[-1], spares))
            taken.add(figure)
    return done, workings


def _working(line: TakeoffLine, spares: int) -> Working:
    given = [Number(f"row {row}", part, _tag(line)) for row, part in line.rows]
    given += [Number(name, part, _tag(line)) for name, part in line.parts]
    rest = line.count - sum(part for _, part in (*line.rows, *line.parts))
    if abs(rest) > 1e-6 * max(abs(line.count), 1):
        given.append(Number("not of one row" if given else "counted", rest, _tag(line)))
    if line.group:
        given.append(Number("waste", line.waste, "%"))
    if spares:
        given.append(Number("spares, at least", spares, "-"))
    note = "; ".join(filter(None, (line.each, line.note, _from(line))))
    if line.group:
        note += f"; to order with waste: {line.ordered:,.4g}" if line.unit == "each" else ""
    return Working(
        line.figure,
        f"{line.item[:1].upper()}{line.item[1:]}",
        "sum over rows, pipes or tasks",
        tuple(given),
        Number("count", line.count, _tag(line)),
        f"count of the plan (exact){'; ' + _SAID if line.group else ''}",
        note,
    )


def _tag(line: TakeoffLine) -> str:
    return "-" if line.unit in ("each", "day", "load") else line.unit


def _from(line: TakeoffLine) -> str:
    if not line.traced:
        return ""
    some, more = line.traced[:_TRACED], len(line.traced) - _TRACED
    return f"from {', '.join(some)}" + (f" and {more} more" if more > 0 else "")
