"""Peak discharge of one storm by the graphical method and the unit hydrograph, and its storage."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.runoff import given as guard
from hillwright.runoff.concentration import HOUR
from hillwright.runoff.curvenumber import TR55, runoff_depth
from hillwright.runoff.hyetograph import SHAPES
from hillwright.runoff.tables import CUBIC_FOOT, INCH, SQUARE_MILE, numbers, rows

_CSM_PER_INCH = CUBIC_FOOT / SQUARE_MILE / INCH  # cubic feet a second, square mile and inch [1/s]
_LEAST_HOURS, _MOST_HOURS = 0.1, 10.0


class GraphicalPeak(NamedTuple):
    """The peak and what it is made of."""

    abstraction: Array
    abstraction_over_rain: Array
    time_used: Array
    unit_peak: Array
    runoff: Array
    peak: Array


class UnitPeak(NamedTuple):
    """Peak of a triangular hydrograph."""

    time_to_peak: Array
    peak: Array


class Storage(NamedTuple):
    """What a basin must hold to lower a peak."""

    ratio: Array
    runoff_volume: Array
    storage: Array


def _unit_peak(shape: str, share: Array, hours: Array) -> Array:
    """Interpolate log10 of the unit peak between the curves of Ia/P, clamped at their ends."""
    table = [r for r in rows("rainfall", "unit_peak") if r["rain_type"] == shape]
    at = np.array([r["Ia_over_P"] for r in table])
    c0, c1, c2 = (np.array([r[f"C{i}"] for r in table]) for i in range(3))
    log_t = np.log10(hours)
    low = np.clip(np.searchsorted(at, share, side="right") - 1, 0, len(at) - 2)
    w = np.clip((share - at[low]) / (at[low + 1] - at[low]), 0.0, 1.0)
    curves = [10 ** (c0[i] + c1[i] * log_t + c2[i] * log_t**2) for i in (low, low + 1)]
    return np.asarray((1 - w) * curves[0] + w * curves[1])


@method(
    title="Peak discharge by the graphical method",
    equation="qp = qu A Q Fp; log qu = C0 + C1 log Tc + C2 (log Tc)^2 by rain type and Ia/P",
    source=TR55 + ", chapter 4 and Table F-1",
    symbols={
        "qp": "peak",
        "qu": "unit peak",
        "A": "area",
        "Q": "runoff by the curve number",
        "Fp": "pond_factor",
        "Tc": "time",
        "C0": "constant by rain type and Ia/P",
        "C1": "constant by rain type and Ia/P",
        "C2": "constant by rain type and Ia/P",
        "Ia": "rain before runoff, by the curve number",
        "P": "rain",
    },
)
def graphical_peak(
    area: ArrayLike,
    curve_number: ArrayLike,
    time: ArrayLike,
    rain: ArrayLike,
    shape: str,
    pond_factor: ArrayLike = 1.0,
) -> GraphicalPeak:
    """Give the peak discharge of a 24-hour storm.

    Parameters
    ----------
    area : (...) array
        Drainage area. [m2]
    curve_number : (...) array
        30 to 100. [-]
    time : (...) array
        Time of concentration, at most 10 h. [s]
    rain : (...) array
        24-hour rain, above 0. [m]
    shape : str
        Rain type "I", "IA", "II" or "III". [text]
    pond_factor : (...) array
        Factor for ponds and swamps, 0.72 to 1. [-]

    Returns
    -------
    abstraction : (...) array
        Ia, rain before runoff begins. [m]
    abstraction_over_rain : (...) array
        Ia/P, before it is held to the range of the rain type's curves. [-]
    time_used : (...) array
        Time of concentration, no less than the 0.1 h where the curves end. [s]
    unit_peak : (...) array
        Peak per area and runoff. [1/s]
    runoff : (...) array
        Runoff depth. [m]
    peak : (...) array
        Peak discharge. [m3/s]

    Raises
    ------
    OutOfRange
        Area, time or rain of 0 or below, a time over 10 h, a curve number outside 30 to 100, or
        a rain type that is not tabled.

    Notes
    -----
    Time of concentration 0.1 to 10 h: a shorter one is taken as 0.1 h, which time_used shows.
    Outside the Ia/P of a rain type's curves the end curve is used. Curve numbers above 40.
    """
    a = given.above_zero("area", area)
    seconds = given.above_zero("time", time)
    p = given.above_zero("rain", guard.rain_depth(rain))
    factor = given.within("pond_factor", pond_factor, 0.72, 1.0)
    shape = given.one_of("shape", shape, SHAPES)
    if (bad := seconds > _MOST_HOURS * HOUR * (1 + 1e-9)).any():
        what = f"{float(seconds[bad].flat[0]) / HOUR:g} h is over the 10 h where the curves end"
        raise OutOfRange(given.where("time", bad), what, "part the area, or route a hydrograph")
    used = np.maximum(seconds, _LEAST_HOURS * HOUR)
    of = runoff_depth(p, curve_number)
    share = of.abstraction / p
    unit = _unit_peak(shape, share, used / HOUR) * _CSM_PER_INCH
    return GraphicalPeak(
        of.abstraction,
        np.asarray(share),
        used,
        unit,
        of.runoff,
        np.asarray(unit * a * of.runoff * factor),
    )


@method(
    title="Factor for ponds and swamps on the drainage area",
    equation="TR-55 Table 4-2, straight between its rows",
    source=TR55 + ", Table 4-2",
)
def pond_factor(pond_share: ArrayLike) -> Array:
    """Give the factor on the graphical peak for ponds that lie off the flow path.

    Parameters
    ----------
    pond_share : (...) array
        Share of the area that is pond or swamp, 0 to 0.05. [-]

    Returns
    -------
    (...) array
        Factor Fp. [-]

    Raises
    ------
    OutOfRange
        A share outside 0 to 0.05: more than that needs routing.
    """
    right = 'the table ends at "5 %": with more, route the storm'
    share = given.within("pond_share", pond_share, 0.0, 0.05, right)
    tabled = numbers("rainfall", "ponds", "pond_swamp_pct") / 100
    return np.asarray(np.interp(share, tabled, numbers("rainfall", "ponds", "Fp")))


@method(
    title="Peak of the unit hydrograph",
    equation="tp = 2/3 tc; qp = Kp A Q / tp (Kp = 484 for mi2, in, h and ft3/s)",
    source="FHWA 2024, HEC-22 4th ed., section 4.4 (NRCS unit hydrograph)",
)
def unit_hydrograph_peak(
    area: ArrayLike, time: ArrayLike, runoff: ArrayLike, peaking: ArrayLike = 484.0
) -> UnitPeak:
    """Give the peak discharge of a given depth of runoff.

    Parameters
    ----------
    area : (...) array
        Drainage area. [m2]
    time : (...) array
        Time of concentration. [s]
    runoff : (...) array
        Runoff depth. [m]
    peaking : (...) array
        Peaking constant: 484 usual, about 600 in mountains, 300 in flat swamps. [-]

    Returns
    -------
    time_to_peak : (...) array
        Two thirds of the time of concentration. [s]
    peak : (...) array
        Peak discharge. [m3/s]

    Raises
    ------
    OutOfRange
        Area or time of 0 or below, negative runoff, or a constant outside 100 to 645.

    Notes
    -----
    A constant of 645 would be a hydrograph without a falling limb: no land reaches it.
    """
    a = given.above_zero("area", area)
    tp = given.above_zero("time", time) * (2 / 3)
    q = guard.rain_depth(runoff, "runoff")
    k = given.within("peaking", peaking, 100.0, 645.0)
    # the constant is in ft3/s h / (mi2 in)
    peak = k * _CSM_PER_INCH * HOUR * a * q / tp
    return UnitPeak(np.asarray(tp), np.asarray(peak))


@method(
    title="Detention storage that lowers a peak",
    equation="Vs/Vr = C0 + C1 x + C2 x^2 + C3 x^3, x = qo/qi; Vr = Q A",
    source=TR55 + ", chapter 6 and Table F-2",
)
def detention_storage(
    area: ArrayLike, runoff: ArrayLike, inflow: ArrayLike, outflow: ArrayLike, shape: str
) -> Storage:
    """Estimate the volume that must be held back.

    Parameters
    ----------
    area : (...) array
        Drainage area. [m2]
    runoff : (...) array
        Runoff depth of the storm. [m]
    inflow : (...) array
        Peak that comes in. [m3/s]
    outflow : (...) array
        Peak that may leave, 0.1 to 0.8 of the inflow. [m3/s]
    shape : str
        Rain type "I", "IA", "II" or "III". [text]

    Returns
    -------
    ratio : (...) array
        Storage over runoff volume. [-]
    runoff_volume : (...) array
        Runoff depth times area. [m3]
    storage : (...) array
        Volume to hold. [m3]

    Raises
    ------
    OutOfRange
        Area or a peak of 0 or below, negative runoff, a rain type that is not tabled, or an
        outflow outside 0.1 to 0.8 of the inflow.

    Notes
    -----
    Preliminary only: 25 % off either way, and rather too large than too small.
    """
    a = given.above_zero("area", area)
    q = guard.rain_depth(runoff, "runoff")
    shape = given.one_of("shape", shape, SHAPES)
    ratio = given.above_zero("outflow", outflow) / given.above_zero("inflow", inflow)
    right = "the outflow must lie between 0.1 and 0.8 of the inflow, where the curves hold"
    x = given.within("outflow over inflow", ratio, 0.1, 0.8, right)
    row = next(r for r in rows("rainfall", "storage") if shape in r["rain_type"].split(", "))
    held = row["C0"] + row["C1"] * x + row["C2"] * x**2 + row["C3"] * x**3
    volume = a * q
    return Storage(np.asarray(held), np.asarray(volume), np.asarray(held * volume))
