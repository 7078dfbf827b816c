"""Green-Ampt infiltration: a sharp wetting front that goes down into soil, wet behind it.

F is the depth of water taken in since the storm began, S = psi * dtheta the suction at the front
times the room for water in the soil, K the conductivity of the wetted soil. The water standing on
the ground is thin against the suction and is left out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.given import at_least_zero, share
from hillwright.method import method

_CHOW = "Green and Ampt 1911; Chow, Maidment and Mays 1988, Applied Hydrology, section"
_NO_SUCTION = 1e-15  # less than a molecule of water [m]
_ROUNDS = 60  # Newton steps at most; four or five do


class Ponded(NamedTuple):
    """What soil under standing water has taken in, and how fast it still drinks."""

    deficit: Array
    suction_deficit: Array
    infiltrated: Array
    rate: Array


class Ponding(NamedTuple):
    """When steady rain begins to stand on the ground."""

    time: Array
    infiltrated: Array


@method(
    title="Green-Ampt infiltration under standing water",
    equation="F - S ln(1 + F/S) = K t; f = K (1 + S/F), S = psi dtheta, dtheta = (1 - Se) theta_e",
    source=f"{_CHOW} 4.3",
)
def green_ampt_ponded(
    conductivity: ArrayLike,
    suction: ArrayLike,
    effective_porosity: ArrayLike,
    saturation: ArrayLike,
    time: ArrayLike,
) -> Ponded:
    """Give what soil has taken in after water has stood on it for a time.

    Parameters
    ----------
    conductivity : (...) array
        K of the wetted soil. [m/s]
    suction : (...) array
        psi, suction head at the wetting front. [m]
    effective_porosity, saturation : (...) array
        theta_e, and Se: the share of it that is full before the storm, 0 to 1. [-]
    time : (...) array
        Since the water began to stand. [s]

    Returns
    -------
    deficit : (...) array
        dtheta, room for water in the soil. [-]
    suction_deficit : (...) array
        S, suction times room. [m]
    infiltrated : (...) array
        F, depth of water taken in. [m]
    rate : (...) array
        f, at which it goes on; infinite at time 0. [m/s]

    Raises
    ------
    OutOfRange
        A time, suction or conductivity below 0; porosity or saturation outside 0 to 1.

    Notes
    -----
    Deep uniform soil, shallow water on it, level ground or a gentle slope.
    """
    k = at_least_zero("conductivity", conductivity)
    s = suction_deficit(suction, effective_porosity, saturation)
    room = share("effective_porosity", effective_porosity) * (1 - np.asarray(saturation, float))
    t = at_least_zero("time", time)
    k, s, room, t = np.broadcast_arrays(k, s, room, t)
    f = implicit_step(np.zeros(k.shape), k, s, t)
    with np.errstate(divide="ignore", invalid="ignore"):
        # soil without suction or room drinks at K from the start
        rate = np.where(s > 0, k * (1 + s / f), k)
    return Ponded(room, s, f, rate)


@method(
    title="Time until steady rain stands on the ground (Green-Ampt)",
    equation="tp = K psi dtheta / (i (i - K)); Fp = i tp",
    source=f"{_CHOW} 4.4",
)
def time_to_ponding(
    conductivity: ArrayLike, suction: ArrayLike, deficit: ArrayLike, rain_rate: ArrayLike
) -> Ponding:
    """Say how long soil takes in all of a steady rain.

    Parameters
    ----------
    conductivity : (...) array
        K of the wetted soil. [m/s]
    suction : (...) array
        psi, suction head at the wetting front. [m]
    deficit : (...) array
        dtheta, room for water in the soil before the rain, 0 to 1. [-]
    rain_rate : (...) array
        i, intensity of the rain. [m/s]

    Returns
    -------
    time : (...) array
        tp; infinite where the soil takes in the rain for ever (i no more than K). [s]
    infiltrated : (...) array
        Fp, depth of water taken in until then. [m]

    Raises
    ------
    OutOfRange
        A conductivity, suction or intensity below 0, or a deficit outside 0 to 1.

    Notes
    -----
    Steady rain on deep uniform soil.
    """
    k = at_least_zero("conductivity", conductivity)
    s = at_least_zero("suction", suction) * share("deficit", deficit)
    i = at_least_zero("rain_rate", rain_rate)
    k, s, i = np.broadcast_arrays(k, s, i)
    with np.errstate(divide="ignore", invalid="ignore"):
        depth = np.where(i > k, k * s / (i - k), np.inf)
        return Ponding(np.where(i > k, depth / i, np.inf), depth)


def suction_deficit(
    suction: ArrayLike, effective_porosity: ArrayLike, saturation: ArrayLike
) -> Array:
    """Give S = psi (1 - Se) theta_e [m] of soil that is filled to Se (0 to 1) before the storm."""
    room = share("effective_porosity", effective_porosity) * (1 - share("saturation", saturation))
    return np.asarray(at_least_zero("suction", suction) * room)


def implicit_step(taken: Array, k: Array, s: Array, dt: Array) -> Array:
    """Solve F' - F - S ln[(F' + S)/(F + S)] = K dt for F' [m], element by element, by Newton."""
    target = k * dt
    new = taken + ponded_step(taken, target, s)
    pulls = s > _NO_SUCTION  # without suction F' = F + K dt, which the first guess is
    for _ in range(_ROUNDS):
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            miss = new - taken - s * np.log1p((new - taken) / (taken + s)) - target
            move = np.where(pulls & (new > 0), miss * (new + s) / new, 0.0)
        new = np.maximum(new - move, taken)
        if np.all(np.abs(move) <= 1e-15 + 1e-14 * new):
            break
    return np.asarray(new)


def ponded_step(taken: Array, k_dt: Array, s: Array) -> Array:
    """Give the depth that soil can drink in a step: the rate taken at the middle of its own step.

    dF = K dt [1 + S/(F + dF/2)], solved for dF: exact for a short time from dry soil, and of
    second order in the step.

    Parameters
    ----------
    taken, k_dt, s : arrays of one shape
        F at the start, K dt and S [m].

    Returns
    -------
    array
        dF [m].
    """
    a = taken - 0.5 * k_dt
    return np.asarray(np.sqrt(a * a + 2 * k_dt * (taken + s)) - a)
