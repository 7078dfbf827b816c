"""What NIOSH leaves out: teams, one hand, long days, and the kilograms carried in a day."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.given import above_zero, rows, within
from hillwright.errors import OutOfRange
from hillwright.method import method


@method(
    title="Extra multipliers of a lift: one hand, two people, long days",
    equation="m = m_reference (0.6 one hand) (0.85 two people) (0.97, 0.93, 0.89, 0.85 by hours)",
    source="ISO 11228-1:2021 / EN 1005-2, as implemented in an open calculator",
)
def extra_multiplier(hours: ArrayLike = 8.0, one_hand: bool = False, people: int = 1) -> Array:
    """Give what a limit must be multiplied by.

    Parameters
    ----------
    hours : (...) array, optional
        Length of the working day. [s]
    one_hand : bool, optional
        Lifted with one hand. [-]
    people : int, optional
        Who lift together, 1 or 2; of each one's share. [-]

    Returns
    -------
    (...) array
        Multiplier. [-]

    Raises
    ------
    OutOfRange
        A day of more than 12 hours, or more than two people.
    """
    if people not in (1, 2):
        raise OutOfRange("people", f"{people} is not 1 or 2", "use the shares of larger teams")
    h = within("hours", np.asarray(hours, float) / 3600, 0, 12, "give at most 12 h")
    day = np.select([h <= 8, h <= 9, h <= 10, h <= 11], [1.0, 0.97, 0.93, 0.89], 0.85)
    return np.asarray(day * (0.6 if one_hand else 1.0) * (0.85 if people == 2 else 1.0))


@method(
    title="What a team lifts together",
    equation="team = share(n) sum of what each can lift; 2/3 of two, 1/2 of three or more",
    source="HSE, L23 Manual handling, team handling (from memory)",
)
def team_capacity(people: int, each: ArrayLike) -> Array:
    """Give the load that a team may lift.

    Parameters
    ----------
    people : int
        Who lift together, 1 or more. [-]
    each : (...) array
        What one of them may lift. [kg]

    Returns
    -------
    (...) array
        Load of the team; a slope lowers it further, and the load shifts to who stands below. [kg]

    Raises
    ------
    OutOfRange
        A team of nobody, or a load of 0 or less.
    """
    if people < 1:
        raise OutOfRange("people", "a team of nobody", "give 1 or more")
    shares = {
        r["team"]: r["share_of_sum_of_individual_capacities"] for r in rows("lifting", "team")
    }
    share = 1.0 if people == 1 else shares.get(people, min(shares.values()))
    return np.asarray(share * people * above_zero("each", each))


@method(
    title="Kilograms that one person may carry in a day",
    equation="by the distance carried: linear between the rows",
    source="ISO 11228-1:2003, Table 1 (from memory)",
)
def carried_in_a_day(distance: ArrayLike) -> Array:
    """Give the mass that one person may carry in 8 hours on level ground.

    Parameters
    ----------
    distance : (...) array
        That each load is carried, to 20 m; a longer way is a job for relays. [m]

    Returns
    -------
    (...) array
        Mass over 8 hours. [kg]

    Raises
    ------
    OutOfRange
        A distance below 0 or above 20 m.
    """
    found = sorted(rows("lifting", "carry"), key=lambda r: r["carry_distance_m"])
    d = within("distance", distance, 0.0, 20.0, "set down on the way, or carry in relays")
    at = [r["carry_distance_m"] for r in found]
    return np.asarray(np.interp(d, at, [r["kg_per_8h"] for r in found]))


@method(
    title="Guideline weight under repetition and twist",
    equation="m = m_0 (1 - r_repetition)(1 - r_twist)",
    source="HSE, INDG143, reductions of the guideline weights",
)
def guideline_reduction(frequency: ArrayLike, twist: ArrayLike = 0.0) -> Array:
    """Give what share of a guideline weight is left.

    Parameters
    ----------
    frequency : (...) array
        Lifts in a time; up to 30 an hour nothing is taken off. Between the bands of the source
        the next stricter one counts. [1/s]
    twist : (...) array, optional
        Of the trunk. [rad]

    Returns
    -------
    (...) array
        Share of the guideline weight. [-]

    Raises
    ------
    OutOfRange
        A frequency or angle below 0.
    """
    f = within("frequency", frequency, 0.0, np.inf) * 60
    a = np.degrees(within("twist", twist, 0.0, np.inf))
    pace = np.select([f <= 0.5, f <= 2, f <= 8], [0.0, 0.3, 0.5], 0.8)
    turn = np.select([a > 90, a > 45], [0.2, 0.1], 0.0)
    return np.asarray((1 - pace) * (1 - turn))
