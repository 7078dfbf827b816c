"""What soil weighs and how much of it to order: phase relations, swell, shrinkage, settlement."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import WATER, above_zero, at_least_zero, soil_weight, within


class Phases(NamedTuple):
    """Weights of one soil, dry and with its pores full."""

    saturated: Array
    dry: Array
    porosity: Array


class VolumeChange(NamedTuple):
    """How the volume of soil changes when it is dug and when it is tamped."""

    swell: Array
    shrinkage: Array
    load_factor: Array


class Order(NamedTuple):
    """Soil for a layer that has settled, and what to order for it."""

    settled: Array
    order: Array


@method(
    title="Saturated and dry unit weight from void ratio",
    equation="gs = (G + e)/(1 + e) gw; gd = G/(1 + e) gw; n = e/(1 + e)",
    source="phase relation, exact",
)
def saturated_weight(
    specific_gravity: ArrayLike, void_ratio: ArrayLike, water_weight: ArrayLike = WATER
) -> Phases:
    """Give the weight of soil with its pores full of water, and dry.

    Parameters
    ----------
    specific_gravity : (...) array
        Of the grains: 2.65 for quartz, 2.0 to 2.4 with much organic matter. [-]
    void_ratio : (...) array
        Volume of the pores over that of the grains, 0 or more. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    saturated, dry : (...) array
        Unit weights. [N/m3]
    porosity : (...) array
        Volume of the pores over the whole. [-]

    Raises
    ------
    OutOfRange
        A specific gravity or weight of 0 or less, or a void ratio below 0.
    """
    grains, e = (
        above_zero("specific_gravity", specific_gravity),
        at_least_zero("void_ratio", void_ratio),
    )
    gw = above_zero("water_weight", water_weight)
    whole = 1 + e
    porosity = np.broadcast_to(e / whole, np.broadcast_shapes(e.shape, grains.shape, gw.shape))
    return Phases(np.asarray((grains + e) / whole * gw), np.asarray(grains / whole * gw), porosity)


@method(
    title="Saturated unit weight from dry unit weight",
    equation="gs = gd (1 - 1/G) + gw",
    source="phase relation, exact",
)
def saturated_from_dry(
    dry_weight: ArrayLike, specific_gravity: ArrayLike = 2.65, water_weight: ArrayLike = WATER
) -> Array:
    """Give the weight of soil with its pores full from its dry weight.

    Parameters
    ----------
    dry_weight : (...) array
        Dry unit weight, less than that of the grains. [N/m3]
    specific_gravity : (...) array, optional
        Of the grains; 2.65 (quartz) left out. [-]
    water_weight : (...) array, optional
        Unit weight of water; 9810 N/m3 left out. [N/m3]

    Returns
    -------
    (...) array
        Saturated unit weight. [N/m3]

    Raises
    ------
    OutOfRange
        A dry soil heavier than its grains, or a value outside its range.
    """
    dry, gw = soil_weight(dry_weight, "dry_weight"), above_zero("water_weight", water_weight)
    grains = above_zero("specific_gravity", specific_gravity)
    if np.any(dry > grains * gw * (1 + 1e-9)):
        raise OutOfRange(
            "dry_weight", "heavier than solid grains", "give less than specific gravity x water"
        )
    return np.asarray(dry * (1 - 1 / grains) + gw)


@method(
    title="Swell and shrinkage from the weights in the bank, loose and compacted",
    equation="swell = bank/loose - 1; shrinkage = 1 - bank/compacted; load factor = loose/bank",
    source="definitions of earthmoving practice (UFC 3-220-20 states shrinkage on fill volume)",
)
def swell_shrink(bank: ArrayLike, loose: ArrayLike, compacted: ArrayLike) -> VolumeChange:
    """Give how much soil swells when dug and shrinks when compacted.

    Parameters
    ----------
    bank, loose, compacted : (...) array
        Dry weight (or mass) of soil in one unit of volume: as it lies, dug, and tamped. [any]

    Returns
    -------
    swell : (...) array
        Growth in volume from bank to loose. [-]
    shrinkage : (...) array
        Loss of volume from bank to compacted; below 0 where rock never packs as it lay. [-]
    load_factor : (...) array
        Bank volume in one loose volume. [-]

    Raises
    ------
    OutOfRange
        A weight of 0 or less, or loose soil that is denser than before or after.
    """
    b, dug, c = (
        above_zero(name, value)
        for name, value in (("bank", bank), ("loose", loose), ("compacted", compacted))
    )
    if np.any(dug > b) or np.any(dug > c):
        raise OutOfRange(
            "loose",
            "loose soil cannot be denser than in the bank or compacted",
            "give the three weights in their order: bank, loose, compacted",
        )
    shape = np.broadcast_shapes(b.shape, dug.shape, c.shape)
    return VolumeChange(*(np.broadcast_to(v, shape) for v in (b / dug - 1, 1 - b / c, dug / b)))


@method(
    title="Loose soil to order for a settled depth",
    equation="settled = width x length x depth; order = settled / (1 - settlement) x (1 + waste)",
    source="derived; settlement and waste by common practice, no source",
)
def fill_order(
    width: ArrayLike,
    slope_length: ArrayLike,
    settled_depth: ArrayLike,
    settlement: ArrayLike,
    waste: ArrayLike = 0.0,
) -> Order:
    """Give the volume to order so that the layer has its depth after it has settled.

    Parameters
    ----------
    width, slope_length : (...) array
        Of the layer, measured on the slope: never the plan. [m]
    settled_depth : (...) array
        Square to the slope, after settling. [m]
    settlement : (...) array
        Share of the loose depth that is lost by settling, 0 to less than 1. [-]
    waste : (...) array, optional
        Share to add for spilling and trimming. [-]

    Returns
    -------
    settled : (...) array
        Volume of the layer. [m3]
    order : (...) array
        Loose volume to order. [m3]

    Raises
    ------
    OutOfRange
        A length of 0 or less, a settlement of 1 or more, or a waste outside 0 to 1.
    """
    settled = (
        above_zero("width", width)
        * above_zero("slope_length", slope_length)
        * above_zero("settled_depth", settled_depth)
    )
    lost = at_least_zero("settlement", settlement)
    if np.any(lost >= 1):
        raise OutOfRange("settlement", "nothing would be left", "give a share below 1, as 15 %")
    order = settled / (1 - lost) * (1 + within("waste", waste, 0, 1))
    return Order(np.broadcast_to(settled, order.shape), np.asarray(order))
