"""Learning curves: how the time for the same piece of work falls as it is done again.

Two readings of "an 85 % curve" are in use, and at the same rate they differ by a fifth over a
hundred units: Crawford's, where the time of the *unit* falls to 85 % at each doubling, and
Wright's, where the *average* of all units so far does. A figure must say which is meant.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method

_MOST = 1_000_000  # units that are summed one by one


class Learning(NamedTuple):
    """What two observed times say about the curve."""

    rate: Array
    exponent: Array


def _finite(name: str, value: ArrayLike) -> Array:
    found = np.asarray(value, float)
    if not np.isfinite(found).all():
        raise OutOfRange(name, "is not a number", "give a finite number")
    return found


def _first(name: str, value: ArrayLike) -> Array:
    found = _finite(name, value)
    if (found <= 0).any():
        raise OutOfRange(name, "is not above zero", "give the time that the unit took")
    return found


def _units(name: str, value: ArrayLike) -> Array:
    found = _finite(name, value)
    if (found < 1).any():
        raise OutOfRange(name, "is below 1", "count units from 1")
    return found


def _whole(name: str, value: ArrayLike) -> Array:
    found = _units(name, value)
    if (found != np.floor(found)).any():
        raise OutOfRange(name, "is not whole", "count whole units")
    return found


def _ordered(first: Array, last: Array) -> None:
    if (last < first).any():
        raise OutOfRange("last", "comes before first", "give the last unit of the block")


def exponent(rate: ArrayLike) -> Array:
    """Give the exponent b of a learning rate, ln(rate) / ln 2; 0 where nothing is learned.

    Raises
    ------
    OutOfRange
        A rate of 0 or less, or above 1 (85 instead of 0.85).
    """
    r = _finite("rate", rate)
    if (r <= 0).any():
        raise OutOfRange("rate", "is not above zero", 'give a share, as in 0.9 or "90 %"')
    if (r > 1).any():
        what = "is above 1: the work would slow down each time"
        raise OutOfRange("rate", what, 'give a share, as in 0.9 or "90 %"')
    return np.asarray(np.log(r) / math.log(2))


@method(
    title="Time of one unit on a learning curve (Crawford)",
    equation="t_n = t_1 n^b, b = ln(rate) / ln 2",
    source="Crawford's unit model, as in the AFIT learningCurve package",
    symbols={"t_1": "t1", "ln": "natural logarithm"},
)
def crawford_unit(t1: ArrayLike, n: ArrayLike, rate: ArrayLike) -> Array:
    """Give the time that the n-th unit takes.

    Parameters
    ----------
    t1 : (...) array
        Time of the first unit, above 0. [any]
    n : (...) array
        Which unit, from 1. [-]
    rate : (...) array
        What a unit's time falls to when twice as many are done, above 0, at most 1. [-]

    Returns
    -------
    t_n : (...) array
        Time of that unit. [any]

    Raises
    ------
    OutOfRange
        A time or rate of zero or below, a rate above 1, or a unit before the first.
    """
    return np.asarray(_first("t1", t1) * _units("n", n) ** exponent(rate))


@method(
    title="Time of a block of units on a learning curve (Crawford)",
    equation="T = t_1 sum n^b, n = first ... last",
    source="Crawford's unit model, exact sum, as in the AFIT learningCurve package",
)
def crawford_total(t1: float, last: int, rate: float, first: int = 1) -> float:
    """Give the time of all units of a block, added one by one.

    Parameters
    ----------
    t1 : float
        Time of the first unit of all, above 0. [any]
    last : int
        Last unit of the block. [-]
    rate : float
        What a unit's time falls to when twice as many are done, above 0, at most 1. [-]
    first : int
        First unit of the block, from 1. [-]

    Returns
    -------
    total : float
        Time of the block. [any]

    Raises
    ------
    OutOfRange
        A time or rate of zero or below, a rate above 1, units that are not whole, that do not
        go up, or more than a million.
    """
    m, n = _whole("first", first), _whole("last", last)
    _ordered(m, n)
    if float(n - m) >= _MOST:
        raise OutOfRange("last", "is more than a million units on", "use the approximate sum")
    b = exponent(rate)
    each = np.arange(float(m), float(n) + 1) ** b
    return float(_first("t1", t1) * each.sum())


@method(
    title="Time of a block of units on a learning curve (Crawford), approximate",
    equation="T = t_1 [(n + 1/2)^(1+b) - (m - 1/2)^(1+b)] / (1 + b)",
    source="Crawford's unit model, the sum by an integral, as in the AFIT learningCurve package",
)
def crawford_total_approximate(
    t1: ArrayLike, last: ArrayLike, rate: ArrayLike, first: ArrayLike = 1
) -> Array:
    """Give the time of a block, the sum put by an integral; near for long blocks.

    Parameters
    ----------
    t1 : (...) array
        Time of the first unit of all, above 0. [any]
    last : (...) array
        Last unit of the block. [-]
    rate : (...) array
        What a unit's time falls to when twice as many are done, above 1/2, at most 1. [-]
    first : (...) array
        First unit of the block, from 1. [-]

    Returns
    -------
    total : (...) array
        Time of the block. [any]

    Raises
    ------
    OutOfRange
        A time of zero or below, a rate of 1/2 or less or above 1, or units that do not go up.
    """
    m, n, b = _units("first", first), _units("last", last), exponent(rate)
    _ordered(m, n)
    if (b <= -1).any():
        raise OutOfRange("rate", "is 1/2 or less", "use the exact sum")
    k = 1 + b
    return np.asarray(_first("t1", t1) * ((n + 0.5) ** k - (m - 0.5) ** k) / k)


@method(
    title="Average time on a learning curve (Wright)",
    equation="tbar_n = t_1 n^b, b = ln(rate) / ln 2",
    source="Wright 1936, cumulative average model, as in the AFIT learningCurve package",
)
def wright_average(t1: ArrayLike, n: ArrayLike, rate: ArrayLike) -> Array:
    """Give the average time of the first n units.

    Parameters
    ----------
    t1 : (...) array
        Time of the first unit, above 0. [any]
    n : (...) array
        How many units. [-]
    rate : (...) array
        What the average falls to when twice as many are done, above 0, at most 1. [-]

    Returns
    -------
    average : (...) array
        Average time of a unit so far. [any]

    Raises
    ------
    OutOfRange
        A time or rate of zero or below, a rate above 1, or a unit before the first.
    """
    return np.asarray(_first("t1", t1) * _units("n", n) ** exponent(rate))


@method(
    title="Time of a block of units on a learning curve (Wright)",
    equation="T = t_1 [n^(1+b) - (m-1)^(1+b)]",
    source="Wright 1936, cumulative average model, as in the AFIT learningCurve package",
)
def wright_total(t1: ArrayLike, n: ArrayLike, rate: ArrayLike, m: ArrayLike = 1) -> Array:
    """Give the time of the units from the m-th to the n-th; m = n gives that unit alone.

    Parameters
    ----------
    t1 : (...) array
        Time of the first unit of all, above 0. [any]
    n : (...) array
        Last unit of the block. [-]
    rate : (...) array
        What the average falls to when twice as many are done, above 0, at most 1. [-]
    m : (...) array
        First unit of the block, from 1. [-]

    Returns
    -------
    total : (...) array
        Time of the block. [any]

    Raises
    ------
    OutOfRange
        A time or rate of zero or below, a rate above 1, or units that do not go up.
    """
    start, stop = _units("m", m), _units("n", n)
    if (stop < start).any():
        raise OutOfRange("n", "comes before m", "give the last unit of the block")
    k = 1 + exponent(rate)
    # 0^k stands for nothing done yet, whatever k is
    before = np.where(start > 1, np.maximum(start - 1, 1e-300) ** k, 0.0)
    return np.asarray(_first("t1", t1) * (stop**k - before))


@method(
    title="Learning rate from two observed units",
    equation="b = ln(t_2 / t_1) / ln(n_2 / n_1), rate = 2^b",
    source="closed form (Crawford's unit model turned round)",
)
def learning_rate(n1: ArrayLike, t1: ArrayLike, n2: ArrayLike, t2: ArrayLike) -> Learning:
    """Give the learning rate that two timed units lie on.

    Parameters
    ----------
    n1, t1 : (...) array
        Which unit was timed first, from 1, and what it took, above 0. [-], [any]
    n2, t2 : (...) array
        Another unit, and what that took, above 0. [-], [any]

    Returns
    -------
    rate : (...) array
        What a unit's time falls to when twice as many are done; above 1 they slow down. [-]
    exponent : (...) array
        b of the curve. [-]

    Raises
    ------
    OutOfRange
        The same unit twice, a unit before the first, or a time of zero or below.
    """
    i, j = _units("n1", n1), _units("n2", n2)
    if (i == j).any():
        raise OutOfRange("n2", "is the same unit as n1", "time two units apart")
    b = np.asarray(np.log(_first("t2", t2) / _first("t1", t1)) / np.log(j / i))
    return Learning(np.asarray(2.0**b), b)
