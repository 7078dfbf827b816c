"""How likely is it to slide? The infinite slope with a soil that is known only in ranges.

Two ways that must agree: first-order (the spread of the factor from its slopes in each property)
and sampling. Moist and saturated weight rise and fall together; cohesion and friction vary alone.
Samples are drawn from equal strata of each property, so a few thousand do.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.column import Column, column_of, factor
from hillwright.stability.given import WATER
from hillwright.stability.known import Known, known
from hillwright.stability.ranges import Range, strata
from hillwright.stability.reliability import lognormal_beta, normal_below

_STEEPEST = np.radians(50.0)  # samples above it count as this: no more is ever credited
_AT_ONCE = 40_000  # samples of one block: they stay in the processor's cache


class FirstOrder(NamedTuple):
    """Factor at the means, its spread, and the chance that it is below 1."""

    factor: Array
    sd: Array
    beta: Array
    probability: Array


class Sampled(NamedTuple):
    """What n samples of the soil gave at each place."""

    p10: Array
    p50: Array
    p90: Array
    mean: Array
    sd: Array
    probability: Array


@method(
    title="Chance that an infinite slope fails: first-order second-moment",
    equation=(
        "sd_F = sqrt(sum (dF_i / 2)^2), dF_i = F(x_i + s_i) - F(x_i - s_i); "
        "beta = ln[F / sqrt(1 + V^2)] / sqrt(ln(1 + V^2)); pf = Phi(-beta)"
    ),
    source="Duncan, 2000, J. Geotech. Geoenviron. Eng. 126(4), on the infinite slope",
)
def infinite_slope_first_order(
    slope: ArrayLike,
    depth: ArrayLike,
    cohesion: Range | ArrayLike,
    friction: Range | ArrayLike,
    unit_weight: Range | ArrayLike,
    saturated_weight: Range | ArrayLike | None = None,
    water_height: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    kh: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
    water_above: ArrayLike = 0.0,
) -> FirstOrder:
    """Give the factor at the mean soil, its spread and the chance that it is below 1.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    depth : (...) array
        Upright depth of the slip plane. [m]
    cohesion : (k,) array
        One value, lowest and highest, or lowest, likeliest and highest. [Pa]
    friction : (k,) array
        Effective friction angle, likewise. [rad]
    unit_weight : (k,) array
        Moist, likewise. [N/m3]
    saturated_weight : (k,) array, optional
        Likewise; left out, the moist one. [N/m3]
    water_height : (...) array, optional
        Upright height of the water above the plane, 0 to depth. [m]
    surcharge : (...) array, optional
        Weight on the ground, per plan area. [Pa]
    kh : (...) array, optional
        Horizontal earthquake coefficient, 0 to 1. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]
    water_above : (...) array, optional
        Upright height of the water in soaked cells or else above ground that is full of water;
        their weight is in the surcharge. [m]

    Returns
    -------
    factor, sd : (...) array
        Factor of safety with every property at its mean, and its standard deviation. [-]
    beta : (...) array
        Lognormal reliability index; infinite where nothing can slide. [-]
    probability : (...) array
        Chance of a factor below 1. [-]

    Raises
    ------
    OutOfRange
        A range upside down, or a value outside its range.

    Notes
    -----
    A range of two or three values is triangular; a single value is lognormal with the coefficient
    of variation of the table. The chance is that of the soil as described: cracks, springs and
    what nobody has seen are not in it.
    """
    soil = known(cohesion, friction, unit_weight, saturated_weight)
    mean = [r.mean for r in soil]
    base = _column(slope, depth, soil, water_height, surcharge, kh, water_weight, water_above)

    def at(c: float, p: float, g: float, gs: float) -> Array:
        tan = np.asarray(np.tan(min(p, _STEEPEST)))
        moved = base._replace(
            cohesion=np.asarray(c),
            tan_friction=tan,
            moist=np.asarray(g),
            saturated=np.asarray(max(g, gs)),
        )
        return factor(moved)

    likely, variance = at(*mean), np.asarray(0.0)
    for moving in ((0,), (1,), (2, 3)):  # the two weights together
        up, down = list(mean), list(mean)
        for k in moving:
            up[k] += soil[k].sd
            down[k] = max(down[k] - soil[k].sd, 0.0)
        with np.errstate(invalid="ignore"):  # level ground: no factor, no difference
            variance = variance + ((at(*up) - at(*down)) / 2) ** 2
    sd = np.asarray(np.where(np.isfinite(likely), np.sqrt(variance), 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        beta = lognormal_beta(likely, np.where(likely > 0, sd / likely, 0.0))
    return FirstOrder(likely, sd, beta, normal_below(-beta))


@method(
    title="Chance that an infinite slope fails: sampling",
    equation="share of samples of soil (one from each of N strata of each property) with FS < 1",
    source="Monte Carlo method with stratified samples (McKay and others, 1979, from memory)",
    symbols={"FS": "factor of the infinite slope", "N": "samples"},
)
def infinite_slope_sampled(
    slope: ArrayLike,
    depth: ArrayLike,
    cohesion: Range | ArrayLike,
    friction: Range | ArrayLike,
    unit_weight: Range | ArrayLike,
    saturated_weight: Range | ArrayLike | None = None,
    water_height: ArrayLike = 0.0,
    surcharge: ArrayLike = 0.0,
    kh: ArrayLike = 0.0,
    water_weight: ArrayLike = WATER,
    samples: int = 2000,
    seed: int = 0,
    water_above: ArrayLike = 0.0,
) -> Sampled:
    """Give the factor that 10, 50 and 90 percent of all soils of these ranges stay below.

    Parameters
    ----------
    slope : (...) array
        Ground from horizontal, 0 to less than pi/2. [rad]
    depth : (...) array
        Upright depth of the slip plane. [m]
    cohesion : (k,) array
        One value, lowest and highest, or lowest, likeliest and highest. [Pa]
    friction : (k,) array
        Effective friction angle, likewise. [rad]
    unit_weight : (k,) array
        Moist, likewise. [N/m3]
    saturated_weight : (k,) array, optional
        Likewise; left out, the moist one. [N/m3]
    water_height : (...) array, optional
        Upright height of the water above the plane, 0 to depth. [m]
    surcharge : (...) array, optional
        Weight on the ground, per plan area. [Pa]
    kh : (...) array, optional
        Horizontal earthquake coefficient, 0 to 1. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]
    samples : int, optional
        How many, the same ones at every place. [-]
    seed : int, optional
        The same seed gives the same samples. [-]
    water_above : (...) array, optional
        Upright height of the water in soaked cells or else above ground that is full of water;
        their weight is in the surcharge. [m]

    Returns
    -------
    p10, p50, p90 : (...) array
        Factors of safety that 10, 50 and 90 percent of the samples lie below. [-]
    mean, sd : (...) array
        Of the factor; not a number on level ground. [-]
    probability : (...) array
        Share of samples with a factor below 1. [-]

    Raises
    ------
    OutOfRange
        A range upside down, no samples, or a value outside its range.

    Notes
    -----
    As for the first-order chance. A chance much under 1 in the number of samples reads as 0.
    """
    soil = known(cohesion, friction, unit_weight, saturated_weight)
    if samples < 1:
        raise OutOfRange("samples", f"{samples} are none", "give 1 or more; 2,000 is usual")
    base = _column(slope, depth, soil, water_height, surcharge, kh, water_weight, water_above)
    shape = np.broadcast_shapes(*(part.shape for part in base))
    flat = [np.broadcast_to(part, shape).reshape(-1, 1) for part in base]
    stream = np.random.default_rng(seed)
    c, p, weight = (strata(samples, stream) for _ in range(3))
    drawn = (
        soil.cohesion.quantile(c),
        np.tan(np.minimum(soil.friction.quantile(p), _STEEPEST)),
        soil.moist.quantile(weight),
        np.maximum(soil.saturated.quantile(weight), soil.moist.quantile(weight)),
    )
    found = np.empty((6, flat[0].size))
    step = max(1, _AT_ONCE // samples)
    for i in range(0, flat[0].size, step):
        here = Column(*(part[i : i + step] for part in flat))
        found[:, i : i + step] = _summary(_factors(here, *drawn))
    return Sampled(*(row.reshape(shape) for row in found))


def _column(
    slope: ArrayLike,
    depth: ArrayLike,
    soil: Known,
    water_height: ArrayLike,
    surcharge: ArrayLike,
    kh: ArrayLike,
    water_weight: ArrayLike,
    water_above: ArrayLike,
) -> Column:
    return column_of(
        slope,
        depth,
        soil.cohesion.best,
        min(soil.friction.best, _STEEPEST),
        soil.moist.best,
        soil.saturated.best,
        water_height,
        surcharge,
        kh=kh,
        water_weight=water_weight,
        water_above=water_above,
    )


def _factors(here: Column, c: Array, tan: Array, moist: Array, saturated: Array) -> Array:
    """Give the factors (n, m) of n places in m soils: the balance of column.py, in fewer passes."""
    dry, wet = here.depth - here.water, here.water
    weight = np.hstack([dry, wet, here.surcharge]) @ np.stack([moist, saturated, np.ones_like(c)])
    with np.errstate(divide="ignore", invalid="ignore"):
        found = c - here.flowing * tan
        found /= weight
        found += here.normal_share * tan
        np.maximum(found, 0.0, out=found)
        found /= here.driving_share
    return np.asarray(np.where(here.driving_share > 0, found, np.inf))


def _summary(factors: Array) -> Array:
    ordered = np.sort(factors, axis=1)
    last = factors.shape[1] - 1
    spots = [ordered[:, round(share * last)] for share in (0.1, 0.5, 0.9)]
    below = (factors < 1).mean(axis=1)
    with np.errstate(invalid="ignore"):
        return np.array([*spots, factors.mean(axis=1), factors.std(axis=1), below])
