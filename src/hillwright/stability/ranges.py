"""A soil property as it is really known: one value, or from the lowest to the highest conceivable.

The rule for chance, stated once:

- a **range** (two or three values) is triangular between its ends, its peak at the likeliest value;
- a **single value** is the mean of a lognormal with the coefficient of variation of the table
  ``data/variation.toml``; its ends stand three standard deviations off, in the logarithm;
- a value that is given as certain (``Range.fixed``) does not vary.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import above_zero, at_least_zero, number
from hillwright.stability.lookup import si

Rule = Literal["fixed", "triangular", "lognormal"]

_NOTHING = 1e-12  # a mean so small varies by less than it can be told from nothing [SI]


@dataclass(frozen=True, slots=True)
class Range:
    """One property [SI], and how it may vary."""

    low: float
    best: float  # likeliest of a triangle, mean of a lognormal
    high: float
    rule: Rule = "triangular"

    def __post_init__(self) -> None:
        check_order("range", self.low, self.best, self.high)

    @classmethod
    def fixed(cls, value: float) -> Range:
        """Give a value that does not vary."""
        return cls(value, value, value, "fixed")

    @classmethod
    def lognormal(cls, mean: float, variation: float) -> Range:
        """Give a lognormal of this mean and coefficient of variation (share, 0 = fixed)."""
        if mean <= _NOTHING or variation <= 0:
            return cls.fixed(mean)
        spread = math.sqrt(math.log1p(variation**2))
        middle = math.log(mean) - spread**2 / 2
        low, high = (math.exp(middle + k * spread) for k in (-3, 3))
        return cls(low, mean, high, "lognormal")

    @property
    def mean(self) -> float:
        """Mean [SI]."""
        return (self.low + self.best + self.high) / 3 if self.rule == "triangular" else self.best

    @property
    def sd(self) -> float:
        """Standard deviation [SI]."""
        if self.rule == "triangular":
            return _triangle_sd(self.low, self.best, self.high)
        if self.rule == "fixed":
            return 0.0
        return self.best * math.sqrt(math.expm1(self._spread**2))

    @property
    def _spread(self) -> float:
        """Standard deviation of the logarithm."""
        return math.log(self.high / self.low) / 6

    def quantile(self, share: Array) -> Array:
        """Give the values that these shares (0 to 1) of all samples lie below."""
        p = np.asarray(share, float)
        if self.rule == "lognormal":
            return np.asarray(np.sqrt(self.low * self.high) * np.exp(self._spread * _normal(p)))
        width = self.high - self.low
        if self.rule == "fixed" or width == 0:
            return np.full(p.shape, self.best)
        left = (self.best - self.low) / width
        rising = self.low + width * np.sqrt(p * left)
        falling = self.high - width * np.sqrt((1 - p) * (1 - left))
        return np.where(p < left, rising, falling)

    def sample(self, count: int, seed: int | np.random.Generator) -> Array:
        """Draw samples, one from the middle of each of ``count`` equally likely strata, shuffled.

        Parameters
        ----------
        count : int
            How many, at least 1.
        seed : int or Generator
            The same seed always gives the same samples.

        Returns
        -------
        (count,) array
            In the unit of the range.
        """
        return self.quantile(strata(count, seed))

    def scaled(self, factor: float) -> Range:
        """Give the same range in another unit, or of a part of the quantity (factor above 0)."""
        return Range(self.low * factor, self.best * factor, self.high * factor, self.rule)


def strata(count: int, seed: int | np.random.Generator) -> Array:
    """Give the middles of ``count`` equal strata of 0 to 1, shuffled."""
    if count < 1:
        raise OutOfRange("samples", f"{count} samples are none", "give 1 or more; 2,000 is usual")
    order = np.random.default_rng(seed).permutation(count)
    return np.asarray((order + 0.5) / count)


def range_of(name: str, value: Range | ArrayLike, kind: str = "") -> Range:
    """Read a property that is given as one value, as lowest and highest, or with the likeliest.

    Parameters
    ----------
    name : str
        What it is called in messages.
    value : Range, float, or (1,), (2,) or (3,) array
        One value; lowest and highest; or lowest, likeliest and highest, SI.
    kind : str
        Whose coefficient of variation a single value takes: "unit weight", "friction",
        "cohesion" or "undrained strength"; "" leaves it fixed.

    Returns
    -------
    Range
        The property and its spread.

    Raises
    ------
    OutOfRange
        Upside down, not a number, or neither one, two nor three values.
    """
    if isinstance(value, Range):
        return value
    found = np.atleast_1d(number(name, value))
    if found.ndim != 1 or not 1 <= found.size <= 3:
        raise OutOfRange(
            name,
            f"{found.size} values are no range",
            "give one value, lowest and highest, or lowest, likeliest and highest",
        )
    if found.size == 1:
        return Range.lognormal(float(found[0]), variation(kind) if kind else 0.0)
    low, high = float(found[0]), float(found[-1])
    best = float(found[1]) if found.size == 3 else (low + high) / 2
    check_order(name, low, best, high, degrees=kind == "friction")
    return Range(low, best, high)


def check_order(name: str, low: float, best: float, high: float, *, degrees: bool = False) -> None:
    """Refuse a range that is upside down, or a likeliest value outside it."""
    if not all(math.isfinite(v) for v in (low, best, high)):
        raise OutOfRange(name, "holds what is not a number", "give finite numbers")
    least, likely, most = (
        f"{math.degrees(v):.4g} deg" if degrees else f"{v:g}" for v in (low, best, high)
    )
    if low > high:
        raise OutOfRange(
            name,
            f"upside down: from {least} to {most}",
            f"write the lowest first: {most} to {least}",
        )
    if not low <= best <= high:
        raise OutOfRange(
            name,
            f"upside down: the likeliest value {likely} lies outside {least} to {most}",
            "give lowest, likeliest, highest in this order",
        )


def variation(kind: str) -> float:
    """Give the coefficient of variation [-] that the program takes for a single value."""
    uses: dict[str, dict[str, Any]] = table("variation")["use"]
    if kind not in uses:
        from hillwright.errors import did_you_mean

        right = did_you_mean(kind, uses, f"known are {', '.join(uses)}")
        raise OutOfRange("variation", f"{kind!r} is not a property of the table", right)
    return float(si(uses[kind], "take"))


def _triangle_sd(low: float, best: float, high: float) -> float:
    # by the sides of the triangle: squares of the ends would eat the digits of a narrow range
    return math.sqrt(((best - low) ** 2 + (high - best) ** 2 + (high - low) ** 2) / 36)


@cache
def _scores(count: int) -> Array:
    from statistics import NormalDist

    score = NormalDist().inv_cdf
    return np.array([score((i + 0.5) / count) for i in range(count)])


def _normal(share: Array) -> Array:
    """Give normal scores; the middles of strata are looked up, as they come again and again."""
    count = share.size
    place = share.ravel() * count - 0.5
    at = np.rint(place).astype(np.intp)
    if count > 1 and np.abs(place - at).max() < 1e-9 and at.min() >= 0 and at.max() < count:
        return _scores(count)[at].reshape(share.shape)
    from statistics import NormalDist

    score: Iterable[float] = map(NormalDist().inv_cdf, share.ravel())
    return np.fromiter(score, float, count).reshape(share.shape)


class Moments(NamedTuple):
    """Mean and spread of a property."""

    mean: float
    sd: float
    variation: float


@method(
    title="Mean and spread of a property known by its lowest, likeliest and highest value",
    equation="mean = (a + b + c)/3; sd = sqrt((a^2 + b^2 + c^2 - ab - ac - bc)/18)",
    source="triangular distribution, closed form",
)
def triangular_range(low: float, best: float, high: float) -> Moments:
    """Give the moments of a triangular range.

    Parameters
    ----------
    low, best, high : float
        Lowest, likeliest and highest conceivable value. [any]

    Returns
    -------
    mean, sd : float
        Mean and standard deviation. [any]
    variation : float
        Standard deviation over the mean; not a number where the mean is 0. [-]

    Raises
    ------
    OutOfRange
        Upside down, or the likeliest value outside the two others.
    """
    check_order("range", low, best, high)
    found = Range(low, best, high)
    share = found.sd / found.mean if found.mean else math.nan
    return Moments(found.mean, found.sd, share)


@method(
    title="Standard deviation by the three-sigma rule",
    equation="sd = (highest conceivable - lowest conceivable) / 6",
    source="Duncan, 2000, J. Geotech. Geoenviron. Eng. 126(4)",
)
def three_sigma(lowest: ArrayLike, highest: ArrayLike) -> Array:
    """Give the standard deviation behind the lowest and highest conceivable values.

    Parameters
    ----------
    lowest, highest : (...) array
        Ends of what is conceivable. [any]

    Returns
    -------
    (...) array
        Standard deviation. [any]

    Raises
    ------
    OutOfRange
        Upside down.

    Notes
    -----
    People name ranges too narrow: Duncan advises to widen them on purpose, or to divide by 4.
    """
    low, high = number("lowest", lowest), number("highest", highest)
    bad = low > high
    if np.any(bad):
        at = int(np.flatnonzero(np.atleast_1d(bad))[0])
        raise OutOfRange(f"range {at + 1}", "upside down", "write the lowest first")
    return np.asarray((high - low) / 6)


@method(
    title="Coefficient of variation",
    equation="V = sd / mean",
    source="definition",
)
def coefficient_of_variation(mean: ArrayLike, sd: ArrayLike) -> Array:
    """Give the spread of a property as a share of its mean.

    Parameters
    ----------
    mean, sd : (...) array
        Mean, above 0, and standard deviation. [any]

    Returns
    -------
    (...) array
        Coefficient of variation. [-]
    """
    return np.asarray(at_least_zero("sd", sd) / above_zero("mean", mean))
