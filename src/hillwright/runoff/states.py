"""The hill in its four states: bare, just built, in its first wet season, and grown in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.data import table
from hillwright.runoff.cover import grass_cover
from hillwright.runoff.curvenumber import number_range, tabled_number
from hillwright.runoff.lsfactor import ls_range
from hillwright.runoff.soilloss import soil_loss
from hillwright.runoff.tables import rows

Range = tuple[float, float, float]  # low, best, high


class LossRange(NamedTuple):
    """Yearly soil loss with its range."""

    low: Array  # [kg/m2]
    best: Array
    high: Array


@dataclass(frozen=True, slots=True)
class CoverState:
    """What covers the hill at one time, and the factors that follow from it."""

    name: str  # "bare hill", "just built", "first wet season", "grown in"
    words: str
    ground_cover: Range  # share of the ground, from what loses least to what loses most
    c: Range  # cover factor
    p: Range  # practice factor
    rill_ratio: float  # of ls_rusle
    cover: str  # row of the curve number table
    treatment: str
    conditions: tuple[str, str, str]
    rows: bool  # the rows are in: slope length is their pitch
    sheet: str  # row of the table of sheet-flow roughness
    farm: str  # row of the farm table of runoff coefficients
    source: str
    status: str


def cover_states() -> tuple[CoverState, ...]:
    """Give the four states in their order (``data/soil_loss.toml``, states)."""
    meta = table("soil_loss")["states"]
    return tuple(_state(r, meta["source"], meta["status"]) for r in rows("soil_loss", "states"))


def _state(row: dict[str, object], source: str, status: str) -> CoverState:
    def three(name: str, end: str = "") -> list[object]:
        return [row[f"{name}_{k}{end}"] for k in ("low", "best", "high")]

    low, best, high = (float(str(v)) / 100 for v in three("ground_cover", "_pct"))
    p_low, p_best, p_high = (float(str(v)) for v in three("p"))
    bad, usual, good = (str(v) for v in three("condition"))
    return CoverState(
        name=str(row["state"]),
        words=str(row["words"]),
        ground_cover=(low, best, high),
        c=(float(grass_cover(low)), float(grass_cover(best)), float(grass_cover(high))),
        p=(p_low, p_best, p_high),
        rill_ratio=float(str(row["rill_ratio"])),
        cover=str(row["cover"]),
        treatment=str(row["treatment"]),
        conditions=(bad, usual, good),
        rows=bool(row["rows"]),
        sheet=str(row["sheet"]),
        farm=str(row["farm"]),
        source=source,
        status=status,
    )


def state_numbers(state: CoverState, group: str) -> Range:
    """Give the curve number of a state on a soil group: P10, P50 and P90.

    The middle one is tabled; the ends are its dry and wet envelopes, none below 30.

    Raises
    ------
    OutOfRange
        A soil group other than A to D.
    """
    best = tabled_number(state.cover, group, state.conditions[1], state.treatment)
    ends = number_range(best)
    return max(float(ends.dry), 30.0), best, float(ends.wet)


def state_loss(
    state: CoverState,
    erosivity: float,
    erodibility: Range,
    length: ArrayLike,
    slope: ArrayLike,
) -> LossRange:
    """Give the yearly soil loss of a hill in one state.

    Parameters
    ----------
    state : CoverState
        One of :func:`cover_states`.
    erosivity : float
        R of a year [MJ mm/(ha h), as SI]; 1 where only ratios are wanted.
    erodibility : (low, best, high)
        K [t h/(MJ mm), as SI].
    length : (n,) array
        Slope length along the plan: of the hill before, the pitch of the rows after [m].
    slope : (n,) array
        Angle of the ground [rad].

    Returns
    -------
    LossRange
        (n,) each. Low and high take the ends of K, LS, C and P as chances of their own: the
        logarithms of their ratios to the best are added in squares.

    Raises
    ------
    OutOfRange
        A negative factor or length, or an angle that is none of ground.
    """
    ls = ls_range(length, slope, state.rill_ratio)
    best = soil_loss(erosivity, erodibility[1], ls.best, state.c[1], state.p[1])
    parts = (state.c, state.p, erodibility, (ls.low, ls.best, ls.high))
    low = best / np.exp(_spread((p[0], p[1]) for p in parts))
    high = best * np.exp(_spread((p[1], p[2]) for p in parts))
    return LossRange(np.asarray(low), best, np.asarray(high))


def _spread(pairs: Iterable[tuple[ArrayLike, ArrayLike]]) -> Array:
    """Give the root of the summed squares of log(more / less); 0 where a factor is 0."""
    total: Array = np.zeros(())
    for ends in pairs:
        less, more = (np.asarray(e, float) for e in ends)
        ratio = np.where(less > 0, more / np.where(less > 0, less, 1.0), 1.0)
        total = total + np.log(ratio) ** 2
    return np.asarray(np.sqrt(total))
