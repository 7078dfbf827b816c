"""The revised NIOSH lifting equation: the load that nearly all can lift so, and the index of one.

The recommended weight limit is a load constant times six multipliers of 1 or less. It holds for
two-handed lifts with good footing in mild weather: on a hillside read it as the most, not as safe.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.given import POUND, above_zero, at_least_zero, number, one_of, rows
from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.method import method

INCH = 0.0254
DURATIONS = ("short", "moderate", "long")
COUPLINGS = ("good", "fair", "poor")
_SOURCE = (
    "Waters, Putz-Anderson and Garg, 1994 (rev. 9/2021), Applications Manual for the Revised NIOSH "
    "Lifting Equation, DHHS (NIOSH) 94-110"
)
_HIGH = 0.75  # hands so high or higher use the other columns of the tables [m]
_TURN = math.radians(135)  # no lift beyond [rad]


class LiftLimit(NamedTuple):
    """Recommended weight limit at one end of a lift, and its multipliers."""

    limit: Array
    without_frequency: Array
    reach: Array
    height: Array
    travel: Array
    twist: Array
    frequency: Array
    coupling: Array


@method(
    title="Recommended weight limit of a lift (NIOSH)",
    equation="RWL = LC HM VM DM AM FM CM; HM = 25/H, VM = 1 - 0.003|V - 75|, DM = 0.82 + 4.5/D, "
    "AM = 1 - 0.0032 A (cm, deg); US: 51 lb, 10/H, 1 - 0.0075|V - 30|, 0.82 + 1.8/D",
    source=_SOURCE,
    symbols={
        "LC": "load constant, 23 kg or 51 lb",
        "HM": "factor of the reach",
        "VM": "factor of the height",
        "DM": "factor of the travel",
        "AM": "factor of the twist",
        "FM": "factor of frequency and duration, by table",
        "CM": "factor of the coupling, by table",
        "H": "reach",
        "V": "height",
        "D": "travel",
        "A": "twist",
    },
)
def lift_limit(
    reach: ArrayLike,
    height: ArrayLike,
    travel: ArrayLike,
    twist: ArrayLike = 0.0,
    frequency: ArrayLike = 0.0,
    duration: str = "short",
    coupling: str = "fair",
    origin_height: ArrayLike | None = None,
    units: str = "metric",
    rounded: bool = False,
) -> LiftLimit:
    """Give the load that nearly all healthy workers can lift so over the time.

    Parameters
    ----------
    reach : (...) array
        Horizontal distance of the hands from the middle between the ankles. [m]
    height : (...) array
        Of the hands above the ground, at the end that is looked at. [m]
    travel : (...) array
        Vertical distance that the load goes. [m]
    twist : (...) array, optional
        Asymmetry angle. [rad]
    frequency : (...) array, optional
        Lifts in a time; below 0.2 a minute is taken as that. [1/s]
    duration : str, optional
        "short" (to 1 h), "moderate" (to 2 h) or "long" (to 8 h). [text]
    coupling : str, optional
        Grip: "good", "fair" or "poor". [text]
    origin_height : (...) array, optional
        Height of the hands at the origin, where another end is looked at: it decides the
        frequency multiplier. [m]
    units : str, optional
        "metric" or "us": the source's two sets of constants are not conversions. [text]
    rounded : bool, optional
        Round each multiplier to two places before multiplying, as the source's worksheets do. [-]

    Returns
    -------
    limit : (...) array
        Recommended weight limit; 0 where no such lift is recommended. [kg]
    without_frequency : (...) array
        The same without the frequency multiplier. [kg]
    reach, height, travel, twist, frequency, coupling : (...) array
        Multipliers. [-]

    Raises
    ------
    OutOfRange
        A length, angle or frequency below 0, or a word that is not among those.

    Notes
    -----
    Not for one hand, more than 8 hours, sitting, kneeling, narrow places, unstable loads, lifting
    while carrying, barrows and shovels, slippery ground, or heat. A team is another matter.
    """
    system = one_of("units", units, ("metric", "us"))
    h, v, d = (
        at_least_zero(name, value) / (0.01 if system == "metric" else INCH)
        for name, value in (("reach", reach), ("height", height), ("travel", travel))
    )
    a = np.degrees(at_least_zero("twist", twist))
    k = table("lifting")[system]
    (near, far), (mid, per, top) = k["reach"], k["height"]
    base, shortest, longest = k["travel"]
    eps = 1e-9
    hm = np.where(h <= far + eps, near / np.maximum(h, near), 0.0)
    vm = np.where(v <= top + eps, np.maximum(1 - per * np.abs(v - mid), 0.0), 0.0)
    dm = np.where(d <= longest + eps, 0.82 + base / np.maximum(d, shortest), 0.0)
    am = np.where(a <= math.degrees(_TURN) + eps, 1 - 0.0032 * a, 0.0)
    start = height if origin_height is None else at_least_zero("origin_height", origin_height)
    fm = frequency_multiplier(frequency, duration, start)
    cm = _coupling(coupling, np.asarray(height, float))
    parts = [np.asarray(m, float) for m in (hm, vm, dm, am, fm, cm)]
    if rounded:
        parts = [np.floor(p * 100 + 0.5 + 1e-9) / 100 for p in parts]
    constant = k["load_kg"] if system == "metric" else k["load_lb"] * POUND
    still = constant * parts[0] * parts[1] * parts[2] * parts[3] * parts[5]
    shape = np.shape(still * parts[4])
    return LiftLimit(
        np.asarray(still * parts[4]),
        np.asarray(still),
        *(np.array(np.broadcast_to(p, shape)) for p in parts),
    )


@method(
    title="Frequency multiplier of a lift (NIOSH)",
    equation="FM from the table by lifts a minute, duration and height at the origin; linear "
    "between rows, 0 between a number and the first zero",
    source=f"{_SOURCE}, Table 5",
)
def frequency_multiplier(
    frequency: ArrayLike, duration: str = "short", height: ArrayLike = 0.0
) -> Array:
    """Give the frequency multiplier.

    Parameters
    ----------
    frequency : (...) array
        Lifts in a time. [1/s]
    duration : str, optional
        "short", "moderate" or "long". [text]
    height : (...) array, optional
        Of the hands at the origin. [m]

    Returns
    -------
    (...) array
        Multiplier; 0 above 15 lifts a minute. [-]

    Raises
    ------
    OutOfRange
        A frequency or height below 0, or a word that is not among those.
    """
    word = one_of("duration", duration, DURATIONS)
    f = np.maximum(at_least_zero("frequency", frequency) * 60, 0.2)
    column = {"short": "le1h", "moderate": "le2h", "long": "le8h"}[word]
    found = rows("lifting", "frequency")
    at = np.array([r["lifts_per_min"] for r in found])
    high = at_least_zero("height", height) >= _HIGH - 1e-9
    each = []
    for side in ("lt", "ge"):
        fm = np.array([r[f"{column}_V_{side}_75cm"] for r in found])
        got = np.interp(f, at, fm)
        # an inch past the last number of the table nothing is known: no lift
        last = at[np.flatnonzero(fm > 0)[-1]]
        each.append(np.where(f > last + 1e-9, 0.0, got))
    return np.asarray(np.where(high, each[1], each[0]))


def _coupling(word: str, height: Array) -> Array:
    found = one_of("coupling", word, COUPLINGS)
    row = next(r for r in rows("lifting", "coupling") if r["coupling"] == found)
    high = height >= _HIGH - 1e-9
    return np.asarray(np.where(high, row["V_ge_75cm_30in"], row["V_lt_75cm_30in"]))


@method(
    title="Lifting index: a load against its limit",
    equation="LI = L/RWL",
    source=f"{_SOURCE}, section 1.4",
)
def lifting_index(load: ArrayLike, limit: ArrayLike) -> Array:
    """Give how a load compares with its recommended limit.

    Parameters
    ----------
    load : (...) array
        What is lifted. [kg]
    limit : (...) array
        Recommended weight limit. [kg]

    Returns
    -------
    (...) array
        Index: 1 or less is the design goal, above 3 the work must be made otherwise. [-]

    Raises
    ------
    OutOfRange
        A load below 0, or a limit of 0: no such lift is recommended, whatever the load.
    """
    top = number("limit", limit)
    if (top <= 0).any():
        raise OutOfRange(
            "limit", "is zero: no such lift is recommended", "change reach, height or pace"
        )
    return np.asarray(at_least_zero("load", load) / top)


@method(
    title="Lifts a minute where the crew does not lift all the time (NIOSH)",
    equation="F = rate minutes/15",
    source=f"{_SOURCE}, section 1.3.5.5",
)
def lift_frequency(rate: ArrayLike, lifting: ArrayLike, sample: float = 900.0) -> Array:
    """Give the mean frequency over a sample.

    Parameters
    ----------
    rate : (...) array
        Lifts in a time, while lifting. [1/s]
    lifting : (...) array
        Time lifted in the sample, at most all of it. [s]
    sample : float, optional
        Length of the sample; 15 minutes left out. [s]

    Returns
    -------
    (...) array
        Lifts in a time, over the sample. [1/s]

    Raises
    ------
    OutOfRange
        A rate or time below 0, or more time lifted than the sample has.
    """
    whole = float(above_zero("sample", sample))
    spent = at_least_zero("lifting", lifting)
    if (spent > whole * (1 + 1e-9)).any():
        raise OutOfRange("lifting", "is longer than the sample", "give at most its length")
    return np.asarray(at_least_zero("rate", rate) * spent / whole)


class Duration(NamedTuple):
    """How long a day of lifting counts as."""

    lifting: float
    longest: float
    duration: str


@method(
    title="Duration class of a pattern of lifting and recovery (NIOSH)",
    equation="sessions add up unless recovery between is 1.0 (short) or 0.3 (moderate) of the work",
    source=f"{_SOURCE}, section 1.3.5.2 (2021: 1.0, not 1.2)",
)
def lift_duration(minutes: ArrayLike, kinds: tuple[str, ...]) -> Duration:
    """Give the duration class.

    Parameters
    ----------
    minutes : (k,) array
        Length of each part of the day in its order. [s]
    kinds : tuple of str
        What each is: "lift", or "light" for work or rest that lets the body recover. [text]

    Returns
    -------
    lifting : float
        Time lifted. [s]
    longest : float
        Longest time that counts as one. [s]
    duration : str
        "short", "moderate" or "long". [text]

    Raises
    ------
    OutOfRange
        Lists of different length, words that are not among those, or more than 8 hours of lifting.
    """
    t = np.atleast_1d(at_least_zero("minutes", minutes))
    words = [one_of("kinds", kind, ("lift", "light")) for kind in kinds]
    if len(words) != len(t):
        raise OutOfRange("kinds", f"has {len(words)} words for {len(t)} times", "give one for each")
    block, rest, longest, total = 0.0, 0.0, 0.0, 0.0
    for length, kind in zip(t.tolist(), words, strict=True):
        if kind == "light":
            rest += length
            continue
        if block and rest >= _recovery(block) * block * (1 - 1e-9):
            block = 0.0
        block, rest, total = block + length, 0.0, total + length
        longest = max(longest, block)
    if longest > 8 * 3600 * (1 + 1e-9):
        raise OutOfRange(
            "minutes", "more than 8 hours of lifting", "the equation does not hold for so long"
        )
    for word, most in zip(DURATIONS, (3600.0, 7200.0, 28800.0), strict=True):
        if longest <= most * (1 + 1e-9):
            return Duration(total, longest, word)
    raise AssertionError("unreachable")  # pragma: no cover


def _recovery(work: float) -> float:
    """Give how much recovery, as a share of the work, ends a session so long."""
    if work <= 3600 * (1 + 1e-9):
        return 1.0
    return 0.3 if work <= 7200 * (1 + 1e-9) else math.inf


class EnergyLimits(NamedTuple):
    """Energy that repeated lifting may ask for."""

    low: Array
    high: Array


@method(
    title="Energy that repeated lifting may ask for (NIOSH)",
    equation="E = capacity share; 0.7 of that with the hands above 75 cm",
    source="Waters et al., 1993, Ergonomics 36(7) (from memory)",
)
def lift_energy(
    capacity: ArrayLike | None = None, share: ArrayLike = (0.5, 0.4, 0.33), arm: float = 0.7
) -> EnergyLimits:
    """Give the energy limits.

    Parameters
    ----------
    capacity : float, optional
        Aerobic capacity; 9.5 kcal/min, of a mixed workforce, left out. [W]
    share : (...) array, optional
        Of it that may be asked for: 0.5, 0.4 and 0.33 for up to 1, 2 and 8 hours. [-]
    arm : float, optional
        Of that again, for lifting with the arms. [-]

    Returns
    -------
    low : (...) array
        Hands below 75 cm. [W]
    high : (...) array
        Hands at 75 cm or above. [W]

    Raises
    ------
    OutOfRange
        A capacity or share of 0 or less.
    """
    from hillwright.crew.given import KCAL_MIN

    usual = table("lifting")["energy"]["capacity_kcal_min"] * KCAL_MIN
    low = above_zero("capacity", usual if capacity is None else capacity) * above_zero(
        "share", share
    )
    return EnergyLimits(np.asarray(low), np.asarray(low * float(above_zero("arm", arm))))
