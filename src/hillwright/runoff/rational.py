"""Peak discharge by the rational method, its coefficients, and a difference in storage."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.tables import ACRE, CUBIC_FOOT, rows, words

_HEC22 = "FHWA 2024, HEC-22 4th ed."
_LARGEST = 200 * ACRE


class CoefficientRange(NamedTuple):
    """A runoff coefficient as its table gives it."""

    least: float
    most: float


class TriangleRunoff(NamedTuple):
    """Runoff under a triangular hydrograph."""

    depth: Array
    volume: Array


class StorageDifference(NamedTuple):
    """What a changed surface lets go of or holds back."""

    depth: Array
    volume: Array


@method(
    title="Runoff coefficient of several covers",
    equation="C = sum(C_i A_i) / sum(A_i)",
    source=_HEC22 + ", equation 4.2",
)
def weighted_coefficient(area: Array, coefficient: Array) -> Array:
    """Give the area-weighted runoff coefficient.

    Parameters
    ----------
    area : (n,) array
        Area of each cover, or its share. [any]
    coefficient : (n,) array
        0 to 1. [-]

    Returns
    -------
    float
        Weighted by area. [-]

    Raises
    ------
    OutOfRange
        Areas of 0 or below, not one for each coefficient, or a coefficient outside 0 to 1.
    """
    a = np.atleast_1d(given.above_zero("area", area))
    c = np.atleast_1d(given.share("coefficient", coefficient))
    if a.shape != c.shape or a.ndim != 1:
        what = f"{a.size} areas stand beside {c.size} coefficients"
        raise OutOfRange("area", what, "give one area for each coefficient")
    return np.asarray(a @ c / a.sum())


@method(
    title="Peak discharge by the rational method",
    equation="Q = C i A",
    source=_HEC22 + ", equation 4.1",
    symbols={"C": "coefficient", "i": "intensity", "A": "area"},
)
def rational_peak(coefficient: ArrayLike, intensity: ArrayLike, area: ArrayLike) -> Array:
    """Give the peak discharge of a small area.

    Parameters
    ----------
    coefficient : (...) array
        Runoff coefficient, 0 to 1. [-]
    intensity : (...) array
        Rain of as long as the time of concentration. [m/s]
    area : (...) array
        Drainage area. [m2]

    Returns
    -------
    (...) array
        Peak discharge. [m3/s]

    Raises
    ------
    OutOfRange
        A coefficient outside 0 to 1, a negative intensity, an area of 0 or below or over 200
        acres.

    Notes
    -----
    Areas under 200 acres (80 ha). Published coefficients end at 7 %, 10 % or 30 % of slope: on a
    steeper hillside take the upper end. Exact in every unit; handbooks in US units leave out the
    factor 1.0083, see rational_peak_us.
    """
    c = given.share("coefficient", coefficient)
    i = given.at_least_zero("intensity", intensity)
    a = given.above_zero("area", area)
    if (bad := a > _LARGEST * (1 + 1e-9)).any():
        what = "is over the 200 acres (80 ha) that the method is for"
        raise OutOfRange(given.where("area", bad), what, "use a hydrograph method")
    return np.asarray(c * i * a)


@method(
    title="Peak discharge by the rational method, as handbooks in US units reckon it",
    equation="Q = C i A / Ku, Ku = 1 with in/h, acres and ft3/s",
    source=_HEC22 + ", equation 4.1",
)
def rational_peak_us(coefficient: ArrayLike, intensity: ArrayLike, area: ArrayLike) -> Array:
    """Give the peak discharge of a small area with the handbook's rounded factor.

    Parameters
    ----------
    coefficient : (...) array
        Runoff coefficient, 0 to 1. [-]
    intensity : (...) array
        Rain of as long as the time of concentration, in inches an hour, as a plain number. [-]
    area : (...) array
        Drainage area in acres, as a plain number. [-]

    Returns
    -------
    (...) array
        Peak discharge, 0.8 % below the exact one. [m3/s]

    Raises
    ------
    OutOfRange
        A coefficient outside 0 to 1, a negative intensity, an area of 0 or below or over 200
        acres.

    Notes
    -----
    As rational_peak.
    """
    c = given.share("coefficient", coefficient)
    i = given.at_least_zero("intensity", intensity)
    right = "the method is for up to 200 acres"
    a = given.within("area", given.above_zero("area", area), 0.0, _LARGEST / ACRE, right)
    return np.asarray(c * i * a * CUBIC_FOOT)


@method(
    title="Runoff under a triangular hydrograph",
    equation="V = qp tc; Q = V / A",
    source=_HEC22 + ", section 10.2 (loss of natural storage)",
)
def triangle_runoff(peak: ArrayLike, time: ArrayLike, area: ArrayLike) -> TriangleRunoff:
    """Give the runoff of a storm that rises and falls within twice the time of concentration.

    Parameters
    ----------
    peak : (...) array
        Peak discharge. [m3/s]
    time : (...) array
        Time of concentration. [s]
    area : (...) array
        Drainage area. [m2]

    Returns
    -------
    depth : (...) array
        Runoff depth. [m]
    volume : (...) array
        Runoff volume. [m3]

    Raises
    ------
    OutOfRange
        A negative peak, or a time or area of 0 or below.
    """
    q = given.at_least_zero("peak", peak)
    volume = q * given.above_zero("time", time)
    return TriangleRunoff(np.asarray(volume / given.above_zero("area", area)), np.asarray(volume))


@method(
    title="Storage by the loss of natural storage",
    equation="Vs = A (Q_after - Q_before)",
    source=_HEC22 + ", section 10.2 (loss of natural storage)",
)
def storage_difference(before: ArrayLike, after: ArrayLike, area: ArrayLike) -> StorageDifference:
    """Give by how much the runoff of one storm differs between two states of the ground.

    Parameters
    ----------
    before : (...) array
        Runoff depth before. [m]
    after : (...) array
        Runoff depth after. [m]
    area : (...) array
        Drainage area. [m2]

    Returns
    -------
    depth : (...) array
        After less before; below 0 where less leaves than before. [m]
    volume : (...) array
        The same as a volume. [m3]

    Raises
    ------
    OutOfRange
        Negative depths, or an area of 0 or below.
    """
    depth = guard.rain_depth(after, "after") - guard.rain_depth(before, "before")
    return StorageDifference(np.asarray(depth), np.asarray(depth * given.above_zero("area", area)))


@method(
    title="Runoff coefficient by cover",
    equation="HEC-22 Table 4.1",
    source="ASCE 1960, as given in " + _HEC22 + ", Table 4.1",
)
def runoff_coefficient(cover: str) -> CoefficientRange:
    """Look the range of a runoff coefficient up.

    Parameters
    ----------
    cover : str
        As the table words it, as "lawn, heavy soil, steep > 7 %". [text]

    Returns
    -------
    least, most : float
        Ends of the tabled range. [-]

    Raises
    ------
    OutOfRange
        A cover that the table does not have.

    Notes
    -----
    Nothing steeper than "over 7 %": on a hillside take the upper end.
    """
    known = words("rational", "cover", "cover")
    row = rows("rational", "cover")[known.index(given.one_of("cover", cover, known))]
    return CoefficientRange(float(row["C_min"]), float(row["C_max"]))


@method(
    title="Runoff coefficient of farm land by slope and soil",
    equation="NRCS Module 206 D, Table 2",
    source="USDA NRCS Hydrology Training Series Module 206 D, Table 2",
)
def farm_coefficient(cover: str, soil: str) -> float:
    """Look a runoff coefficient up in the table with the steepest slopes.

    Parameters
    ----------
    cover : str
        As the table words it, as "pasture, hilly". [text]
    soil : str
        "sandy loam", "clay and silt loam" or "tight clay". [text]

    Returns
    -------
    float
        Runoff coefficient. [-]

    Raises
    ------
    OutOfRange
        A cover or soil that the table does not have.

    Notes
    -----
    Its steepest class, hilly, is 10 to 30 %: nothing is published beyond.
    """
    known = words("rational", "farm", "cover_slope")
    soils = ("sandy loam", "clay and silt loam", "tight clay")
    column = given.one_of("soil", soil, soils).replace(" ", "_")
    row = rows("rational", "farm")[known.index(given.one_of("cover", cover, known))]
    return float(row[column])
