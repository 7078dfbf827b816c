"""What covers the ground and how it is worked: C, P, and the four states of the hill."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.tables import FOOT, numbers, rows, words

_OUTLETS = ("closed_outlet", "grade_0_1_to_0_3", "grade_0_4_to_0_7", "grade_0_8_or_more")
_AH703 = "Renard et al. 1997, USDA AH-703"
_AH537 = "Wischmeier and Smith 1978, USDA AH-537"


class Mulch(NamedTuple):
    """What a mulch does and on how long a slope."""

    factor: float
    length_limit: float


class Contour(NamedTuple):
    """What contour furrows do and on how long a slope."""

    factor: float
    length_limit: float


@method(
    title="Cover factor from ground cover, exponential",
    equation="C = exp(-b cover), cover in percent",
    source=_AH703 + ", surface cover subfactor; b = 0.04 as in a public RUSLE code",
)
def exponential_cover(ground_cover: ArrayLike, b: ArrayLike = 0.04) -> Array:
    """Give C of soil with stones, litter or plants lying on it.

    Parameters
    ----------
    ground_cover : (...) array
        Share of the ground that is covered. [-]
    b : (...) array
        Per percent: 0.025 where rain alone detaches, 0.035, to 0.05 where rills cut. [-]

    Returns
    -------
    (...) array
        Cover factor. [-]

    Raises
    ------
    OutOfRange
        A share outside 0 to 1, or b outside 0 to 0.2.

    Notes
    -----
    Give b as a range: on bare steep slopes 0.05 and more (from memory).
    """
    cover = given.share("ground_cover", ground_cover) * 100
    return np.asarray(np.exp(-given.within("b", b, 0.0, 0.2) * cover))


@method(
    title="Cover factor of grass and low plants by ground cover",
    equation="table of C by percent of ground cover, straight between its rows",
    source="derived from " + _AH537,
)
def grass_cover(ground_cover: ArrayLike) -> Array:
    """Give C of low plants.

    Parameters
    ----------
    ground_cover : (...) array
        Share of the ground with cover in touch with it. [-]

    Returns
    -------
    (...) array
        Cover factor. [-]

    Raises
    ------
    OutOfRange
        A share outside 0 to 1.
    """
    percent = given.share("ground_cover", ground_cover) * 100
    tabled = numbers("soil_loss", "c_cover_pasture", "ground_cover_pct")
    return np.asarray(np.interp(percent, tabled, numbers("soil_loss", "c_cover_pasture", "C")))


@method(
    title="Cover factor of a canopy above bare ground",
    equation="table of C by percent of canopy and fall height, straight between",
    source="derived from " + _AH537,
)
def canopy_cover(canopy: ArrayLike, fall: ArrayLike) -> Array:
    """Give C of trees or shrubs with nothing on the ground below.

    Parameters
    ----------
    canopy : (...) array
        Share of the sky that is covered. [-]
    fall : (...) array
        Mean height that drops fall from the leaves, 0.5 to 4 m. [m]

    Returns
    -------
    (...) array
        Cover factor. [-]

    Raises
    ------
    OutOfRange
        A share outside 0 to 1 or a height outside 0.5 to 4 m.

    Notes
    -----
    A tall canopy alone hardly helps: ground cover does.
    """
    percent = given.share("canopy", canopy) * 100
    height = given.within("fall", fall, 0.5, 4.0, "the table goes from 0.5 to 4 m")
    tabled = numbers("soil_loss", "c_cover_canopy", "canopy_pct")
    heights = np.array([0.5, 1.0, 2.0, 4.0])
    columns = ("fall_0_5m", "fall_1m", "fall_2m", "fall_4m")
    at = [np.interp(percent, tabled, numbers("soil_loss", "c_cover_canopy", c)) for c in columns]
    low = np.clip(np.searchsorted(heights, height, side="right") - 1, 0, 2)
    w = (height - heights[low]) / (heights[low + 1] - heights[low])
    return np.asarray((1 - w) * np.choose(low, at[:3]) + w * np.choose(low, at[1:]))


@method(
    title="Cover factor of a construction slope by its cover",
    equation="table of C by cover",
    source="Kay 1983, USDA 1975, Wischmeier and Smith 1978, as reported by Goldman et al. 1986",
)
def construction_cover(cover: str) -> float:
    """Look C of a construction slope up.

    Parameters
    ----------
    cover : str
        As the table words it, as "straw 4 ton/acre tacked down". [text]

    Returns
    -------
    float
        Cover factor. [-]

    Raises
    ------
    OutOfRange
        A cover that the table does not have.

    Notes
    -----
    The mulch rows hold on slopes up to 50 %.
    """
    known = words("soil_loss", "c_construction", "cover")
    row = known.index(given.one_of("cover", cover, known))
    return float(numbers("soil_loss", "c_construction", "C")[row])


@method(
    title="Cover factor of a mulch, and the slope length that it stands",
    equation="table of C and length limit by mulch, tons per acre and slope",
    source="Meyer and Ports 1976; " + _AH537 + ", Table 9 (from memory)",
)
def mulch_cover(mulch: str, spread: float, slope: float) -> Mulch:
    """Look up what a mulch does on a construction slope.

    Parameters
    ----------
    mulch : str
        As the table words it, as "straw or hay, anchored". [text]
    spread : float
        Mass on an area; the greatest tabled one that is not more counts. [kg/m2]
    slope : float
        Angle of the ground. [rad]

    Returns
    -------
    factor : float
        Cover factor. [-]
    length_limit : float
        Slope length beyond which it is undercut. [m]

    Raises
    ------
    OutOfRange
        A mulch that is not tabled, less of it than the least tabled, or a slope that the table
        does not reach.

    Notes
    -----
    Nothing is published beyond 50 %. Past the length limit C rises quickly: rows keep every slope
    inside it.
    """
    known = tuple(w for w in words("soil_loss", "c_mulch_length", "mulch") if w != "none")
    mulch = given.one_of("mulch", mulch, known)
    tons = float(given.above_zero("spread", spread)) / (907.18474 / (43560 * FOOT**2))
    percent = float(np.tan(guard.ground_slope(slope))) * 100
    of = [r for r in rows("soil_loss", "c_mulch_length") if r["mulch"] == mulch]
    rates = sorted({float(r["tons_per_acre"]) for r in of})
    enough = [rate for rate in rates if rate <= tons * (1 + 1e-6)]
    if not enough:
        what = f"{tons:.2g} ton/acre is less than the table has for {mulch}"
        raise OutOfRange("spread", what, f"give {rates[0]:g} ton/acre or more")
    of = [r for r in of if float(r["tons_per_acre"]) == enough[-1]]
    # the classes are whole percents: 10.4 % reads as 10 %, so that no slope falls between two
    fits = [r for r in of if r["slope_from_pct"] <= round(percent, 6) < r["slope_to_pct"] + 1]
    if percent > 50 + 1e-6 or not fits:
        ends = max(r["slope_to_pct"] for r in of)
        what = f"{percent:.0f} % is outside the slopes tabled for {enough[-1]:g} ton/acre"
        raise OutOfRange("slope", what, f"the table ends at {ends:g} % for that much {mulch}")
    return Mulch(float(fits[0]["C"]), float(fits[0]["length_limit_ft"]) * FOOT)


@method(
    title="Practice factor of contour furrows, and the slope length that they stand",
    equation="table of P and length limit by slope",
    source=_AH537 + ", Table 13 (from memory)",
)
def contour_practice(slope: float) -> Contour:
    """Look up what furrows on the contour do.

    Parameters
    ----------
    slope : float
        Angle of the ground, 1 to 25 %. [rad]

    Returns
    -------
    factor : float
        Practice factor P. [-]
    length_limit : float
        Slope length beyond which furrows break over. [m]

    Raises
    ------
    OutOfRange
        A slope under 1 % or over 25 %: nothing is published there.

    Notes
    -----
    No credit beyond 25 %. Rows that hold and spill are a shorter slope and a trap, not this.
    """
    percent = float(np.tan(guard.ground_slope(slope))) * 100
    table = rows("soil_loss", "p_contour")
    fits = [r for r in table if r["slope_from_pct"] <= round(percent, 6) < r["slope_to_pct"] + 1]
    if percent > 25 + 1e-6 or not fits:
        what = f"no contour factor is published for {percent:.3g} %"
        raise OutOfRange("slope", what, "the table goes from 1 to 25 %: take P = 1")
    return Contour(float(fits[0]["P"]), float(fits[0]["max_length_ft"]) * FOOT)


@method(
    title="Practice factor of terraces by interval and outlet",
    equation="table of P by terrace interval and grade",
    source=_AH703 + ", Table 6-15 (from memory)",
)
def terrace_practice(interval: float, gradient: float = 0.0) -> float:
    """Look the terrace subfactor up; it stands beside the shorter slope length.

    Parameters
    ----------
    interval : float
        Distance from terrace to terrace along the plan. [m]
    gradient : float
        Fall along the terrace over its run; 0 holds its water. [-]

    Returns
    -------
    float
        Practice factor P. [-]

    Raises
    ------
    OutOfRange
        An interval of 0 or below, or a negative gradient.

    Notes
    -----
    For farm terraces. A level row that holds earns 0.5 at close spacing; one that drains at 0.8 %
    and more earns nothing.
    """
    feet = float(given.above_zero("interval", interval)) / FOOT
    percent = float(given.at_least_zero("gradient", gradient)) * 100
    # grades between two columns count as the steeper one
    column = _OUTLETS[int(np.searchsorted([0.0, 0.3, 0.7], percent - 1e-9))]
    row = next(r for r in rows("soil_loss", "p_terrace_rusle") if feet < r["interval_to_ft"] + 1)
    return float(row[column])


@method(
    title="Practice factor of a construction surface",
    equation="table of P by surface",
    source="Goldman et al. 1986 (from memory)",
)
def construction_practice(surface: str) -> float:
    """Look P of a worked surface up.

    Parameters
    ----------
    surface : str
        As the table words it, as "track-walked up and down slope". [text]

    Returns
    -------
    float
        Practice factor P. [-]

    Raises
    ------
    OutOfRange
        A surface that the table does not have.
    """
    known = words("soil_loss", "p_construction", "surface")
    row = known.index(given.one_of("surface", surface, known))
    return float(numbers("soil_loss", "p_construction", "P")[row])
