"""The bucket brigade as a row of hands: what sets its pace, in closed form.

A full bucket goes from hand to hand up the line. A hand-over needs both people at once. Between
two of them a person turns uphill with a full bucket, and back with empty hands or with the empty
bucket that comes the other way. With times that do not vary the line is a timed event graph, and
its pace is that of its slowest circuit: one person's round, or the round of all buckets.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange, Problem
from hillwright.method import method


class Pace(NamedTuple):
    """How fast a brigade can go, and who or what holds it back."""

    cycle: float
    buckets_per_hour: float
    bottleneck: int


class Hands(NamedTuple):
    """Times of a line of n people, checked: at each person, and of the n - 1 hand-overs."""

    turn: Array  # (n,) there and back between two hand-overs [s]
    hand_over: Array  # (n - 1,) [s]
    load: float
    pour: float


def hands(turn: ArrayLike, hand_over: ArrayLike, load: float, pour: float, people: int) -> Hands:
    """Check the times of a line and give one for each person and hand-over.

    Raises
    ------
    OutOfRange
        No people, times below zero, or lists that do not go with the people: all together.
    """
    if people < 1:
        raise OutOfRange("people", f"{people} people make no line", "give 1 or more")
    wrong = []
    found: list[Array] = []
    for name, value, many in (
        ("turn", turn, people),
        ("hand_over", hand_over, people - 1),
        ("load", load, 1),
        ("pour", pour, 1),
    ):
        given = np.asarray(value, float).ravel()
        if given.size not in (1, many):
            what = f"has {given.size} times beside {people} people"
            wrong.append(Problem(name, what, f"give one time, or {many}"))
        elif not np.isfinite(given).all() or (given < 0).any():
            wrong.append(Problem(name, "is negative or no number", "give 0 or more"))
        found.append(np.broadcast_to(given, (many,)) if given.size == 1 else given)
    if wrong:
        raise OutOfRange.all(wrong)
    return Hands(found[0], found[1], float(found[2][0]), float(found[3][0]))


@method(
    title="Pace of a bucket brigade",
    equation="cycle = max over people (receive + turn + pass), round trip / buckets",
    source="timed event graph, slowest circuit (closed form; Baccelli, Cohen, Olsder & Quadrat "
    "1992, from memory)",
)
def brigade_pace(
    people: int,
    turn: ArrayLike,
    hand_over: ArrayLike,
    load: float,
    pour: float,
    buckets: int,
    empties_return: float,
) -> Pace:
    """Give the pace of a line of people that hands full buckets on, without rest.

    Parameters
    ----------
    people : int
        People on the line: the first loads at the pile, the last pours into the cell. [-]
    turn : (n,) array
        What each person needs between two hand-overs, to turn or step there and back. [s]
    hand_over : (n - 1,) array
        Time of each hand-over, both people busy. [s]
    load : float
        To fill a bucket at the pile, the first person busy. [s]
    pour : float
        To empty it, the last person busy. [s]
    buckets : int
        How many buckets go round. [-]
    empties_return : float
        From the pouring until an empty bucket is back at the pile. [s]

    Returns
    -------
    cycle : float
        Time from one bucket poured to the next. [s]
    buckets_per_hour : float
        Buckets poured in an hour without rest. [-]
    bottleneck : int
        Number (from 1, at the pile) of the person who sets the pace; 0 where buckets do. [-]

    Raises
    ------
    OutOfRange
        No people, no buckets, times below zero, or times that are all zero.

    Notes
    -----
    Times that do not vary. Where they vary the line is slower: see the simulation.
    """
    h = hands(turn, hand_over, load, pour, people)
    if buckets < 1:
        raise OutOfRange("buckets", f"{buckets} buckets carry nothing", "give 1 or more")
    if not np.isfinite(empties_return) or empties_return < 0:
        raise OutOfRange("empties_return", "is negative or no number", "give 0 or more")
    busy = h.turn.copy()
    busy[0] += h.load
    busy[-1] += h.pour
    busy[1:] += h.hand_over
    busy[:-1] += h.hand_over
    # half of each turn is with the bucket, half without: a bucket's own way up is half of them
    loop = h.load + h.hand_over.sum() + h.turn.sum() / 2 + h.pour + empties_return
    slowest = int(np.argmax(busy))
    cycle, at = float(busy[slowest]), slowest + 1
    if loop / buckets > cycle * (1 + 1e-12):
        cycle, at = float(loop / buckets), 0
    if cycle <= 0:
        raise OutOfRange("turn, hand_over, load and pour", "are all zero", "time one bucket")
    return Pace(cycle, 3600 / cycle, at)
