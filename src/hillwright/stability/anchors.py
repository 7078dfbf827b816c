"""Anchors and stakes: how many, which bar, how deep, and where on the layout."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.anchorbars import WAYS, BarCapacities, factor_sources
from hillwright.stability.given import above_zero, at_least_zero, fitting
from hillwright.stability.model import CheckRow

_MOST = 1_000_000  # anchors at one cell: more is no answer, only a way to say so
_ROUNDING = 1e-9  # of a count: 72.0000000001 anchors are 72


class AnchorCount(NamedTuple):
    """How many anchors along a row."""

    anchors: Index
    spacing: Array


class BarChoice(NamedTuple):
    """The anchors of some cells, all of one bar and one embedment."""

    bar: int  # number, as in No. 4
    diameter: float  # [m]
    length: float  # in the ground [m]
    counts: Index  # (k,) at each cell, at least 1
    total: int
    spacing: float  # at the cell that pulls hardest [m]
    allowable: float  # of one [N]
    adequate: bool  # no nearer than bars may stand
    test_needed: float  # what a wet pull test must show so that as many as fit would do [N]
    checks: tuple[CheckRow, ...]


@method(
    title="Number of anchors from a demand per metre",
    equation="n = ceil(T B/R); s = B/n",
    source="common practice, no source",
    symbols={
        "n": "anchors",
        "s": "distance between them",
        "T": "force_per_metre",
        "B": "width",
        "R": "allowable",
    },
)
def anchor_count(force_per_metre: ArrayLike, width: ArrayLike, allowable: ArrayLike) -> AnchorCount:
    """Count anchors along a row, rounded up, at least one.

    Parameters
    ----------
    force_per_metre : (...) array
        To be held along the row, >= 0. [N/m]
    width : (...) array
        Of the row, > 0. [m]
    allowable : (...) array
        Of one anchor: the least of steel, connection, pullout and the ground beside it, each with
        its own factor, > 0. [N]

    Returns
    -------
    anchors : (...) array of int
        Along the row. [-]
    spacing : (...) array
        From one to the next, half of it at the ends. [m]

    Raises
    ------
    OutOfRange
        A width or allowable force of zero or less, a negative demand, over a million anchors.

    Notes
    -----
    An even pull along the row; see the cells one by one where it is not. A spacing of a few
    diameters is no answer: bars that near work as one.
    """
    fitting(**locals())
    w = above_zero("width", width)
    exact = (
        at_least_zero("force_per_metre", force_per_metre) * w / above_zero("allowable", allowable)
    )
    if (exact > _MOST).any():
        right = "check the units of force and allowable load"
        raise OutOfRange("force_per_metre", "would take over a million anchors", right)
    count = np.maximum(np.ceil(exact - _ROUNDING), 1.0).astype(np.intp)
    return AnchorCount(*np.broadcast_arrays(count, w / count))


def choose_bars(pull: Array, width: float, bars: BarCapacities) -> BarChoice:
    """Choose the bar and embedment that hold a row of cells with the least effort.

    Parameters
    ----------
    pull : (k,) array
        On the anchors of each cell, >= 0 [N].
    width : float
        Of a cell along the row [m].
    bars : BarCapacities
        What every combination holds.

    Returns
    -------
    BarChoice
        The adequate one of least effort over all cells; where none is, the strongest, and
        ``adequate`` is False.

    Raises
    ------
    OutOfRange
        No cells, or a pull below 0.
    """
    pulls = np.atleast_1d(at_least_zero("pull", pull))
    if not pulls.size:
        raise OutOfRange("pull", "there is no anchored cell", "give the pull of at least one")
    w = float(above_zero("width", width))
    with np.errstate(divide="ignore", invalid="ignore"):
        exact = np.where(bars.allowable > 0, pulls[:, None] / bars.allowable, np.inf)
    counts = np.clip(np.ceil(exact - _ROUNDING), 1, _MOST).astype(np.intp)
    spacing = w / counts.max(axis=0)
    fits = (spacing >= bars.spacing * (1 - 1e-9)) & (bars.allowable > 0)
    effort = counts.sum(axis=0) * bars.effort
    # with none that fits, the one that needs the fewest; the effort parts equals
    i = (
        int(np.argmin(np.where(fits, effort, np.inf)))
        if fits.any()
        else int(np.lexsort((effort, counts.max(axis=0)))[0])
    )
    count = counts[:, i]
    most = int(np.maximum(np.floor(w / bars.spacing[i] + 1e-9), 1))
    return BarChoice(
        int(bars.bar[i]),
        float(bars.diameter[i]),
        float(bars.length[i]),
        count,
        int(count.sum()),
        float(spacing[i]),
        float(bars.allowable[i]),
        bool(fits[i]),
        float(pulls.max() / most * bars.required[0].max()),
        _explain(pulls, count, bars, i, float(spacing[i])),
    )


def most_per_cell(width: float, bars: BarCapacities) -> float:
    """Give the most that the anchors of one cell could ever hold, with the best bar [N]."""
    fit = np.maximum(np.floor(float(above_zero("width", width)) / bars.spacing + 1e-9), 1)
    return float((fit * bars.allowable).max())


def anchor_places(corners: Array, count: Index) -> Array:
    """Give where anchors stand: spread evenly along the upper edge of each cell.

    Parameters
    ----------
    corners : (k, 4, 3) array
        Upper left, upper right, lower right, lower left of each anchored cell [m].
    count : (k,) array of int
        Anchors at each.

    Returns
    -------
    (s, 3) array
        In order of cell, from the left looking uphill [m].
    """
    cell = np.repeat(np.arange(len(count)), count)
    first = np.cumsum(count) - count
    share = (np.arange(len(cell)) - first[cell] + 0.5) / np.asarray(count)[cell]
    left, right = corners[cell, 0], corners[cell, 1]
    return np.asarray(left + (right - left) * share[:, None])


def check_rows(rows: list[CheckRow]) -> tuple[CheckRow, ...]:
    """Mark the check that is nearest to what is required."""
    margin = [r.factor / r.required for r in rows]
    worst = int(np.argmin(margin))
    return tuple(r._replace(governing=i == worst) for i, r in enumerate(rows))


def check_row(
    what: str,
    demand: float,
    capacity: float,
    unit: str,
    required: float,
    source: str,
    note: str = "",
) -> CheckRow:
    """Give one check; nothing asked is an endless factor."""
    factor = capacity / demand if demand > 0 else np.inf
    return CheckRow(what, demand, capacity, unit, float(factor), required, False, source, note)


def _explain(
    pulls: Array, count: Index, bars: BarCapacities, i: int, spacing: float
) -> tuple[CheckRow, ...]:
    demand = float((pulls / count).max())
    notes = {
        "code post": "allowable by the code formula: its factor is in it",
        "steel": f"after {bars.rust * 1e3:.2f} mm of rust on each side",
    }
    rows = [
        check_row(
            f"anchor, {way}",
            demand,
            float(bars.capacity[j, i]),
            "N",
            float(bars.required[j, i]),
            factor_sources().get(way, "IBC section 1807.3.2.1"),
            notes.get(way, ""),
        )
        for j, way in enumerate(WAYS)
        if np.isfinite(bars.capacity[j, i])
    ]
    near, source = float(bars.spacing[i]), "8 diameters: from memory; common practice, no source"
    rows.append(check_row("anchor spacing", near, spacing, "m", 1.0, source))
    return check_rows(rows)
