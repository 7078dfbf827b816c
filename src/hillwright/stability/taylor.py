"""Taylor's stability number, worked out by the search instead of read from his chart."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability import given, trial
from hillwright.stability.bishop import SMALLEST_M, rises_at_foot
from hillwright.stability.scan import scan, starts
from hillwright.stability.search import minima
from hillwright.stability.section import section
from hillwright.stability.slices import Slices

_WEIGHT, _TRIALS, _BEYOND = 10_000.0, 1500, 4.0


def _cohesion_over_needed(s: Slices) -> Array:
    """Rate circles by the cohesion they have over what they need at a factor of 1."""
    m = s.cos + s.sin * s.tan
    needed = s.driving - (s.weight * s.tan / m).sum(axis=1)
    had = (s.cohesive * s.cos / m).sum(axis=1)
    sound = np.where(rises_at_foot(s), m, 1.0).min(axis=1) >= SMALLEST_M
    return np.where((needed > 0) & sound, had / np.maximum(needed, 1e-30), np.inf)


@method(
    title="Stability number of a simple slope, toe circles",
    equation="N = c / (F g H) with tan(p) / F mobilised: the most that any toe circle needs",
    source="Taylor 1937, J. Boston Soc. Civ. Eng. 24; circles by Bishop 1955 (from memory)",
)
def stability_number(slope: ArrayLike, friction: ArrayLike) -> Array:
    """Give the cohesion over weight and height at which a dry simple slope just stands.

    Parameters
    ----------
    slope : (...) array
        Of the face from level; the ground above and below it is level. [rad]
    friction : (...) array
        Mobilised: tan(friction) is already divided by the factor of safety. [rad]

    Returns
    -------
    (...) array
        c / (F g H); 0 where friction alone holds the slope. [-]

    Raises
    ------
    OutOfRange
        A slope of 0 or over 80 deg, or friction that no soil has.

    Notes
    -----
    Circles through the toe only: with no friction and a slope under 53 deg a circle that goes
    deep below the toe needs up to 0.181. Against Taylor's friction circles: within 2 %
    up to 45 deg, up to 4 % high (safe) at 60 deg and 8 % at 75 deg.
    """
    b, p = np.broadcast_arrays(
        given.ground_slope(given.above_zero("slope", slope)), given.friction_angle(friction)
    )
    if (b > np.radians(80) + 1e-12).any():
        raise OutOfRange("slope", "is over 80 deg", "circles by slices do not hold there")
    found = [_number(float(s), float(f)) for s, f in zip(b.ravel(), p.ravel(), strict=True)]
    return np.array(found).reshape(b.shape)


def _number(slope: float, friction: float) -> float:
    if friction >= slope:
        return 0.0
    run = 1 / np.tan(slope)
    surface = [[-_BEYOND, 0.0], [0.0, 0.0], [run, 1.0], [run + _BEYOND, 1.0]]
    # the search is given a cohesion of 1; its ratings scale with it
    space = trial.of(section(surface, _WEIGHT, friction, _WEIGHT))
    start = starts(space, scan(space, _TRIALS, _cohesion_over_needed))
    found, _, _ = minima(space, start, _cohesion_over_needed)
    toe = next((m.factor for m in found if m.family == "toe"), np.inf)
    return float(1 / toe)
