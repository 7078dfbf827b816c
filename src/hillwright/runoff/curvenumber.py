"""Runoff of one storm by curve number: depth, covers side by side, and how sure the number is."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.tables import INCH, numbers, rows, words

TR55 = "USDA SCS 1986, Urban Hydrology for Small Watersheds, TR-55 2nd ed."
GROUPS = ("A", "B", "C", "D")


class Runoff(NamedTuple):
    """What one storm leaves on the ground and sends down."""

    retention: Array
    abstraction: Array
    runoff: Array


class WeightedNumber(NamedTuple):
    """Several covers taken as one."""

    sum_product: Array
    curve_number: Array
    rounded: Array
    runoff: Array
    runoff_rounded: Array


class WeightedRunoff(NamedTuple):
    """Several covers, each with its own runoff."""

    each: Array
    runoff: Array


class CompositeNumber(NamedTuple):
    """A cover that is in part paved."""

    curve_number: Array
    rounded: Array


class NumberRange(NamedTuple):
    """A curve number after dry and after wet weather."""

    dry: Array
    wet: Array


@method(
    title="Runoff depth of a storm by curve number",
    equation="S = 1000/CN - 10 in; Ia = 0.2 S; Q = (P - Ia)^2 / (P - Ia + S) for P > Ia, else 0",
    source=TR55 + ", equations 2-1 to 2-4",
    symbols={
        "Q": "runoff",
        "P": "rain",
        "CN": "curve_number",
        "S": "what the ground can hold back",
        "Ia": "rain before runoff",
    },
)
def runoff_depth(
    rain: ArrayLike, curve_number: ArrayLike, abstraction_share: ArrayLike = 0.2
) -> Runoff:
    """Give the depth that runs off a cover in one storm.

    Parameters
    ----------
    rain : (...) array
        Depth of rain of the whole storm; stretched against the curve numbers. [m]
    curve_number : (...) array
        30 to 100. [-]
    abstraction_share : (...) array
        Initial abstraction over retention; the tabled curve numbers belong to 0.2. [-]

    Returns
    -------
    retention : (...) array
        S, the most that the ground takes once runoff has begun. [m]
    abstraction : (...) array
        Ia, the rain before runoff begins. [m]
    runoff : (...) array
        Q, 0 up to less than the rain. [m]

    Raises
    ------
    OutOfRange
        Negative rain or rain in another unit, a curve number outside 30 to 100, or a share
        outside 0 to 1.

    Notes
    -----
    One storm on one cover. It knows neither intensity nor slope. Weak below 0.5 in of runoff and
    for curve numbers under 40. An abstraction of 0.05 S needs other curve numbers: never mix.
    """
    p = guard.rain_depth(rain)
    cn = guard.curve_number(curve_number)
    s = (1000 / cn - 10) * INCH
    ia = given.share("abstraction_share", abstraction_share) * s
    over = np.maximum(p - ia, 0.0)
    # CN 100 on a dry day is 0 over 0: nothing runs off
    room = over + s
    q = np.where(over > 0, over**2 / np.where(room > 0, room, 1.0), 0.0)
    return Runoff(np.asarray(s), np.asarray(ia), np.asarray(q))


def _covers(area: ArrayLike, curve_number: ArrayLike) -> tuple[Array, Array]:
    a = np.atleast_1d(given.above_zero("area", area))
    cn = np.atleast_1d(guard.curve_number(curve_number))
    if a.shape != cn.shape or a.ndim != 1:
        what = f"{a.size} areas stand beside {cn.size} curve numbers"
        raise OutOfRange("area", what, "give one area for each curve number")
    return a, cn


@method(
    title="Several covers by one area-weighted curve number",
    equation="CN = sum(CN_i A_i) / sum(A_i); Q from CN, and from CN rounded to a whole number",
    source=TR55 + ", worksheet 2",
)
def weighted_number(rain: float, area: Array, curve_number: Array) -> WeightedNumber:
    """Give the weighted curve number of several covers and its runoff.

    Parameters
    ----------
    rain : float
        Depth of rain of the storm. [m]
    area : (n,) array
        Area of each cover, or its share. [any]
    curve_number : (n,) array
        30 to 100. [-]

    Returns
    -------
    sum_product : float
        Areas times curve numbers, summed. [any]
    curve_number : float
        Weighted by area. [-]
    rounded : float
        To a whole number, as the worksheet uses it. [-]
    runoff : float
        With the weighted number as it is. [m]
    runoff_rounded : float
        With the rounded number. [m]

    Raises
    ------
    OutOfRange
        Areas of 0 or below, not one for each curve number, or numbers outside 30 to 100.

    Notes
    -----
    Where the covers differ much a small storm comes out too small, even as nothing: the runoff of
    each cover, weighted, is right there.
    """
    a, cn = _covers(area, curve_number)
    product = np.asarray(a @ cn)
    # no mean lies outside its parts, whatever rounding makes of it
    weighted = np.clip(product / a.sum(), cn.min(), cn.max())
    rounded = np.floor(weighted + 0.5)
    return WeightedNumber(
        product,
        np.asarray(weighted),
        np.asarray(rounded),
        runoff_depth(rain, weighted).runoff,
        runoff_depth(rain, rounded).runoff,
    )


@method(
    title="Several covers, the runoff of each weighted by its area",
    equation="Q = sum(Q_i A_i) / sum(A_i)",
    source="USDA NRCS 2004, NEH Part 630 ch. 10, Example 10-3",
    symbols={"Q_i": "runoff of a cover by its curve number", "A_i": "its area"},
)
def weighted_runoff(rain: float, area: Array, curve_number: Array) -> WeightedRunoff:
    """Give the runoff of each of several covers, and of all together.

    Parameters
    ----------
    rain : float
        Depth of rain of the storm. [m]
    area : (n,) array
        Area of each cover, or its share. [any]
    curve_number : (n,) array
        30 to 100. [-]

    Returns
    -------
    each : (n,) array
        Runoff of each cover. [m]
    runoff : float
        Mean over the whole area. [m]

    Raises
    ------
    OutOfRange
        Areas of 0 or below, not one for each curve number, or numbers outside 30 to 100.
    """
    a, cn = _covers(area, curve_number)
    each = runoff_depth(rain, cn).runoff
    return WeightedRunoff(each, np.asarray(each @ a / a.sum()))


@method(
    title="Composite curve number of a cover that is in part paved or roofed",
    equation="CN = CNp + Pimp (98 - CNp) (1 - 0.5 R)",
    source="USDA NRCS 2004, NEH Part 630 ch. 9, equations 9-1 and 9-2",
)
def composite_number(
    pervious: ArrayLike, impervious_share: ArrayLike, unconnected: ArrayLike = 0.0
) -> CompositeNumber:
    """Give the curve number of open ground with hard surfaces in it.

    Parameters
    ----------
    pervious : (...) array
        Curve number of the open ground, 30 to 100. [-]
    impervious_share : (...) array
        Share of the area that is paved or roofed. [-]
    unconnected : (...) array
        Share of the hard surfaces that drain onto open ground. [-]

    Returns
    -------
    curve_number : (...) array
        Composite curve number. [-]
    rounded : (...) array
        To a whole number. [-]

    Raises
    ------
    OutOfRange
        A curve number outside 30 to 100 or a share outside 0 to 1, or unconnected surfaces on
        30 % or more of the area.

    Notes
    -----
    Credit for unconnected surfaces holds for less than 30 % of hard surface.
    """
    cn = guard.curve_number(pervious, "pervious")
    hard = given.share("impervious_share", impervious_share)
    apart = given.share("unconnected", unconnected)
    if (bad := (hard >= 0.3) & (apart > 0)).any():
        what = "hard surfaces on 30 % or more of the area earn no credit for being unconnected"
        raise OutOfRange(given.where("unconnected", bad), what, "leave unconnected at 0")
    composite = cn + hard * (98 - cn) * (1 - 0.5 * apart)
    return CompositeNumber(np.asarray(composite), np.asarray(np.floor(composite + 0.5)))


@method(
    title="Curve number after dry and after wet weather",
    equation="NEH 630 Table 10-1, straight between its rows",
    source="USDA NRCS 2004, NEH Part 630 ch. 10, Table 10-1",
)
def number_range(curve_number: ArrayLike) -> NumberRange:
    """Give the dry and wet envelopes of a curve number.

    Parameters
    ----------
    curve_number : (...) array
        For average conditions, 0 to 100. [-]

    Returns
    -------
    dry : (...) array
        Condition I, about what nine storms in ten exceed. [-]
    wet : (...) array
        Condition III, about what one storm in ten exceeds. [-]

    Raises
    ------
    OutOfRange
        A number outside 0 to 100.

    Notes
    -----
    The rain of the five days before does not explain the scatter: take the two as about the 10 %
    and 90 % limits.
    """
    cn = given.within("curve_number", curve_number, 0.0, 100.0)
    tabled = numbers("curve_numbers", "condition", "cn_arc_ii")[::-1]
    dry, wet = (numbers("curve_numbers", "condition", c)[::-1] for c in ("cn_arc_i", "cn_arc_iii"))
    return NumberRange(np.interp(cn, tabled, dry), np.interp(cn, tabled, wet))


@method(
    title="Curve number by cover and soil group",
    equation="TR-55 Tables 2-2a to 2-2d",
    source=TR55 + ", Tables 2-2a to 2-2d",
)
def tabled_number(cover: str, group: str, condition: str = "", treatment: str = "") -> float:
    """Look a curve number up.

    Parameters
    ----------
    cover : str
        As the table words it, as "woods" or "fallow". [text]
    group : str
        Hydrologic soil group, A to D. [text]
    condition : str
        "poor", "fair" or "good" where the table tells them apart. [text]
    treatment : str
        As "bare soil", "straight row" or "contoured" where the table tells them apart. [text]

    Returns
    -------
    float
        For average conditions. [-]

    Raises
    ------
    OutOfRange
        A cover, group, condition or treatment that the table does not have.

    Notes
    -----
    Steepness is not an input of the table. Humid covers: poor is under 50 % ground cover, good
    over 75 %; arid covers: under 30 % and over 70 %.
    """
    cover = given.one_of("cover", cover, words("curve_numbers", "cover", "cover"))
    column = given.one_of("group", group, GROUPS)
    of_cover = [r for r in rows("curve_numbers", "cover") if r["cover"] == cover]
    treatments = tuple(dict.fromkeys(r["treatment"] for r in of_cover))
    treatment = given.one_of("treatment", treatment, treatments)
    left = [r for r in of_cover if r["treatment"] == treatment]
    # a lawn's condition is tabled with its cover in brackets: the first word says it
    conditions = {r["hydrologic_condition"].split(" ")[0]: r for r in left}
    row = conditions[given.one_of("condition", condition.split(" ")[0], tuple(conditions))]
    if row[column] == "":
        what = f"{cover!r} has no number for group {column}"
        raise OutOfRange("group", what, "take another cover for this soil")
    return float(row[column])


@method(
    title="Curve number of tropical crops, with and without terraces",
    equation="NEH 630 Table 9-3",
    source="USDA NRCS 2004, NEH Part 630 ch. 9, Table 9-3 (Puerto Rico)",
)
def tropical_number(cover: str, group: str) -> float:
    """Look up what terraces and ground cover did to the same crop, as a cross-check.

    Parameters
    ----------
    cover : str
        As the table words it, as "coffee, with ground cover and terraces". [text]
    group : str
        Hydrologic soil group, A to D. [text]

    Returns
    -------
    float
        For average conditions. [-]

    Raises
    ------
    OutOfRange
        A cover or group that the table does not have.
    """
    known = words("curve_numbers", "tropical", "cover")
    at = known.index(given.one_of("cover", cover, known))
    return float(rows("curve_numbers", "tropical")[at][given.one_of("group", group, GROUPS)])
