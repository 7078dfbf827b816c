"""Volumes from sections and from spot heights, as hand books work them out."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


class EndAreaRules(NamedTuple):
    """One volume between two sections by each rule."""

    aea: Array
    prismoidal: Array
    frustum_rule: Array
    exact_pyramid: Array
    mid_area: Array


class Earthwork(NamedTuple):
    """Cut and fill along a line of stations."""

    cut: float
    fill: float
    net_fill_needed: float
    cuts: Array
    fills: Array


class LevelPrismoid(NamedTuple):
    """A cutting between two level sections."""

    a1: Array
    a2: Array
    aea: Array
    correction: Array
    prismoidal: Array


class GridVolume(NamedTuple):
    """Excavation from a grid of spot heights."""

    volume: float
    cell_means: Array
    first_cell_mean_depth: float
    cut: float
    fill: float


def _sizes(**given: ArrayLike) -> list[Array]:
    """Read areas and lengths; every one is 0 or more."""
    found = []
    for name, value in given.items():
        size = np.asarray(value, float)
        if (bad := ~((size >= 0) & np.isfinite(size))).any():
            raise OutOfRange(
                name, f"{np.atleast_1d(size)[np.atleast_1d(bad)][0]:g} is no size", "give 0 or more"
            )
        found.append(size)
    return found


@method(
    title="Volume by average end areas",
    equation="V = L (A1 + A2) / 2",
    source="Ghilani and Wolf, Elementary Surveying, ch. 26 (from memory)",
)
def average_end_area(a1: ArrayLike, a2: ArrayLike, length: ArrayLike) -> Array:
    """Give the earth between two sections; overstates where they differ much.

    Parameters
    ----------
    a1, a2 : (...) array
        Areas of the two sections, 0 or more. [m2]
    length : (...) array
        From one to the other, 0 or more. [m]

    Returns
    -------
    (...) array
        Volume. [m3]

    Raises
    ------
    OutOfRange
        An area or length below zero.

    Notes
    -----
    Exact where the area changes evenly along the line; +50 % on a pyramid.
    """
    first, second, far = _sizes(a1=a1, a2=a2, length=length)
    return np.asarray(far * (first + second) / 2)


@method(
    title="Volume by the prismoidal formula",
    equation="V = L (A1 + 4 Am + A2) / 6",
    source="Hicks (ed.), Handbook of Civil Engineering Calculations",
)
def prismoidal(a1: ArrayLike, am: ArrayLike, a2: ArrayLike, length: ArrayLike) -> Array:
    """Give the earth between two sections whose middle section is known too.

    Parameters
    ----------
    a1, am, a2 : (...) array
        Areas of the first, middle and last section, 0 or more. [m2]
    length : (...) array
        From first to last, 0 or more. [m]

    Returns
    -------
    (...) array
        Volume. [m3]

    Raises
    ------
    OutOfRange
        An area or length below zero.

    Notes
    -----
    The middle section comes from the mean of the coordinates, never from the mean of the areas.
    """
    first, middle, last, far = _sizes(a1=a1, am=am, a2=a2, length=length)
    return np.asarray(far * (first + 4 * middle + last) / 6)


@method(
    title="One volume by each end-area rule",
    equation=(
        "average L (A1 + A2)/2; frustum L (A1 + sqrt(A1 A2) + A2)/3; "
        "prismoidal L (A1 + 4 Am + A2)/6, Am = [(sqrt A1 + sqrt A2)/2]^2 for like sections"
    ),
    source="exact geometry",
)
def end_area_rules(a1: ArrayLike, a2: ArrayLike, length: ArrayLike) -> EndAreaRules:
    """Compare the rules on two sections of like shape, to see what the average overstates.

    Parameters
    ----------
    a1, a2 : (...) array
        Areas of the two sections, 0 or more. [m2]
    length : (...) array
        From one to the other, 0 or more. [m]

    Returns
    -------
    aea : (...) array
        By average end areas. [m3]
    prismoidal : (...) array
        By the prismoidal formula. [m3]
    frustum_rule : (...) array
        Frustum of a pyramid. [m3]
    exact_pyramid : (...) array
        L A / 3 where one end is zero; not a number elsewhere. [m3]
    mid_area : (...) array
        Middle section of like shape. [m2]

    Raises
    ------
    OutOfRange
        An area or length below zero.
    """
    first, second, far = _sizes(a1=a1, a2=a2, length=length)
    middle = ((np.sqrt(first) + np.sqrt(second)) / 2) ** 2
    frustum = np.asarray(far * (first + np.sqrt(first * second) + second) / 3)
    pyramid = np.where(np.minimum(first, second) == 0, far * (first + second) / 3, np.nan)
    six = np.asarray(far * (first + 4 * middle + second) / 6)
    return EndAreaRules(np.asarray(far * (first + second) / 2), six, frustum, pyramid, middle)


@method(
    title="Cut and fill along stations",
    equation="V = L (A1 + A2)/2, and L A/3 (a pyramid) where one of the two areas is zero",
    source="Wikibooks, Fundamentals of Transportation/Earthwork",
)
def earthwork(stations: ArrayLike, cut_area: ArrayLike, fill_area: ArrayLike) -> Earthwork:
    """Add up cut and fill from section to section, with pyramids at the zero ends.

    Parameters
    ----------
    stations : (n,) array
        Distances along the line, rising. [m]
    cut_area, fill_area : (n,) array
        Areas of each section, 0 or more. [m2]

    Returns
    -------
    cut : float
        To take out. [m3]
    fill : float
        To put in. [m3]
    net_fill_needed : float
        Fill less cut; below zero is earth to spare. [m3]
    cuts, fills : (n - 1,) array
        From each station to the next. [m3]

    Raises
    ------
    OutOfRange
        Fewer than 2 stations, stations that do not rise, lists of different length, or an area
        below zero.
    """
    along = np.asarray(stations, float)
    cut, fill = _sizes(cut_area=cut_area, fill_area=fill_area)
    if along.ndim != 1 or len(along) < 2:
        raise OutOfRange("stations", f"{along.size} of them", "give at least 2")
    for name, areas in (("cut_area", cut), ("fill_area", fill)):
        if areas.shape != along.shape:
            raise OutOfRange(name, f"{areas.size} areas", f"give {len(along)}, one per station")
    step = np.diff(along)
    if (bad := ~(step > 0)).any():
        i = int(np.flatnonzero(bad)[0]) + 2
        raise OutOfRange(f"station {i}", "not beyond the one before", "give stations that rise")

    def between(areas: Array) -> Array:
        low, high = np.minimum(areas[:-1], areas[1:]), np.maximum(areas[:-1], areas[1:])
        return np.where(low == 0, step * high / 3, step * (low + high) / 2)

    cuts, fills = between(cut), between(fill)
    total_cut, total_fill = float(cuts.sum()), float(fills.sum())
    return Earthwork(total_cut, total_fill, total_fill - total_cut, cuts, fills)


@method(
    title="Prismoidal correction of level sections",
    equation="A = (b + s h) h; correction = L s (h1 - h2)^2 / 6; prismoidal = average - correction",
    source="prismoidal correction for level sections (from memory)",
)
def level_prismoid(
    length: ArrayLike,
    side_slope: ArrayLike,
    base_width: ArrayLike,
    h1: ArrayLike,
    h2: ArrayLike,
) -> LevelPrismoid:
    """Give the earth between two level sections of a cutting or bank.

    Parameters
    ----------
    length : (...) array
        From one section to the other, 0 or more. [m]
    side_slope : (...) array
        Run per rise of the sides, as 1.5 of 1.5H:1V, 0 or more. [-]
    base_width : (...) array
        Of the level bottom (or top), 0 or more. [m]
    h1, h2 : (...) array
        Depths at the two sections, 0 or more. [m]

    Returns
    -------
    a1, a2 : (...) array
        Areas of the sections. [m2]
    aea : (...) array
        Volume by average end areas. [m3]
    correction : (...) array
        To be taken off it. [m3]
    prismoidal : (...) array
        Volume by the prismoidal formula. [m3]

    Raises
    ------
    OutOfRange
        A length, slope, width or depth below zero.
    """
    far, s, b, first, second = _sizes(
        length=length, side_slope=side_slope, base_width=base_width, h1=h1, h2=h2
    )
    a1, a2 = (b + s * first) * first, (b + s * second) * second
    aea = np.asarray(far * (a1 + a2) / 2)
    correction = np.asarray(far * s * (first - second) ** 2 / 6)
    return LevelPrismoid(a1, a2, aea, correction, aea - correction)


@method(
    title="Excavation from a grid of spot heights",
    equation="V = sum over cells of A [(h1 + h2 + h3 + h4)/4 - formation]",
    source="volume from spot heights, mean of four corners; Ghilani and Wolf ch. 26 (from memory)",
)
def grid_volume(
    levels: ArrayLike, cell: float, formation: ArrayLike, cell_down: float | None = None
) -> GridVolume:
    """Give the earth between levelled grid corners and a level formation.

    Parameters
    ----------
    levels : (ny, nx) array
        Ground at the grid corners, row by row. [m]
    cell : float
        Spacing along a row, and down too when no other is given. [m]
    formation : float or (ny, nx) array
        Level to dig to, one or at each corner. [m]
    cell_down : float, optional
        Spacing from row to row. [m]

    Returns
    -------
    volume : float
        Ground above formation less ground below it. [m3]
    cell_means : ((ny - 1) (nx - 1),) array
        Mean depth of each cell, row by row. [m]
    first_cell_mean_depth : float
        That of the first one. [m]
    cut : float
        Sum of the cells whose mean stands above the formation. [m3]
    fill : float
        Sum of the cells whose mean lies below it. [m3]

    Raises
    ------
    OutOfRange
        Fewer than 2 rows or columns, a corner without a level, or no spacing.

    Notes
    -----
    Cells are not split where the formation cuts through them: cut and fill there are understated.
    """
    z = np.asarray(levels, float)
    down = cell if cell_down is None else cell_down
    if z.ndim != 2 or min(z.shape) < 2:
        raise OutOfRange("levels", f"a grid of shape {z.shape}", "give at least 2 rows of 2 levels")
    if (bad := ~np.isfinite(z)).any():
        i, j = (int(k) + 1 for k in np.argwhere(bad)[0])
        raise OutOfRange(f"levels: row {i}, place {j}", "no level here", "give a number")
    if not (cell > 0 and down > 0 and np.isfinite(cell * down)):
        raise OutOfRange("cell", "no spacing between the levels", "give a spacing above 0")
    goal = np.asarray(formation, float)
    if goal.shape not in ((), z.shape) or not np.isfinite(goal).all():
        raise OutOfRange("formation", "not one level, nor one per corner", "give one level")
    depth = z - goal
    means = ((depth[:-1, :-1] + depth[:-1, 1:] + depth[1:, :-1] + depth[1:, 1:]) / 4).ravel()
    earth = means * cell * down
    return GridVolume(
        float(earth.sum()),
        means,
        float(means[0]),
        float(earth[earth > 0].sum()),
        float(-earth[earth < 0].sum()) + 0.0,
    )
