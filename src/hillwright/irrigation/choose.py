"""Which emitter and how many go to each plant, and how long the valve is open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange
from hillwright.irrigation.parts import EmitterType
from hillwright.irrigation.soilrules import Wetted
from hillwright.irrigation.tables import GALLON

_STEP = 300.0  # run times are tried every five minutes [s]
_MOST = 6  # emitters to one plant
_WASTE = 0.1  # of the water: less is not worth another emitter
_WETTED_BY = GALLON / 3600  # the table's emitter: 1 gph


@dataclass(frozen=True, slots=True, eq=False)
class Emitted:
    """Emitters of p plants of one hydrozone."""

    kind: Index  # (p,) which type each plant has
    count: Index  # (p,) how many
    run: float  # of the valve on the peak day [s]
    given: Array  # (p,) that each plant gets in that time at nominal flow [m3]


def emitters_wanted(area: Array, wetted: Wetted, share: float, nominal: float) -> Array:
    """Give how many emitters wet the wanted share of each plant's area.

    The table is for 1 gph; the wetted area of another flow is taken in proportion, at most one
    and a half times and at least half of it (common practice, no source).
    """
    each = wetted.area * min(max(nominal / _WETTED_BY, 0.5), 1.5)
    return np.maximum(np.ceil(share * area / each - 1e-9), 1.0)


def choose_emitters(
    demand: Array,
    area: Array,
    types: tuple[EmitterType, ...],
    longest_run: float,
    wetted: Wetted,
    share: float,
    gentle: Array | None = None,
    most: float = np.inf,
) -> Emitted:
    """Choose for every plant type and number, and one run time for all, so that least is wasted.

    Every plant gets at least its demand; among run times the one with the least water over the
    demand wins, told apart by tenths; among equals the one with fewer emitters, then the longer.

    Parameters
    ----------
    demand : (p,) array
        Of the peak day [m3].
    area : (p,) array
        Root zone of each plant [m2].
    types : tuple of EmitterType
        That may be taken.
    longest_run : float
        The valve may be open on a day [s].
    wetted : Wetted
        By one emitter of 1 gph in the plants' soil.
    share : float
        Of each area that must be wetted.
    gentle : (p,) array, optional
        Flow that no plant may get more of, as a rule for slopes asks [m3/s].
    most : float
        That one emitter may give [m3/s].

    Raises
    ------
    OutOfRange
        A plant needs more than the most emitters give in the longest run.
    """
    wet = np.array([emitters_wanted(area, wetted, share, t.nominal) for t in types])
    counts = np.arange(1, _MOST + 1)
    flow: Array = np.array([t.nominal for t in types])[:, None] * counts.astype(float)
    allowed = counts[None, :, None] >= np.minimum(wet, _MOST)[:, None, :]
    top = float(flow.max()) * longest_run
    if (bad := np.flatnonzero(demand > top * (1 + 1e-9))).size:
        short = float(demand[bad].max())
        raise OutOfRange(
            "irrigation.longest_run",
            f"{len(bad)} plants need up to {1e3 * short:.1f} litres a day, and {_MOST} of the "
            f"largest emitters give {1e3 * top:.1f} in the longest run",
            f"let the valve run {short / float(flow.max()) / 3600:.1f} h, or offer larger emitters",
        )
    price: Array = np.array([t.price for t in types])[:, None] * counts.astype(float)
    allowed &= np.array([t.nominal for t in types])[:, None, None] <= most * (1 + 1e-6)
    if gentle is not None:
        allowed &= flow[:, :, None] <= gentle * (1 + 1e-9)
        if (bad := np.flatnonzero(~allowed.any(axis=(0, 1)))).size:
            raise OutOfRange(
                "irrigation.gentle",
                f"{len(bad)} plants get more than the rule for this slope lets land on them from "
                "the fewest of the smallest emitters that wet enough",
                "offer smaller emitters, let less of a cell be wetted, or leave gentle out",
            )
    best = _searched(demand, flow, price, allowed, longest_run)
    if best is None:
        where = "irrigation.longest_run" if gentle is None else "irrigation.gentle"
        right = "let the valve run longer"
        raise OutOfRange(
            where,
            f"no emitters give every plant its need in {longest_run / 60:.0f} min",
            right if gentle is None else f"{right}, or leave gentle out",
        )
    kind, count = np.divmod(best.picked, _MOST)
    return Emitted(
        np.asarray(kind, np.intp),
        np.asarray(counts[count], np.intp),
        best.run,
        np.asarray(flow.ravel()[best.picked] * best.run, float),
    )


class _Found(NamedTuple):
    """The best of all run times."""

    picked: Index  # (p,) of types times counts
    run: float


def _searched(
    demand: Array, flow: Array, price: Array, allowed: Mask, longest_run: float
) -> _Found | None:
    """Try every run time, the longest first; none where even that does not do."""
    best: tuple[tuple[int, int, float], Index, float] | None = None
    for run in np.arange(_STEP, longest_run + 1, _STEP)[::-1]:
        gives = flow * run
        enough = allowed & (gives[:, :, None] >= demand * (1 - 1e-9))
        if not enough.any(axis=(0, 1)).all():
            break  # shorter runs give less still
        # least water first, then the cheapest of those that give the same
        rank = np.where(enough, gives[:, :, None] + 1e-9 * price[:, :, None], np.inf)
        picked = rank.reshape(-1, len(demand)).argmin(axis=0)
        waste = float(gives.ravel()[picked].sum() - demand.sum())
        many = int((picked % _MOST + 1).sum())
        key = (round(waste / float(demand.sum()) / _WASTE), many, -float(run))
        if best is None or key < best[0]:
            best = key, picked, float(run)
    if best is None:
        return None
    return _Found(best[1], best[2])
