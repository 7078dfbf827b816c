"""PERT: three guesses of each time, and the chance to be done by a day.

The chance is of one path. Where another path is nearly as long the true chance is lower: the work
plan therefore draws whole schedules (:mod:`hillwright.crew.spread`) and gives this beside it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.crew.network import arcs_of, in_order, passes
from hillwright.errors import OutOfRange
from hillwright.method import method


class Estimate(NamedTuple):
    """Mean and variance of an activity's time."""

    expected: Array
    variance: Array


class PathChance(NamedTuple):
    """One path and the chance to be done along it."""

    expected_duration: float
    variance: float
    z: float
    probability: float
    path: Index


@method(
    title="Mean and variance of a time from three guesses (PERT)",
    equation="te = (a + 4 m + b) / 6; var = ((b - a) / 6)^2",
    source="Malcolm, Roseboom, Clark & Fazar 1959, Operations Research 7(5) (from memory)",
)
def pert_estimate(a: ArrayLike, m: ArrayLike, b: ArrayLike) -> Estimate:
    """Give mean and variance of each activity.

    Parameters
    ----------
    a, m, b : (n,) array
        Shortest, likeliest and longest time, in that order. [any]

    Returns
    -------
    expected : (n,) array
        Mean time. [any]
    variance : (n,) array
        Variance of the time, in the square of its unit. [any]

    Raises
    ------
    OutOfRange
        Times below zero, not in order, or lists that do not go together.
    """
    try:
        low, mode, high = np.broadcast_arrays(*(np.asarray(v, float) for v in (a, m, b)))
    except ValueError:
        right = "give one of each for every activity"
        raise OutOfRange("a, m and b", "do not have the same length", right) from None
    bad = ~np.isfinite(low + mode + high) | (low < 0) | (low > mode) | (mode > high)
    for i in np.flatnonzero(bad)[:1]:
        what = f"times {low.flat[i]:g}, {mode.flat[i]:g}, {high.flat[i]:g} do not go up from 0"
        raise OutOfRange(f"activity {i + 1}", what, "give shortest, likeliest and longest")
    return Estimate((low + 4 * mode + high) / 6, ((high - low) / 6) ** 2)


@method(
    title="Chance to finish in time along the critical path (PERT)",
    equation="z = (target - sum te) / sqrt(sum var); P = Phi(z)",
    source="Malcolm, Roseboom, Clark & Fazar 1959, Operations Research 7(5) (from memory)",
)
def pert_path(
    a: ArrayLike,
    m: ArrayLike,
    b: ArrayLike,
    target: float,
    critical_path: ArrayLike | None = None,
    successors: Sequence[ArrayLike] | None = None,
) -> PathChance:
    """Give mean, variance and chance of the critical path.

    Parameters
    ----------
    a, m, b : (n,) array
        Shortest, likeliest and longest time of each activity. [any]
    target : float
        Time to be done by. [any]
    critical_path : (k,) array of int
        Numbers (from 1) of the activities on it; left out, it is found from the network. [-]
    successors : sequence of arrays
        For each activity, the numbers (from 1) of those that wait for it. [-]

    Returns
    -------
    expected_duration : float
        Mean time of the path. [any]
    variance : float
        Its variance, in the square of the unit of time. [any]
    z : float
        Standard deviations from the mean to the target. [-]
    probability : float
        Chance to be done by then. [-]
    path : (k,) array of int
        Numbers (from 1) of the activities on the path. [-]

    Raises
    ------
    OutOfRange
        Times that do not go up, numbers that are no activity, or neither a path nor a network.

    Notes
    -----
    Times are taken as independent and their sum as normal. Where another path is nearly as long
    the true chance is lower. Of several paths of the same mean the one with the most variance is
    taken.
    """
    te, var = (np.atleast_1d(v) for v in pert_estimate(a, m, b))
    if not math.isfinite(target):
        raise OutOfRange("target", "is not a number", "give the time to be done by")
    if critical_path is None:
        if successors is None:
            what = "neither a path nor a network is given"
            raise OutOfRange("critical_path", what, "give the one or the other")
        path = _longest(te, var, arcs_of(successors, len(te)))
    else:
        numbers = np.asarray(critical_path, float).ravel()
        if not numbers.size or not np.isin(numbers, np.arange(1, len(te) + 1)).all():
            what = "is empty or names an activity that is not there"
            raise OutOfRange("critical_path", what, f"give numbers from 1 to {len(te)}")
        if len(set(numbers.tolist())) < numbers.size:
            raise OutOfRange("critical_path", "names an activity twice", "name each once")
        path = numbers.astype(np.intp) - 1
    mean, variance = float(te[path].sum()), float(var[path].sum())
    if variance > 0:
        z = (target - mean) / math.sqrt(variance)
    else:  # nothing varies: in time for certain, or late for certain
        z = math.inf if target >= mean else -math.inf
    return PathChance(mean, variance, z, 0.5 * math.erfc(-z / math.sqrt(2)), path + 1)


def _longest(te: Array, var: Array, after: tuple[tuple[int, ...], ...]) -> Index:
    """Give the longest path by mean, by variance where means are the same."""
    _, tail = passes(te, after)
    longest = np.round(tail, 9).tolist()
    spread, best = var.copy(), dict[int, int | None]()
    for i in in_order(after)[::-1].tolist():  # from the ends: the best way on from each
        on = max(after[i], key=lambda j: (longest[j], spread[j]), default=None)
        spread[i] = var[i] + (spread[on] if on is not None else 0.0)
        best[i] = on
    at: int | None = max(range(len(te)), key=lambda j: (longest[j], spread[j]))
    path = []
    while at is not None:
        path.append(at)
        at = best[at]
    return np.asarray(path, np.intp)
