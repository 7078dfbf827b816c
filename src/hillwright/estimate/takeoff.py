"""Takeoff: cells, clips and edge pieces, each count traced to the cells that it came from."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.crew.workplan import WorkPlan
from hillwright.estimate.bars import bar_line
from hillwright.estimate.drainage import drain_lines
from hillwright.estimate.drip import drip_lines
from hillwright.estimate.labour import course_of, labour_lines
from hillwright.estimate.model import Takeoff, TakeoffLine
from hillwright.estimate.planted import hire_lines, load_lines, peg_line, plant_lines
from hillwright.estimate.soil import soil_lines
from hillwright.estimate.trace import by_row, named
from hillwright.estimate.waste import with_waste
from hillwright.fill.model import Fill
from hillwright.irrigation.model import Irrigation
from hillwright.job.estimate import WasteText
from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.planting.model import Planting
from hillwright.runoff.drainmodel import Drainage
from hillwright.stability.model import Anchoring

SIDES = ("upper", "right", "lower", "left")  # in the order of the corners, looking uphill
_COUNTED = "count of the cells laid (exact)"


class Edges(NamedTuple):
    """Edges of the whole cells: how many clipped neighbours stand at each side."""

    neighbours: Index  # (n, 4) by SIDES; half-offset bond has up to two above and below
    full: Index  # (4,) neighbours that close a side
    lengths: Array  # (n, 4) of each side [m]
    open: Array  # (n, 4) length of each side without a neighbour; 0 for a trimmed cell [m]


def take_off(
    layout: Layout,
    edge_pieces: bool = True,
    fill: Fill | None = None,
    bars: Anchoring | None = None,
    holding: Holding | None = None,
    drainage: Drainage | None = None,
    irrigation: Irrigation | None = None,
    pegs: tuple[str, ...] = (),
    planting: Planting | None = None,
    work: WorkPlan | None = None,
    waste: WasteText | None = None,
    pay: str = "days",
) -> Takeoff:
    """Stage: count what to order, hire and pay; a room that is left out adds nothing.

    Parameters
    ----------
    layout : Layout
        The cells and their clips.
    edge_pieces : bool
        Order a piece for every outer edge.
    fill : Fill, optional
        The soil and mulch of its cells.
    bars, holding : Anchoring and Holding, optional
        What the rows hang from, and what the job says of its bars.
    drainage : Drainage, optional
        The drains, with their linings, stones and fabric.
    irrigation : Irrigation, optional
        The drip network and its parts.
    pegs : tuple of str
        Names of the pegs of the set-out.
    planting : Planting, optional
        What grows where.
    work : WorkPlan, optional
        Who works when, and with which tools.
    waste : WasteText, optional
        What is ordered over what is used.
    pay : {"days", "hours"}
        What of the people's time is paid.

    Returns
    -------
    Takeoff
        Every line with its waste, and with the cells, rows, pipes or tasks that it came from.
    """
    whole = ~layout.trimmed
    lines = [_cells(layout, whole)]
    workings = [
        _working("takeoff.cells", "Whole cells", "n = cells laid whole", (), int(whole.sum()))
    ]
    if layout.trimmed.any():
        lines.append(_trimmed(layout))
        trimmed = int(layout.trimmed.sum())
        workings.append(
            _working("takeoff.trimmed", "Cells to be trimmed", "n = cells cut to fit", (), trimmed)
        )
    line, working = _clips(layout)
    lines.append(line)
    workings.append(working)
    if edge_pieces:
        more, why = _edge_lines(layout, whole)
        lines += more
        workings += why
    if fill is not None:
        more, why = soil_lines(layout, fill)
        lines += more
        workings += why
    if bars is not None and holding is not None and bars.count.any():
        line, working = bar_line(layout, bars, holding)
        lines.append(line)
        workings.append(working)
    if drainage is not None:
        lines += drain_lines(drainage)
    if irrigation is not None:
        more, why = drip_lines(irrigation, layout)
        lines += more
        workings += why
    if planting is not None:
        lines += plant_lines(planting, layout)
    if pegs:
        lines.append(peg_line(pegs))
    if fill is not None:
        lines += load_lines(fill)
    course = None
    if work is not None:
        course = course_of(work)
        lines += [*hire_lines(work, course), *labour_lines(course, pay)]
    done, why = with_waste(lines, WasteText() if waste is None else waste, workings)
    rows = by_row(layout, np.ones(len(layout.row)))
    return Takeoff(tuple(done), (*workings, *why), course, rows)


def edges(layout: Layout) -> Edges:
    """Find which sides of each cell have a clipped neighbour, and how much of each is open.

    In half-offset bond a wall may have one neighbour above or below instead of two; half of it
    is open then.
    """
    n = len(layout.row)
    neighbours = np.zeros((n, 4), np.intp)
    if len(layout.clips):
        i, j = layout.clips.T
        beside = layout.row[i] == layout.row[j]
        # a pair may be written either way round: the one further left, or further up, comes first
        order = np.where(beside, layout.number[i] > layout.number[j], layout.row[i] > layout.row[j])
        first, second = np.where(order, j, i), np.where(order, i, j)
        for pairs, near, far in ((beside, 1, 3), (~beside, 2, 0)):
            np.add.at(neighbours, (first[pairs], near), 1)
            np.add.at(neighbours, (second[pairs], far), 1)
    full = np.array([2, 1, 2, 1]) if layout.cell.half_offset else np.ones(4, np.intp)
    lengths = np.linalg.norm(layout.corners - np.roll(layout.corners, -1, axis=1), axis=2)
    share = np.clip(1 - neighbours / full, 0, 1)
    share[layout.trimmed] = 0
    return Edges(neighbours, full, lengths, share * lengths)


def _cells(layout: Layout, whole: Mask) -> TakeoffLine:
    cell = layout.cell
    note = "whole cells only"
    bond = "half-offset rows" if cell.half_offset else "stacked rows"
    return TakeoffLine(
        "planting cell",
        int(whole.sum()),
        "each",
        f"open-bottom box, for {bond}",
        named(layout, np.flatnonzero(whole)),
        note,
        group="cells",
        works=("set", "assemble", "hang"),
        rows=by_row(layout, whole),
        figure="takeoff.cells",
    )


def _trimmed(layout: Layout) -> TakeoffLine:
    which = np.flatnonzero(layout.trimmed)
    return TakeoffLine(
        "planting cell to be trimmed",
        len(which),
        "each",
        "a whole cell, cut on site to fit the outline",
        named(layout, which),
        "counted apart from the whole cells",
        group="cells",
        works=("set", "assemble", "hang"),
        rows=by_row(layout, layout.trimmed),
        figure="takeoff.trimmed",
    )


def _clips(layout: Layout) -> tuple[TakeoffLine, Working]:
    pairs, each = len(layout.clips), layout.cell.clips_per_edge
    count = pairs * each
    line = TakeoffLine(
        "clip",
        count,
        "each",
        "joins two neighbouring cells",
        named(layout, np.unique(layout.clips)),
        f"{each} for each of {pairs:,} shared edges",
        group="clips",
        works=("assemble", "set", "hang"),
        rows=by_row(
            layout, np.bincount(layout.clips.ravel(), minlength=len(layout.row)) * each / 2
        ),
        figure="takeoff.clips",
    )
    working = _working(
        "takeoff.clips",
        "Clips",
        "clips = pairs of neighbours * clips per edge",
        (Number("pairs of neighbours", pairs, "-"), Number("clips per edge", each, "-")),
        count,
    )
    return line, working


def _edge_lines(layout: Layout, whole: Mask) -> tuple[list[TakeoffLine], list[Working]]:
    found = edges(layout)
    lines, workings, total = [], [], 0
    for k, side in enumerate(SIDES):
        gone = np.maximum(found.full[k] - found.neighbours[:, k], 0) * whole
        which = np.flatnonzero(gone)
        count, length = int(gone.sum()), float(found.open[which, k].sum())
        total += count
        half = found.full[k] > 1
        what = f"covers {'half of ' if half else ''}the {side} edge of a cell without a neighbour"
        cells = named(layout, which)
        note = "two for an edge with no neighbour, one where it has one" if half else ""
        lines.append(
            TakeoffLine(
                f"edge piece, {side}", count, "each", what, cells, note,
                group="clips", works=("set", "assemble"), rows=by_row(layout, gone),
            )
        )  # fmt: skip
        workings.append(
            Working(
                f"takeoff.edges.{side}.length",
                f"Length of open {side} edges",
                "sum of the open lengths",
                (Number("edge pieces", count, "-"),),
                Number("length", length, "m"),
                _COUNTED,
            )
        )
    sums = tuple(
        Number(f"{side} pieces", line.count, "-") for side, line in zip(SIDES, lines, strict=True)
    )
    workings.insert(
        0,
        _working(
            "takeoff.edges", "Edge pieces", "sum of the pieces on the four sides", sums, total
        ),
    )
    return lines, workings


def _working(
    figure: str, title: str, equation: str, given: tuple[Number, ...], result: int
) -> Working:
    return Working(figure, title, equation, given, Number("count", result, "-"), _COUNTED)
