"""How length and steepness of a slope raise its soil loss, on steep slopes and on short ones."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.tables import FOOT

AH703 = "Renard et al. 1997, USDA AH-703"
AH537 = "Wischmeier and Smith 1978, USDA AH-537"
PLOT = 72.6 * FOOT  # length of the unit plot [m]
_SHORT, _SHORTEST = 15 * FOOT, 3 * FOOT
_NINE = np.arctan(0.09)
_EDGE = 1e-12  # a slope written as "9 %" is 9 %, whatever the arc tangent rounds to


class SlopeLength(NamedTuple):
    """Length and steepness factor and what they are made of."""

    exponent: Array
    steepness: Array
    ls: Array


class SteepnessRange(NamedTuple):
    """One slope by four published equations."""

    rusle: Array
    usle: Array
    nearing: Array
    liu: Array


class SlopeLengthRange(NamedTuple):
    """LS as far as the published steepness equations part."""

    low: Array
    best: Array
    high: Array


def _steepness_rusle(s: Array) -> Array:
    steep = s >= np.sin(_NINE) - _EDGE
    return np.where(steep, 16.8 * s - 0.50, 10.8 * s + 0.03)


@method(
    title="Length and steepness factor of RUSLE",
    equation="LS = (L/72.6)^m S; m = b/(1+b), b = k (sin t/0.0896)/(3.0 (sin t)^0.8 + 0.56); "
    "S = 10.8 sin t + 0.03 below 9 %, 16.8 sin t - 0.50 from 9 %",
    source=AH703 + ", Tables 4-1 to 4-5; the rule below 15 ft was found from the printed cells",
)
def ls_rusle(length: ArrayLike, slope: ArrayLike, rill_ratio: ArrayLike = 1.0) -> SlopeLength:
    """Give LS of a slope of any length, shorter than 15 ft too.

    Parameters
    ----------
    length : (...) array
        Slope length along the plan; stretched against the slopes. [m]
    slope : (...) array
        Angle of the ground. [rad]
    rill_ratio : (...) array
        Rill to interrill erosion: 0.5 with cover and settled soil, 1 for row crops, 2 for freshly
        disturbed bare soil. [-]

    Returns
    -------
    exponent : (...) array
        Slope-length exponent m. [-]
    steepness : (...) array
        Steepness factor S of slopes of 15 ft and more. [-]
    ls : (...) array
        Length and steepness factor. [-]

    Raises
    ------
    OutOfRange
        A negative length, an angle that is none of ground, or a ratio outside 0 to 5.

    Notes
    -----
    Tables go from 0.2 to 60 % and to 1000 ft; 400 ft is the practical end. The data behind them
    reach about 25 %. Above 60 % there is no published check. Below 15 ft on 9 % and more the
    table runs straight on log-log paper to (15/72.6)^m (3.0 (sin t)^0.8 + 0.56) at 3 ft; on less
    than 9 % it keeps the value at 15 ft.
    """
    along = given.at_least_zero("length", length)
    s = np.sin(guard.ground_slope(slope))
    k = given.within("rill_ratio", rill_ratio, 0.0, 5.0)
    b = k * (s / 0.0896) / (3.0 * s**0.8 + 0.56)
    m = b / (1 + b)
    steepness = _steepness_rusle(s)
    at_15 = (_SHORT / PLOT) ** m * steepness
    at_3 = (_SHORT / PLOT) ** m * (3.0 * s**0.8 + 0.56)
    # share of the way from 3 ft to 15 ft, on log paper
    w = np.log(np.clip(along, _SHORTEST, _SHORT) / _SHORTEST) / np.log(_SHORT / _SHORTEST)
    steep = s >= np.sin(_NINE) - _EDGE
    ls_short = np.where(steep, at_3 ** (1 - w) * np.maximum(at_15, 1e-300) ** w, at_15)
    ls = np.where(along < _SHORT, ls_short, (np.maximum(along, _SHORT) / PLOT) ** m * steepness)
    return SlopeLength(np.asarray(m), np.asarray(steepness), np.asarray(ls))


@method(
    title="Length and steepness factor of the USLE",
    equation="LS = (L/72.6)^m (65.41 sin^2 t + 4.56 sin t + 0.065); m = 0.5 from 5 %, 0.4 from "
    "3.5 %, 0.3 from 1 %, else 0.2",
    source=AH537 + ", Table 3 (from memory)",
)
def ls_usle(length: ArrayLike, slope: ArrayLike) -> SlopeLength:
    """Give LS by the older equation, as a cross-check.

    Parameters
    ----------
    length : (...) array
        Slope length along the plan. [m]
    slope : (...) array
        Angle of the ground. [rad]

    Returns
    -------
    exponent : (...) array
        Slope-length exponent m. [-]
    steepness : (...) array
        Steepness factor S. [-]
    ls : (...) array
        Length and steepness factor. [-]

    Raises
    ------
    OutOfRange
        A negative length, or an angle that is none of ground.

    Notes
    -----
    The printed table ends at 20 % and 1000 ft. On steep slopes it gives nearly twice too much, as
    the authors of RUSLE say.
    """
    along = given.at_least_zero("length", length)
    angle = guard.ground_slope(slope)
    t = np.tan(angle)
    m = np.select([t >= 0.05 - _EDGE, t >= 0.035 - _EDGE, t >= 0.01 - _EDGE], [0.5, 0.4, 0.3], 0.2)
    s = np.sin(angle)
    steepness = 65.41 * s**2 + 4.56 * s + 0.065
    ls = (along / PLOT) ** m * steepness
    return SlopeLength(np.asarray(m), np.asarray(steepness), np.asarray(ls))


@method(
    title="Steepness factor by four published equations",
    equation="RUSLE 16.8 sin t - 0.50 (10.8 sin t + 0.03 below 9 %); USLE 65.41 sin^2 t + 4.56 sin "
    "t + 0.065; Nearing -1.5 + 17/(1 + exp(2.3 - 6.1 sin t)); Liu 21.91 sin t - 0.96",
    source="McCool et al. 1987; Wischmeier and Smith 1978; Nearing 1997; Liu, Nearing and Risse "
    "1994, Trans. ASAE 37(6)",
)
def steepness(slope: ArrayLike) -> SteepnessRange:
    """Give the steepness factor of a slope by each equation.

    Parameters
    ----------
    slope : (...) array
        Angle of the ground. [rad]

    Returns
    -------
    rusle, usle, nearing, liu : (...) array
        Steepness factor S, 1 on the 9 % of the unit plot; none below 0. [-]

    Raises
    ------
    OutOfRange
        An angle that is none of ground.

    Notes
    -----
    The plots behind Liu's equation lie between 9 and 55 %, those behind the others mostly below
    25 %. At 50 % the four run from 7.0 to 15.2: a range, not one figure.
    """
    s = np.sin(guard.ground_slope(slope))
    return SteepnessRange(
        np.asarray(_steepness_rusle(s)),
        np.asarray(65.41 * s**2 + 4.56 * s + 0.065),
        np.asarray(-1.5 + 17 / (1 + np.exp(2.3 - 6.1 * s))),
        np.asarray(np.maximum(21.91 * s - 0.96, 0.0)),
    )


@method(
    title="LS as far as the steep-slope equations part",
    equation="LS_i = LS_RUSLE S_i / S_RUSLE for Liu and Nearing; low, best = RUSLE, high",
    source=AH703 + "; Liu, Nearing and Risse 1994; Nearing 1997",
)
def ls_range(length: ArrayLike, slope: ArrayLike, rill_ratio: ArrayLike = 1.0) -> SlopeLengthRange:
    """Give LS with the spread of the steepness equations.

    Parameters
    ----------
    length : (...) array
        Slope length along the plan. [m]
    slope : (...) array
        Angle of the ground. [rad]
    rill_ratio : (...) array
        Rill to interrill erosion: 0.5, 1 or 2, as in ls_rusle. [-]

    Returns
    -------
    low, best, high : (...) array
        The least of the three, RUSLE's, and the most. [-]

    Raises
    ------
    OutOfRange
        A negative length, an angle that is none of ground, or a ratio outside 0 to 5.

    Notes
    -----
    Below 9 % the equations of Liu and Nearing are not meant, and the three are RUSLE's. On slopes
    shorter than 15 ft the spread of longer ones is carried over. Above 60 % all is extrapolation.
    """
    best = ls_rusle(length, slope, rill_ratio).ls
    by = steepness(slope)
    steep = np.tan(np.asarray(slope, float)) >= 0.09 - _EDGE
    with np.errstate(divide="ignore", invalid="ignore"):
        parts = [np.where(steep, s / by.rusle, 1.0) for s in (by.liu, by.nearing)]
    low = best * np.minimum(np.minimum(*parts), 1.0)
    high = best * np.maximum(np.maximum(*parts), 1.0)
    return SlopeLengthRange(np.asarray(low), np.asarray(best), np.asarray(high))


@method(
    title="Share of the soil loss by equal pieces of a slope",
    equation="share_i = (i^(m+1) - (i-1)^(m+1)) / N^(m+1), i = 1 at the top",
    source=AH537 + ", Table 4 (from memory)",
)
def segment_shares(exponent: float, segments: int) -> Array:
    """Give how soil loss grows down an even slope.

    Parameters
    ----------
    exponent : float
        Slope-length exponent m, 0 to 1. [-]
    segments : int
        Number of equal pieces. [-]

    Returns
    -------
    (segments,) array
        Share of each piece, from the top down; together 1. [-]

    Raises
    ------
    OutOfRange
        An exponent outside 0 to 1, or fewer than one piece.

    Notes
    -----
    An even slope that nothing breaks: a row that holds its water starts a new slope length.
    """
    m = float(given.within("exponent", exponent, 0.0, 1.0))
    if not 1 <= segments <= 10_000:
        raise OutOfRange("segments", f"{segments} is no number of pieces", "give 1 or more")
    ends = (np.arange(segments + 1) / segments) ** (m + 1)
    return np.asarray(np.diff(ends), float)


def doubts(length: float, slope: float) -> tuple[str, ...]:
    """Say in words where the data behind LS end for a slope: length [m], slope [rad].

    Sources as in :func:`ls_rusle`, :func:`steepness`; empty where the data cover the slope.
    """
    percent, feet = np.tan(slope) * 100, length / FOOT
    said = []
    if percent > 60:
        said.append(
            f"At {percent:.0f} % this is an extrapolation: above 60 % no published measurement "
            "or table checks it."
        )
    elif percent > 55:
        said.append(
            f"At {percent:.0f} % only the printed tables (to 60 %) reach this slope: measured "
            "plots end at 55 %."
        )
    elif percent > 25:
        said.append(
            f"At {percent:.0f} % few measured plots stand behind this: most lie below 25 %, one "
            "series reaches 55 %, and the published equations part, so read it as a range."
        )
    if feet > 1000:
        said.append(f"{length:,.1f} m is longer than the tables (304.8 m).")
    elif feet > 400:
        said.append(f"{length:,.1f} m is longer than the 121.9 m where sheets usually gather.")
    if 0 < feet < 15 and percent >= 9:
        said.append(
            "Below 4.572 m the length factor follows the printed short-slope cells, which were "
            "measured for single rows and beds, not for hillsides."
        )
    return tuple(said)
