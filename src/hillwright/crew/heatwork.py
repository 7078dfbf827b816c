"""Work in the heat: how much is left of it, how long to rest and how much to drink.

Whoever is new to the heat, heavily dressed, unwell or older needs more rest than any table says.
"""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.given import above_zero, number, one_of, rows, within
from hillwright.crew.heat import fahrenheit
from hillwright.errors import OutOfRange
from hillwright.method import method

QUART = 231 * 0.0254**3 / 4  # [m3]
INTENSITIES = ("light", "moderate", "heavy")


class HeatLimits(NamedTuple):
    """WBGT up to which a work can be done all the time."""

    exposure: Array
    alert: Array


@method(
    title="Recommended exposure and alert limits in heat (NIOSH)",
    equation="REL = 56.7 - 11.5 log10 M; RAL = 59.9 - 14.1 log10 M",
    source="NIOSH, 2016, Criteria for a Recommended Standard: Occupational Exposure to Heat, "
    "2016-106 (RAL from memory)",
)
def heat_limits(power: ArrayLike) -> HeatLimits:
    """Give the limits for a work of this power.

    Parameters
    ----------
    power : (...) array
        Mean over an hour. [W]

    Returns
    -------
    exposure : (...) array
        WBGT limit of hands who are used to the heat. [degC]
    alert : (...) array
        Of hands who are not. [degC]

    Raises
    ------
    OutOfRange
        A power of 0 or less.
    """
    m = np.log10(above_zero("power", power))
    return HeatLimits(np.asarray(56.7 - 11.5 * m), np.asarray(59.9 - 14.1 * m))


@method(
    title="Share of the work that heat leaves (Dunne)",
    equation="100 - 25 max(0, WBGT - 25)^(2/3); moderate twice, light four times, 100 at most",
    source="Dunne, Stouffer and John, 2013, Nature Climate Change 3:563 (from memory)",
)
def capacity_dunne(temperature: ArrayLike, intensity: str = "heavy") -> Array:
    """Give the share of the work that is possible: the harsh bound.

    Parameters
    ----------
    temperature : (...) array
        WBGT. [degC]
    intensity : str, optional
        "light", "moderate" or "heavy". [text]

    Returns
    -------
    (...) array
        Share. [-]

    Raises
    ------
    OutOfRange
        A word that is not among those, or no number.
    """
    factor = {"light": 4, "moderate": 2, "heavy": 1}[one_of("intensity", intensity, INTENSITIES)]
    over = np.maximum(number("temperature", temperature) - 25, 0.0)
    return np.asarray(np.clip((100 - 25 * over ** (2 / 3)) * factor, 0, 100) / 100)


@method(
    title="Share of the work that heat leaves (Hothaps, field data)",
    equation="0.1 + 0.9/(1 + (WBGT/a)^b); heavy 30.94, 16.64; moderate 32.93, 17.81; light 34.64, "
    "22.72",
    source="Kjellstrom et al. 2018; Broede et al. 2018 (from memory)",
)
def capacity_hothaps(temperature: ArrayLike, intensity: str = "heavy") -> Array:
    """Give the share of the work that is done: what a schedule is slowed by.

    Parameters
    ----------
    temperature : (...) array
        WBGT. [degC]
    intensity : str, optional
        "light", "moderate" or "heavy". [text]

    Returns
    -------
    (...) array
        Share. [-]

    Raises
    ------
    OutOfRange
        A word that is not among those, or no number.
    """
    a, b = {"light": (34.64, 22.72), "moderate": (32.93, 17.81), "heavy": (30.94, 16.64)}[
        one_of("intensity", intensity, INTENSITIES)
    ]
    t = np.maximum(number("temperature", temperature), 0.0)
    return np.asarray(np.clip(0.1 + 0.9 / (1 + (t / a) ** b), 0, 1))


class WorkRest(NamedTuple):
    """Minutes of work and rest in an hour, and water."""

    category: int
    work: float
    rest: float
    water: float


@method(
    title="Work, rest and water by heat category (US Army)",
    equation="by WBGT category and kind of work",
    source="US Army, heat categories, work/rest and water intake (TB MED 507 form)",
)
def work_rest(temperature: float, intensity: str = "heavy") -> WorkRest:
    """Give how long to work and rest in an hour, and how much to drink.

    Parameters
    ----------
    temperature : float
        WBGT. [degC]
    intensity : str, optional
        "light", "moderate" or "heavy": shovelling and carrying uphill are heavy. [text]

    Returns
    -------
    category : int
        1 to 5; 0 below the first. [-]
    work : float
        In an hour; all of it where the source sets no limit. [s]
    rest : float
        In an hour. [s]
    water : float
        To drink in an hour, of the least category where it is cooler. [m3]

    Raises
    ------
    OutOfRange
        A word that is not among those, or no number.

    Notes
    -----
    For hands who are used to the heat, over 4 hours. Never more than 1.5 qt an hour or 12 qt a day.
    """
    column = {"light": "easy", "moderate": "moderate", "heavy": "hard"}[
        one_of("intensity", intensity, INTENSITIES)
    ]
    f = float(fahrenheit(number("temperature", temperature)))
    found = rows("heat", "work_rest")
    row, category = found[0], 0
    for each in found:
        if f >= each["wbgt_F_from"]:
            row, category = each, int(each["category"])
    water = row[f"{column}_qt_h"] * QUART
    told = row[f"{column}_work_rest"]
    if category == 0 or told == "no limit":
        return WorkRest(category, 3600.0, 0.0, water)
    work, rest = (60.0 * float(part) for part in told.split("/"))
    return WorkRest(category, work, rest, water)


@method(
    title="Share of a full day for hands who are new to the heat",
    equation="20 % on the first day and 20 % more each day; returning hands 50, 60, 80, 100 %",
    source="NIOSH, heat acclimatization schedule",
)
def new_hand_share(day: int, returning: bool = False) -> float:
    """Give how much of a full day's work in the heat a new hand does.

    Parameters
    ----------
    day : int
        In the heat, 1 is the first. [-]
    returning : bool, optional
        Has worked in heat before. [-]

    Returns
    -------
    float
        Share. [-]

    Raises
    ------
    OutOfRange
        A day before the first.
    """
    if day < 1:
        raise OutOfRange("day", f"{day} is before the first", "count from 1")
    found = rows("heat", "new_hands")
    row = found[min(day, len(found)) - 1]
    return float(row["returning_worker_share" if returning else "new_worker_share"])


@method(
    title="Class of a work by its power",
    equation="the class whose watts for 70 kg, scaled by body mass, are nearest",
    source="ACGIH/OSHA metabolic rate categories (from memory)",
)
def work_class(power: float, body: float = 70.0) -> str:
    """Give the class that a work belongs to.

    Parameters
    ----------
    power : float
        Mean that it costs. [W]
    body : float, optional
        Mass of the person. [kg]

    Returns
    -------
    str
        "rest", "light", "moderate", "heavy" or "very heavy". [text]

    Raises
    ------
    OutOfRange
        A power or mass of 0 or less.
    """
    watts = float(above_zero("power", power)) * 70 / float(above_zero("body", body))
    found = rows("heat", "classes")
    # the figures of the table are the middles of their classes
    edges = [(a["watts"] + b["watts"]) / 2 for a, b in itertools.pairwise(found)]
    return str(found[int(np.searchsorted(edges, watts, side="left"))]["class"])


@method(
    title="Work and rest screening in heat (ACGIH)",
    equation="by share of work in an hour and kind of work: TLV, or action limit for new hands",
    source="ACGIH TLV and Action Limit as reprinted in OSHA Technical Manual III:4 (from memory)",
)
def screening_limit(
    work_share: float, intensity: str = "heavy", used_to_heat: bool = True
) -> float:
    """Give the WBGT up to which so much work in an hour passes the screening.

    Parameters
    ----------
    work_share : float
        Of the hour that is worked. [-]
    intensity : str, optional
        "light", "moderate", "heavy" or "very heavy". [text]
    used_to_heat : bool, optional
        Hands are used to the heat. [-]

    Returns
    -------
    float
        WBGT. [degC]

    Raises
    ------
    OutOfRange
        A share outside 0 to 1, another word, or work that needs monitoring at any heat.
    """
    word = one_of("intensity", intensity, (*INTENSITIES, "very heavy")).replace(" ", "_")
    share = float(within("work_share", work_share, 0.0, 1.0, "give a share")) * 100
    found = rows("heat", "screening")
    row = found[0 if share > 75 else 1 if share > 50 else 2 if share > 25 else 3]
    limit = float(row[f"{'tlv' if used_to_heat else 'al'}_{word}"])
    if limit < 0:
        raise OutOfRange("work_share", "needs monitoring of the people at any heat", "work less")
    return limit
