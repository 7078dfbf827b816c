"""From a factor and its spread to the chance of failure."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import above_zero, at_least_zero, number

_erfc = np.frompyfunc(math.erfc, 1, 1)  # scipy's takes longer to import than the whole plan


class Reliability(NamedTuple):
    """How many standard deviations lie between the mean and failure, and the chance of it."""

    beta: Array
    probability: Array


class Margin(NamedTuple):
    """First-order second-moment result of a margin."""

    mean: Array
    sd: Array
    beta: Array
    probability: Array


class Taylor(NamedTuple):
    """Spread of a factor from its value a standard deviation either side."""

    sd: Array
    variation: Array
    beta: Array
    probability: Array


def normal_below(score: ArrayLike) -> Array:
    """Give the share of a standard normal that lies below each score."""
    tail = _erfc(-np.asarray(score, float) / math.sqrt(2))
    return np.asarray(0.5 * np.asarray(tail, float))


def lognormal_beta(factor: Array, variation: Array) -> Array:
    """Give beta of lognormal factors without checks; infinite where nothing varies."""
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = np.sqrt(np.log1p(variation**2))
        beta = np.log(factor / np.sqrt(1 + variation**2)) / spread
    # a factor of exactly 1 that does not vary stands on the edge: call it failed
    sure = np.where(factor > 1, np.inf, -np.inf)
    return np.where((spread > 0) & np.isfinite(factor), beta, sure)


@method(
    title="Reliability of a lognormal factor of safety",
    equation="beta = ln[F / sqrt(1 + V^2)] / sqrt(ln(1 + V^2)); pf = Phi(-beta)",
    source="Duncan, 2000, J. Geotech. Geoenviron. Eng. 126(4)",
)
def lognormal_reliability(factor: ArrayLike, variation: ArrayLike) -> Reliability:
    """Give the chance that a factor falls below 1.

    Parameters
    ----------
    factor : (...) array
        Most likely factor of safety, above 0. [-]
    variation : (...) array
        Coefficient of variation of the factor. [-]

    Returns
    -------
    beta : (...) array
        Reliability index. [-]
    probability : (...) array
        Chance of a factor below 1. [-]

    Raises
    ------
    OutOfRange
        A factor of 0 or less, or a variation below 0.
    """
    beta = lognormal_beta(above_zero("factor", factor), at_least_zero("variation", variation))
    return Reliability(beta, normal_below(-beta))


@method(
    title="Reliability of a normal factor of safety",
    equation="beta = (F - 1) / (V F); pf = Phi(-beta)",
    source="closed form (normal distribution)",
)
def normal_reliability(factor: ArrayLike, variation: ArrayLike) -> Reliability:
    """Give the chance that a factor falls below 1, were it normal.

    Parameters
    ----------
    factor : (...) array
        Mean factor of safety, above 0. [-]
    variation : (...) array
        Coefficient of variation of the factor, above 0. [-]

    Returns
    -------
    beta : (...) array
        Reliability index. [-]
    probability : (...) array
        Chance of a factor below 1. [-]

    Raises
    ------
    OutOfRange
        A factor or a variation of 0 or less.
    """
    f, v = above_zero("factor", factor), above_zero("variation", variation)
    beta = np.asarray((f - 1) / (v * f))
    return Reliability(beta, normal_below(-beta))


@method(
    title="First-order second-moment index of a linear margin",
    equation="g = a0 + sum a_i x_i; sd_g^2 = sum_ij a_i a_j r_ij s_i s_j; beta = mean_g / sd_g",
    source="UFC 3-220-20 (2025), chapter 7, equations 7-8 to 7-11",
)
def fosm_linear(
    coefficients: ArrayLike,
    mean: ArrayLike,
    sd: ArrayLike,
    constant: float = 0.0,
    correlation: ArrayLike | None = None,
) -> Margin:
    """Give mean, spread and reliability index of a margin that is linear in its variables.

    Parameters
    ----------
    coefficients : (k,) array
        What each variable is multiplied by: [1, -1] for x - y. [-]
    mean, sd : (k,) array
        Of the variables, all in one unit. [any]
    constant : float, optional
        Added to the margin. [any]
    correlation : (k, k) array, optional
        Between the variables; left out, none. [-]

    Returns
    -------
    mean, sd : float
        Of the margin. [any]
    beta : float
        Reliability index: standard deviations from the mean to a margin of 0. [-]
    probability : float
        Chance of a margin below 0, were it normal. [-]

    Raises
    ------
    OutOfRange
        Lists of different lengths, a spread below 0, nothing that varies, or no correlation.
    """
    a, m = np.atleast_1d(number("coefficients", coefficients)), np.atleast_1d(number("mean", mean))
    s = np.atleast_1d(at_least_zero("sd", sd))
    if not a.shape == m.shape == s.shape:
        right = "give one coefficient, mean and standard deviation for each variable"
        raise OutOfRange("mean", f"{a.size}, {m.size} and {s.size} values do not pair", right)
    r = np.eye(a.size) if correlation is None else number("correlation", correlation)
    proper = r.shape == (a.size, a.size) and bool(
        np.allclose(r, r.T) and np.allclose(np.diag(r), 1) and (np.abs(r) <= 1).all()
    )
    if not proper or np.linalg.eigvalsh(r).min() < -1e-9:
        right = "give a symmetric square of -1 to 1 with 1 along its diagonal"
        raise OutOfRange("correlation", "is no correlation of these variables", right)
    spread = math.sqrt(max(float((a * s) @ r @ (a * s)), 0.0))
    if spread <= 0:
        raise OutOfRange("sd", "nothing varies: there is no index", "give a spread above 0")
    mean_g = constant + float(a @ m)
    beta = np.asarray(mean_g / spread)
    return Margin(np.asarray(mean_g), np.asarray(spread), beta, normal_below(-beta))


@method(
    title="Spread of a factor of safety by the Taylor series",
    equation="sd = sqrt(sum (dF_i / 2)^2), dF_i = F(x_i + s_i) - F(x_i - s_i); V = sd / F",
    source="Duncan, 2000, J. Geotech. Geoenviron. Eng. 126(4)",
)
def taylor_series(factor: ArrayLike, plus: ArrayLike, minus: ArrayLike) -> Taylor:
    """Give spread and reliability of a factor from its value when each input is moved.

    Parameters
    ----------
    factor : float
        With every input at its most likely value, above 0. [-]
    plus, minus : (k,) array
        With one input after another a standard deviation higher, and lower. [-]

    Returns
    -------
    sd, variation : float
        Standard deviation of the factor, and over the factor. [-]
    beta : float
        Lognormal reliability index. [-]
    probability : float
        Chance of a factor below 1. [-]

    Raises
    ------
    OutOfRange
        A factor of 0 or less, or lists of different lengths.
    """
    f = above_zero("factor", factor)
    up, down = np.atleast_1d(number("plus", plus)), np.atleast_1d(number("minus", minus))
    if up.shape != down.shape:
        raise OutOfRange(
            "minus", f"{down.size} values for {up.size} of plus", "give one of each for each input"
        )
    sd = np.asarray(np.sqrt((((up - down) / 2) ** 2).sum(axis=0)))
    beta = lognormal_beta(f, sd / f)
    return Taylor(sd, np.asarray(sd / f), beta, normal_below(-beta))
