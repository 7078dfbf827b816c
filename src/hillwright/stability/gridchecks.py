"""What clips, bars and walls must stand, each with the factor that it must have."""

from __future__ import annotations

import numpy as np

from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import factor_sources, required_factors
from hillwright.stability.anchoring import Held
from hillwright.stability.anchors import check_row, check_rows
from hillwright.stability.construction import building_loads
from hillwright.stability.model import Anchoring, CheckRow

PEOPLE = "while it is built"  # stands in the rows with people on the cells


def grid_checks(
    layout: Layout, holding: Holding, held: Held, more: tuple[CheckRow, ...]
) -> tuple[CheckRow, ...]:
    """Give a row for each thing that could give way; ``more`` are those of the toe and the wall."""
    found = held.anchoring
    rows = [_clips(layout, holding, found)] if found.pair.size else []
    if held.chosen is not None:
        rows += [_subject(row, found) for row in held.chosen.checks]
        rows += _people(layout, holding, found, held.chosen.allowable)
    rows += more
    return check_rows(rows) if rows else ()


def _clips(layout: Layout, holding: Holding, found: Anchoring) -> CheckRow:
    need, pair = required_factors()["connection"], holding.clip_strength
    each = layout.cell.clips_per_edge
    note = f"{each} clips share it" if each > 1 else ""
    source = factor_sources()["connection"]
    demand = float(found.pair.max())
    return check_row("clips of a pair, soaked", demand, pair * each, "N", need, source, note)


def _subject(row: CheckRow, found: Anchoring) -> CheckRow:
    """Say where a capacity is one that a pull test has yet to show."""
    by_test = row.what in ("anchor, pullout", "anchor, lateral soil")
    if not (found.test_load and by_test):
        return row
    return row._replace(note="if a pull test in soaked ground shows it")


def _people(
    layout: Layout, holding: Holding, found: Anchoring, per_bar: float
) -> tuple[CheckRow, ...]:
    """Hold clips and bars against people who stand on rows that are hung and not yet filled."""
    loads = building_loads(
        layout.row,
        layout.number,
        layout.clips,
        found.hangs,
        found.pull[0],
        found.pull[1],
        found.standing,
    )
    need, source = required_factors()["connection"], factor_sources()["connection"]
    note = f"{holding.people} people on one row; their friction is not counted"
    strength = holding.clip_strength * layout.cell.clips_per_edge
    heads = np.flatnonzero(found.hangs)
    worst = heads[int(np.argmax(loads.anchors[heads] / found.count[heads]))]
    rows = [
        check_row(
            f"bars of a cell, {PEOPLE}",
            float(loads.anchors[worst]),
            float(found.count[worst] * per_bar),
            "N",
            1.0,
            source,
            f"{note}; the factor is in the capacity",
        )
    ]
    if len(layout.clips):
        demand = float(loads.pairs.max())
        rows.insert(
            0, check_row(f"clips of a pair, {PEOPLE}", demand, strength, "N", need, source, note)
        )
    return tuple(rows)
