"""Triangular ranges: low, likely, high; alone in closed form, and summed by drawing."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


class Moments(NamedTuple):
    """Mean and variance."""

    mean: Array
    variance: Array


class Sum(NamedTuple):
    """A sum of ranges."""

    mean: float
    sd: float
    quantile: Array
    below_modes: float


def _checked(low: ArrayLike, mode: ArrayLike, high: ArrayLike) -> tuple[Array, Array, Array]:
    a, m, b = np.broadcast_arrays(*(np.asarray(v, float) for v in (low, mode, high)))
    if not ((a <= m) & (m <= b)).all():
        raise OutOfRange("range", "is not low, likely, high in that order", "put them in order")
    return a, m, b


@method(
    title="Mean and variance of a triangular range",
    equation="mean = (a + m + b)/3, variance = (a^2 + m^2 + b^2 - a m - a b - m b)/18",
    source="closed form",
)
def triangular_moments(low: ArrayLike, mode: ArrayLike, high: ArrayLike) -> Moments:
    """Give the mean and the variance.

    Parameters
    ----------
    low, mode, high : (n,) array
        Least, likeliest and greatest value. [-]

    Returns
    -------
    mean : (n,) array
        The mean. [-]
    variance : (n,) array
        The variance. [-]

    Raises
    ------
    OutOfRange
        They are not in that order.

    Notes
    -----
    Low and high are ends, not P10 and P90: one who means those must widen them first.
    """
    a, m, b = _checked(low, mode, high)
    return Moments((a + m + b) / 3, (a * a + m * m + b * b - a * m - a * b - m * b) / 18)


@method(
    title="Quantile of a triangular range",
    equation="p <= F: a + sqrt(p (b - a)(m - a)); else b - sqrt((1 - p)(b - a)(b - m)); "
    "F = (m - a)/(b - a)",
    source="closed form",
)
def triangular_quantile(low: ArrayLike, mode: ArrayLike, high: ArrayLike, p: ArrayLike) -> Array:
    """Give the value that a share of the cases stays below.

    Parameters
    ----------
    low, mode, high : (n,) array
        Least, likeliest and greatest value. [-]
    p : (k,) array
        Shares of the cases, 0 to 1. [-]

    Returns
    -------
    quantile : (k,) array
        The values. [-]

    Raises
    ------
    OutOfRange
        The range is out of order, or a share outside 0 to 1.
    """
    a, m, b = _checked(low, mode, high)
    u = np.asarray(p, float)
    if not ((u >= 0) & (u <= 1)).all():
        raise OutOfRange("p", "is outside 0 to 1", "give a share")
    width = b - a
    turn = np.where(width > 0, (m - a) / np.where(width > 0, width, 1), 1.0)
    left = a + np.sqrt(np.maximum(u * width * (m - a), 0))
    right = b - np.sqrt(np.maximum((1 - u) * width * (b - m), 0))
    return np.asarray(np.where(u <= turn, left, right))


def scores(rng: np.random.Generator, draws: int, group: ArrayLike, correlation: float) -> Array:
    """Draw shares of the cases (n, draws) that go together within each group.

    Normal scores z = sqrt(r) f + sqrt(1 - r) e, f common to the group; then u = Phi(z). The rank
    correlation of two items of a group is (6/pi) asin(r/2), a little below r.

    Parameters
    ----------
    rng : Generator
        Where the draws come from.
    draws : int
        How many.
    group : (n,) array of int
        Which items go together.
    correlation : float
        r of the normal scores, 0 to 1.
    """
    from scipy.special import ndtr

    which = np.asarray(group, np.intp)
    found = rng.standard_normal((len(which), draws))
    if correlation > 0:
        common = rng.standard_normal((int(which.max(initial=-1)) + 1, draws))
        found *= math.sqrt(1 - correlation)
        found += math.sqrt(correlation) * common[which]
    return np.asarray(ndtr(found, out=found))


@method(
    title="Sum of triangular ranges",
    equation="T = sum x_i, x_i = F_i^-1(Phi(z_i)), z_i = sqrt(r) f + sqrt(1 - r) e_i; drawn",
    source="closed form for mean, and for the variance at r = 0 and 1; percentiles by simulation",
)
def sum_of_triangular(
    low: ArrayLike,
    mode: ArrayLike,
    high: ArrayLike,
    p: ArrayLike,
    correlation: float = 0.0,
    draws: int = 200_000,
    seed: int = 1,
) -> Sum:
    """Add ranges up, drawn so that dear and cheap ones go together as far as told.

    Parameters
    ----------
    low, mode, high : (n,) array
        Least, likeliest and greatest value of each. [-]
    p : (k,) array
        Shares of the cases, 0 to 1. [-]
    correlation : float
        Of the normal scores behind each two, 0 to 1. [-]
    draws : int
        How often. [-]
    seed : int
        Of the draws: the same seed gives the same figures. [-]

    Returns
    -------
    mean : float
        Of the sum, drawn. [-]
    sd : float
        Standard deviation of the sum, drawn. [-]
    quantile : (k,) array
        Values that the shares stay below. [-]
    below_modes : float
        Share of the cases that stay below the sum of the likeliest values. [-]

    Raises
    ------
    OutOfRange
        A range out of order, a share or a correlation outside 0 to 1, or no draw.
    """
    a, m, b = (np.atleast_1d(v) for v in _checked(low, mode, high))
    if not 0 <= correlation <= 1 or draws < 1:
        raise OutOfRange("correlation", "is outside 0 to 1, or nothing is drawn", "give a share")
    rng = np.random.default_rng(int(seed))
    u = scores(rng, int(draws), np.zeros(len(a), np.intp), float(correlation))
    total = triangular_quantile(a[:, None], m[:, None], b[:, None], u).sum(axis=0)
    found = np.quantile(total, np.asarray(p, float))
    below = float((total <= m.sum()).mean())
    return Sum(float(total.mean()), float(total.std()), np.asarray(found), below)
