"""Green-Ampt along one storm on one soil: what goes in and what is left over, step by step."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.given import at_least_zero, share
from hillwright.method import method
from hillwright.runoff.given import rain_depth
from hillwright.runoff.greenampt import implicit_step

_CHOW = "Green and Ampt 1911; Chow, Maidment and Mays 1988, Applied Hydrology, section"


class Excess(NamedTuple):
    """Infiltration and excess along a storm, both summed from its beginning."""

    infiltrated: Array
    excess: Array
    excess_total: Array


@method(
    title="Green-Ampt excess of a storm, steps by the rate at their start",
    equation="F' = F + min(i, K (1 + S/F)) dt, S = psi dtheta; excess = P - F",
    source=f"{_CHOW} 5.4 (Example 5.4.1), worked with explicit steps",
)
def green_ampt_explicit(
    conductivity: float, suction: float, deficit: float, time: ArrayLike, rain: ArrayLike
) -> Excess:
    """March through a storm, each step at the rate that the soil drinks at when it begins.

    Parameters
    ----------
    conductivity : float
        K of the wetted soil. [m/s]
    suction : float
        psi, suction head at the wetting front. [m]
    deficit : float
        dtheta, room for water in the soil before the storm, 0 to 1. [-]
    time : (n,) array
        Times at which the rain was read, rising. [s]
    rain : (n,) array
        Depth of rain up to each time; never falls. [m]

    Returns
    -------
    infiltrated : (n,) array
        Depth taken in up to each time. [m]
    excess : (n,) array
        Depth that runs off or stands up to each time. [m]
    excess_total : float
        Excess of the whole storm. [m]

    Raises
    ------
    OutOfRange
        Time running backwards, rain that falls with time, a soil that cannot be.

    Notes
    -----
    Overstates infiltration with long steps: prefer the implicit equation.
    """
    k, s, t, p = _storm(conductivity, suction, deficit, time, rain)
    taken = np.zeros(len(p))
    for n, (dt, dp) in enumerate(zip(np.diff(t), np.diff(p), strict=True)):
        with np.errstate(divide="ignore", over="ignore"):  # dry soil drinks as fast as it rains
            most = k * (1 + s / taken[n]) * dt if s > 0 else k * dt
        taken[n + 1] = taken[n] + min(dp, most)
    return _excess(p, taken)


@method(
    title="Green-Ampt excess of a storm, steps by the implicit equation",
    equation="F' - F - S ln[(F' + S)/(F + S)] = K dt while ponded, S = psi dtheta; "
    "ponding begins at Fp = K S/(i - K); excess = P - F",
    source=f"{_CHOW} 5.4",
)
def green_ampt_implicit(
    conductivity: float, suction: float, deficit: float, time: ArrayLike, rain: ArrayLike
) -> Excess:
    """March through a storm by the exact equation of each step; ponding may begin inside one.

    Parameters
    ----------
    conductivity : float
        K of the wetted soil. [m/s]
    suction : float
        psi, suction head at the wetting front. [m]
    deficit : float
        dtheta, room for water in the soil before the storm, 0 to 1. [-]
    time : (n,) array
        Times at which the rain was read, rising. [s]
    rain : (n,) array
        Depth of rain up to each time; never falls. [m]

    Returns
    -------
    infiltrated : (n,) array
        Depth taken in up to each time. [m]
    excess : (n,) array
        Depth that runs off up to each time. [m]
    excess_total : float
        Excess of the whole storm. [m]

    Raises
    ------
    OutOfRange
        Time running backwards, rain that falls with time, a soil that cannot be.

    Notes
    -----
    Rain is steady within a step, and what does not go in runs off at once.
    """
    k, s, t, p = _storm(conductivity, suction, deficit, time, rain)
    taken = np.zeros(len(p))
    for n, (dt, dp) in enumerate(zip(np.diff(t), np.diff(p), strict=True)):
        start, i = taken[n], dp / dt
        # what the soil must have drunk before this rain stands on it
        ponds = k * s / (i - k) if i > k else np.inf
        before = min(max(ponds - start, 0.0), dp)
        left = dt - before / i if i > 0 else dt
        wet = start + before
        all_in = wet + (dp - before)
        if ponds - start >= dp:
            taken[n + 1] = all_in
        else:
            end = implicit_step(np.array(wet), np.array(k), np.array(s), np.array(left))
            taken[n + 1] = min(float(end), all_in)
    return _excess(p, taken)


def _storm(
    conductivity: float, suction: float, deficit: float, time: ArrayLike, rain: ArrayLike
) -> tuple[float, float, Array, Array]:
    k = float(at_least_zero("conductivity", conductivity))
    s = float(at_least_zero("suction", suction) * share("deficit", deficit))
    t, p = np.atleast_1d(np.asarray(time, float)), np.atleast_1d(np.asarray(rain, float))
    if t.ndim != 1 or t.shape != p.shape:
        raise OutOfRange("rain", f"{p.size} depths at {t.size} times", "give one depth at each")
    if (bad := ~(np.diff(t) > 0)).any() or not np.isfinite(t).all():
        at = int(np.argmax(bad)) + 2
        raise OutOfRange(f"time, value {at}", "time runs backwards", "give times that rise")
    if (bad := np.diff(rain_depth(p)) < 0).any():
        at = int(np.argmax(bad)) + 2
        what = "the rain falls with time"
        raise OutOfRange(f"rain, value {at}", what, "give the depth summed since the storm began")
    # rain before the first reading had no time to be shared out: it is not part of the storm
    return k, s, t, p - p[0]


def _excess(rain: Array, taken: Array) -> Excess:
    excess = rain - taken
    return Excess(taken, excess, np.asarray(excess[-1]))
