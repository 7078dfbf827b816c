"""What no placing can beat, and what some placing is sure to reach."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.method import method

ROUNDING = 1e-9  # share of a cell by which an area may be wrong: 304 cells' area holds 304 cells


class MeanCount(NamedTuple):
    """What the area of the anchor positions says."""

    mean: Array
    guaranteed: Index


@method(
    title="Most cells that an area can hold",
    equation="n <= floor(A / a)",
    source="exact geometry",
)
def area_bound(area: Array | float, cell_area: Array | float) -> Index:
    """Give the number of cells that no placing, shifted or turned, can exceed.

    Parameters
    ----------
    area : float or (n,) array
        Of the outline less its exclusions, in the sheet of the cells, >= 0. [m2]
    cell_area : float or (n,) array
        Width times run of the cell, > 0. [m2]

    Returns
    -------
    value : int or (n,) array
        Whole cells. [-]

    Raises
    ------
    OutOfRange
        A negative area, or a cell without area.
    """
    whole, cell = _areas(area, cell_area)
    return np.floor(whole / cell * (1 + ROUNDING) + ROUNDING).astype(np.intp)[()]


@method(
    title="Mean count over all shifts, and the count that some shift is sure to reach",
    equation="mean = A(E) / a;  some shift holds n >= ceil(mean)",
    source="Blichfeldt 1914 (averaging: mean count over translates = area / cell area)",
)
def mean_count(erosion_area: Array | float, cell_area: Array | float) -> MeanCount:
    """Give the mean number of whole cells over all shifts of the lattice.

    Parameters
    ----------
    erosion_area : float or (n,) array
        Area of the positions of one corner of the cell for which the whole cell lies in the
        outline and off every exclusion, >= 0. [m2]
    cell_area : float or (n,) array
        Width times run of the cell, > 0. [m2]

    Returns
    -------
    mean : float or (n,) array
        Over uniformly random shifts. [-]
    guaranteed : int or (n,) array
        Whole cells that at least one shift reaches. [-]

    Raises
    ------
    OutOfRange
        A negative area, or a cell without area.

    Notes
    -----
    For one direction of the rows; stacked and half-offset bond alike.
    """
    whole, cell = _areas(erosion_area, cell_area)
    mean = whole / cell
    sure = np.ceil(mean * (1 - ROUNDING) - ROUNDING).astype(np.intp)
    return MeanCount(mean[()], sure[()])


def _areas(area: Array | float, cell_area: Array | float) -> tuple[Array, Array]:
    whole, cell = np.asarray(area, dtype=float), np.asarray(cell_area, dtype=float)
    if not (np.isfinite(cell).all() and (cell > 0).all()):
        raise OutOfRange("cell area", f"{cell_area} is not above 0", "give width times run")
    if not (np.isfinite(whole).all() and (whole >= 0).all()):
        raise OutOfRange("area", f"{area} is not 0 or more", "give the area inside the strings")
    return whole, cell
