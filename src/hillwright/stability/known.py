"""What is known of a soil's strength and weight: four ranges, checked against what soils can be."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.stability.column import check_saturated
from hillwright.stability.given import at_least_zero, friction_angle, soil_weight
from hillwright.stability.ranges import Range, range_of


class Known(NamedTuple):
    """The soil's ranges, checked."""

    cohesion: Range
    friction: Range
    moist: Range
    saturated: Range


def known(
    cohesion: Range | ArrayLike,
    friction: Range | ArrayLike,
    unit_weight: Range | ArrayLike,
    saturated_weight: Range | ArrayLike | None = None,
) -> Known:
    """Read a soil's properties as ranges, or refuse what no soil has.

    Raises
    ------
    OutOfRange
        Upside down, friction over 50 degrees, a weight of 0 or less, a cohesion below 0, or a
        saturated weight below the moist one.
    """
    c = range_of("cohesion", cohesion, "cohesion")
    p = range_of("friction", friction, "friction")
    g = range_of("unit_weight", unit_weight, "unit weight")
    wet = saturated_weight
    gs = g if wet is None else range_of("saturated_weight", wet, "unit weight")
    at_least_zero("cohesion", _claimed(c))
    friction_angle(_claimed(p))
    soil_weight(_claimed(g))
    soil_weight(_claimed(gs), "saturated_weight")
    claimed = slice(None) if g.rule != "lognormal" != gs.rule else slice(1, 2)
    moist, full = (np.asarray([r.low, r.best, r.high])[claimed] for r in (g, gs))
    check_saturated(moist, full)
    return Known(c, p, g, gs)


def _claimed(one: Range) -> list[float]:
    """Give what the writer claimed: of a single value only that, not the tails that it is given."""
    return [one.best] if one.rule == "lognormal" else [one.low, one.best, one.high]
