"""What it would take to let people walk on rows that carry nobody yet."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import required_factors
from hillwright.stability.anchoring import Held, clip_limit, walkers
from hillwright.stability.barchoice import RowsAndBars, best_choice
from hillwright.stability.clipload import clip_loads

_STEP = 50.0  # strengths that a clip is asked for are whole steps of this, rounded up [N]
_TRIES = 8  # times that a stronger clip is tried
_STRONGER = 1.25  # each over the one before


class WayToWalk(NamedTuple):
    """Bars, and where these do not do, clips, that hold people on the rows they are to walk."""

    people: int  # on one row at once
    clip: float  # that each clip must hold; 0 where those of the job do [N]
    bar: int
    length: float  # [m]
    total: int  # bars
    more: int  # than without people
    rows: int  # staked besides row 1
    test: float  # that a wet pull test must show first; 0 where none must [N]


def way_to_walk(
    layout: Layout, holding: Holding, held: Held, walked: tuple[int, ...]
) -> WayToWalk | None:
    """Find the most people, up to ``holding.people``, that the job's clips could hold, or one.

    Parameters
    ----------
    layout, holding
        The cells, and what there is to hold them.
    held : Held
        Without people.
    walked : tuple of int
        Rows with walking cells.

    Returns
    -------
    WayToWalk or None
        None where not even stronger clips would do, or nothing is held yet.
    """
    found, wanted = held.anchoring, held.wanted
    if wanted is None or held.chosen is None or not found.person:
        return None
    lowest = max(walked, default=layout.rows)
    for count in range(holding.people, 0, -1):
        who = walkers(count, found.person, found.pull, lowest)
        made = best_choice(wanted._replace(walkers=who))
        if not isinstance(made, str):
            return _told(layout, held, made, count, 0.0)
    dry = clip_loads(layout.row, layout.number, layout.clips, found.hangs, found.pull[:2]).pair
    need = required_factors()["connection"] / layout.cell.clips_per_edge
    strength = need * (found.person + float(dry.max(initial=0.0)))
    for _ in range(_TRIES):
        strength = float(np.ceil(strength / _STEP) * _STEP)
        stronger = holding.model_copy(update={"clip_strength": strength})
        tried = wanted._replace(
            walkers=walkers(1, found.person, found.pull, lowest),
            clip_limit=clip_limit(layout, stronger),
            holding=stronger,
        )
        made = best_choice(tried)
        if not isinstance(made, str):
            return _told(layout, held, made, 1, strength)
        strength *= _STRONGER
    return None


def _told(layout: Layout, held: Held, made: RowsAndBars, count: int, clip: float) -> WayToWalk:
    staked = np.unique(layout.row[made.hung.hangs & (layout.row > 1)])
    return WayToWalk(
        count,
        clip,
        made.bars.bar,
        made.bars.length,
        made.bars.total,
        made.bars.total - int(held.anchoring.count.sum()),
        len(staked),
        made.test,
    )
