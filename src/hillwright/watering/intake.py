"""How fast soil on a slope takes water in, against how fast an emitter gives it: cycle and soak."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.watering import tables
from hillwright.watering.given import INCH

_IN_H = INCH / 3600
# upper ends of the slope classes as the table heads them [%]: between two heads the steeper counts
_CLASSES = ("asa_0_3pct", "asa_4_6pct", "asa_7_12pct", "asa_over_12pct")
_CLASS_ENDS = (3.0, 6.0, 12.0)
SWAT = (
    "Irrigation Association / Smart Water Application Technologies, test protocol for "
    "climatologically based controllers (as quoted in public programs)"
)


class Intake(NamedTuple):
    """What a soil takes in on a slope."""

    rate: Array
    accumulation: Array


class CycleSoak(NamedTuple):
    """How long water may run at a stretch, and how long it must rest."""

    longest_run: Array
    shortest_soak: Array


class Cycles(NamedTuple):
    """A watering in parts."""

    number: Array
    run: Array
    elapsed: Array


class Wetted(NamedTuple):
    """What one emitter wets."""

    area: Array
    rate: Array


@method(
    title="Basic intake rate and water that may stand, by texture and slope",
    equation="table look-up; slope classes 0 to 3, 4 to 6, 7 to 12 and over 12 %",
    source=SWAT,
)
def soil_intake(texture: str, slope: ArrayLike) -> Intake:
    """Look up how fast a soil takes water in, and how much may stand on it before it runs off.

    Parameters
    ----------
    texture : str
        As in "clay loam". [text]
    slope : (...) array
        Of the soil's surface, inside the cell where it is levelled. [rad]

    Returns
    -------
    rate : (...) array
        Basic intake rate. [m/s]
    accumulation : (...) array
        Allowable surface accumulation, a depth. [m]

    Raises
    ------
    OutOfRange
        No such texture, or no slope.
    """
    found = tables.row("soil_water", "intake", "texture", texture)
    b = given.within("slope", slope, 0, np.pi / 2, "give the angle of the soil's surface")
    steps = np.tan(np.minimum(b, 1.5)) * 100
    column = np.searchsorted(_CLASS_ENDS, np.round(steps, 9))
    asa = np.array([found[c] for c in _CLASSES])[column]
    rate = np.full(asa.shape, found["intake_in_hour"])
    return Intake(np.asarray(rate * _IN_H), np.asarray(asa * INCH))


@method(
    title="Reduction of the application rate on slopes",
    equation="table look-up: 0 % to slope 5 %, 20 % to 8 %, 40 % to 12 %, 60 % to 20 %, 75 % above",
    source="landscape irrigation handbooks after USDA (from memory)",
)
def slope_reduction(slope: ArrayLike) -> Array:
    """Look up by how much a slope lowers the rate at which water may be applied.

    Parameters
    ----------
    slope : (...) array
        Of the soil's surface. [rad]

    Returns
    -------
    (...) array
        Share to take off. [-]

    Raises
    ------
    OutOfRange
        No slope.

    Notes
    -----
    Where no test of the soil itself exists. Between two classes the steeper counts.
    """
    listed = tables.rows("soil_water", "slope_reduction")
    ends = [r["slope_to_pct"] for r in listed[:-1]]
    b = given.within("slope", slope, 0, np.pi / 2, "give the angle of the soil's surface")
    at = np.searchsorted(ends, np.round(np.tan(np.minimum(b, 1.5)) * 100, 9))
    return np.array([r["reduction_pct"] / 100 for r in listed])[at]


@method(
    title="Highest application rate by soil, slope and cover",
    equation="table look-up; slope classes to 5, 8, 12 % and above",
    source="USDA Soil Conservation Service, as in irrigation design handbooks (from memory)",
)
def highest_rate(soil: str, slope: ArrayLike, bare: bool = False) -> Array:
    """Look up the highest rate at which water may be applied.

    Parameters
    ----------
    soil : str
        As the table calls it, "silt loams, uniform". [text]
    slope : (...) array
        Of the soil's surface. [rad]
    bare : bool
        No plants or mulch cover it. [-]

    Returns
    -------
    (...) array
        Rate. [m/s]

    Raises
    ------
    OutOfRange
        No such soil, or no slope.

    Notes
    -----
    Rates of sprinklers; for drip, hold the emitter's flow over its wetted area against it.
    """
    found = tables.row("soil_water", "highest_rate", "soil", soil)
    b = given.within("slope", slope, 0, np.pi / 2, "give the angle of the soil's surface")
    at = np.searchsorted((5.0, 8.0, 12.0), np.round(np.tan(np.minimum(b, 1.5)) * 100, 9))
    kind = "bare" if bare else "cover"
    names = [f"{s}_{kind}" for s in ("s0_5", "s5_8", "s8_12", "s12plus")]
    return np.asarray(np.array([found[n] for n in names])[at] * _IN_H)


@method(
    title="Area that an emitter wets, and the rate on it",
    equation="A = pi d^2/4; PR = q/A; d by texture: 0.3 m sand, 0.6 m loam, 0.9 m clay",
    source="common practice, no source (diameters of a surface emitter of about 2 L/h)",
)
def wetted_circle(flow: ArrayLike, texture: str, emitters: ArrayLike = 1.0) -> Wetted:
    """Give the ground that emitters wet, and how fast water comes down on it.

    Parameters
    ----------
    flow : (...) array
        Of all emitters together. [m3/s]
    texture : str
        As in "clay loam". [text]
    emitters : (...) array
        How many; their circles are taken as apart. [-]

    Returns
    -------
    area : (...) array
        Wetted ground. [m2]
    rate : (...) array
        Flow over it. [m/s]

    Raises
    ------
    OutOfRange
        No flow, or no such texture.
    """
    d = tables.row("soil_water", "wetted", "texture", texture)["diameter_m"]
    area = np.pi / 4 * d**2 * given.above_zero("emitters", emitters)
    return Wetted(np.asarray(area), np.asarray(given.at_least_zero("flow", flow) / area))


@method(
    title="Longest run before runoff, and soak",
    equation="run = 60 ASA/(PR - IR), soak = 60 ASA/IR min; without limit where PR <= IR",
    source=SWAT,
    symbols={"ASA": "accumulation", "PR": "rate", "IR": "intake"},
)
def cycle_and_soak(rate: ArrayLike, intake: ArrayLike, accumulation: ArrayLike) -> CycleSoak:
    """Give how long water may run before it runs off, and how long it takes to sink in.

    Parameters
    ----------
    rate : (...) array
        At which water is applied, PR. [m/s]
    intake : (...) array
        Basic intake rate of the soil, IR. [m/s]
    accumulation : (...) array
        Depth that may stand on it, ASA. [m]

    Returns
    -------
    longest_run : (...) array
        Without limit where the soil takes all in as it comes. [s]
    shortest_soak : (...) array
        Until all that stands has sunk in; 0 where nothing stands. [s]

    Raises
    ------
    OutOfRange
        Negative rates, or soil that takes nothing in.
    """
    pr, ir = given.at_least_zero("rate", rate), given.above_zero("intake", intake)
    asa = given.at_least_zero("accumulation", accumulation)
    over = pr - ir
    with np.errstate(divide="ignore", invalid="ignore"):
        run = np.where(over > 0, asa / np.where(over > 0, over, 1), np.inf)
        soak = np.where(over > 0, asa / ir, 0.0)
    return CycleSoak(run, np.asarray(soak))


@method(
    title="A watering in cycles",
    equation="n = ceil(t/run), each t/n, elapsed t + (n - 1) soak",
    source="common practice, no source",
)
def cycles(run: ArrayLike, longest_run: ArrayLike, soak: ArrayLike) -> Cycles:
    """Split a run into as few cycles as the soil allows.

    Parameters
    ----------
    run : (...) array
        How long water must run in all. [s]
    longest_run : (...) array
        At a stretch; may be without limit. [s]
    soak : (...) array
        Rest between two. [s]

    Returns
    -------
    number : (...) array
        How many; 0 where nothing runs. [-]
    run : (...) array
        Each of them. [s]
    elapsed : (...) array
        From the first opening to the last closing. [s]

    Raises
    ------
    OutOfRange
        Negative times, or no run allowed at all.
    """
    t = given.at_least_zero("run", run)
    most = np.asarray(longest_run, float)
    if (bad := ~(most > 0)).any():
        given.above_zero("longest_run", np.where(bad, 0.0, 1.0))
    rest = given.at_least_zero("soak", soak)
    n = np.where(t > 0, np.ceil(t / most - 1e-9), 0.0)
    n = np.where((t > 0) & (n < 1), 1.0, n)
    each = np.where(n > 0, t / np.maximum(n, 1), 0.0)
    return Cycles(n, each, np.asarray(t + np.maximum(n - 1, 0) * rest))
