"""What clips, bars and walls must stand, each with the factor that it must have."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import factor_sources, required_factors
from hillwright.stability.anchoring import Held
from hillwright.stability.anchors import check_row, check_rows
from hillwright.stability.clipload import clip_loads
from hillwright.stability.model import Anchoring, CheckRow

PEOPLE = "hung and empty, with people"  # of the rows with people on the cells
AFTER = "filled, with people"
_CROWD = 20


def grid_checks(
    layout: Layout,
    holding: Holding,
    held: Held,
    more: tuple[CheckRow, ...],
    walked: tuple[int, ...] = (),
) -> tuple[CheckRow, ...]:
    """Give a row for each thing that could give way; ``more`` are those of the toe and the wall.

    ``walked`` are the rows with walking cells: once filled, people stand on these.
    """
    found = held.anchoring
    rows = [_clips(layout, holding, found)] if found.pair.size else []
    if held.chosen is not None:
        rows += [_subject(row, found) for row in held.chosen.checks]
        rows += _people(layout, holding, found, held.chosen.allowable, walked)
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
    layout: Layout, holding: Holding, found: Anchoring, per_bar: float, walked: tuple[int, ...]
) -> tuple[CheckRow, ...]:
    """Hold clips and bars against people on rows that are hung and empty, and on filled ones."""
    need, source = required_factors()["connection"], factor_sources()["connection"]
    strength = holding.clip_strength * layout.cell.clips_per_edge
    standing = holding.people * found.person
    note = f"{holding.people} people on one row, less what friction under their feet holds"
    rows = []
    for when, k in ((PEOPLE, 0), (AFTER, 1)):
        heads, pairs = _under_people(layout, found, walked if when == AFTER else ())
        loads = clip_loads(layout.row, layout.number, layout.clips, found.hangs, found.pull[k])
        if pairs.any():
            demand = float(loads.pair[pairs].max()) + standing
            rows.append(
                check_row(f"clips of a pair, {when}", demand, strength, "N", need, source, note)
            )
        if not len(heads):
            continue
        carried = loads.anchor[heads] + standing
        worst = int(np.argmax(carried / found.count[heads]))
        rows.append(
            check_row(
                f"bars of a cell, {when}",
                float(carried[worst]),
                float(found.count[heads[worst]] * per_bar),
                "N",
                1.0,
                source,
                f"{note}; the factor is in the capacity",
            )
        )
    return tuple(rows)


def _under_people(layout: Layout, found: Anchoring, walked: tuple[int, ...]) -> tuple[Index, Mask]:
    """Give the cells on bars, and tell the pairs of clips, that hold whoever stands on some rows.

    A row hangs from those above it: what lies under the lowest of them holds nobody.
    """
    lowest = max(walked, default=layout.rows)
    heads = np.flatnonzero(found.hangs & (layout.row <= lowest))
    return heads, np.asarray((layout.row[layout.clips] <= lowest).all(axis=1), bool)


def people_allowed(
    layout: Layout, holding: Holding, found: Anchoring, per_bar: float,
    walked: tuple[int, ...] = (),
) -> int:  # fmt: skip
    """Give how many people any filled row carries at once, dry, by clips and bars; 20 at most.

    Of the rows with walking cells, where it is known which they are.
    """
    if not found.person:
        return _CROWD
    loads = clip_loads(layout.row, layout.number, layout.clips, found.hangs, found.pull[1])
    heads, pairs = _under_people(layout, found, walked)
    if not len(heads):
        return _CROWD
    spare = float((found.count[heads] * per_bar - loads.anchor[heads]).min())
    limit = holding.clip_strength * layout.cell.clips_per_edge / required_factors()["connection"]
    if pairs.any():
        spare = min(spare, limit - float(loads.pair[pairs].max()))
    return int(min(max(spare / found.person, 0.0), _CROWD))
