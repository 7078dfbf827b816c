"""Mixes: blends by volume of components, what they weigh and how far they settle.

Volumes are loose, as bought and measured in the heap; settled is what stays after the first
season. Densities are masses in a volume; moisture is water on dry mass.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.fill.given import above_zero, at_least_zero, below_one, share, where
from hillwright.method import method

WATER = 1000.0  # [kg/m3]
MINERAL, ORGANIC = 2650.0, 1550.0  # density of solids [kg/m3]
_WHOLE = 1e-6  # parts may miss 1 by so much: thirds are written with a few decimals


class Blend(NamedTuple):
    """One mix, loose and settled."""

    loose_dry: Array
    loose_moist: Array
    settlement: Array
    settled_dry: Array
    settled_moist: Array
    porosity: Array
    saturated: Array


class Pores(NamedTuple):
    """Pores of one soil."""

    porosity: Array
    saturated: Array


@method(
    title="Density of the solids of a growing medium from its organic matter",
    equation="1/ps = f/1550 + (1 - f)/2650",
    source="EN 13041, formula for particle density (from memory)",
)
def particle_density(organic: ArrayLike) -> Array:
    """Give the density of the solids.

    Parameters
    ----------
    organic : (...) array
        Organic matter, share of the dry mass. [-]

    Returns
    -------
    (...) array
        Mass of the solids in their own volume. [kg/m3]

    Raises
    ------
    OutOfRange
        A share outside 0 to 1.
    """
    f = share("organic", organic)
    return np.asarray(1 / (f / ORGANIC + (1 - f) / MINERAL))


@method(
    title="A mix blended by volume: loose, settled and soaked",
    equation="loose = sum(x d)/(1 - m); s = sum(x s_i); settled = loose/(1 - s); "
    "n = 1 - sum(x d/ps)/((1 - m)(1 - s)); saturated = settled dry + n 1000",
    source="phase relations, exact; settlement of a mix as the mean of its parts: common practice, "
    "no source",
    symbols={
        "x": "shares",
        "d": "dry",
        "m": "mixing_loss",
        "s_i": "settlement",
        "s": "settlement of the mix",
        "ps": "solids",
        "n": "pores of the settled mix",
    },
)
def blend(
    shares: ArrayLike,
    dry: ArrayLike,
    moisture: ArrayLike,
    settlement: ArrayLike,
    solids: ArrayLike,
    mixing_loss: float = 0.0,
) -> Blend:
    """Give what a mix weighs in the bucket, in the cell, and with its pores full.

    Parameters
    ----------
    shares : (m,) array
        Parts of the mix by loose volume; they make 1. [-]
    dry : (m,) array
        Dry mass of each component in a loose volume. [kg/m3]
    moisture : (m,) array
        Water that it holds as delivered, share of its dry mass. [-]
    settlement : (m,) array
        Share of its loose volume that each loses by settling. [-]
    solids : (m,) array
        Density of its solids. [kg/m3]
    mixing_loss : float, optional
        Share of the components' volume that is lost when fines fall between coarse grains. [-]

    Returns
    -------
    loose_dry, loose_moist : float
        Density of the loose mix without its water, and as it is carried. [kg/m3]
    settlement : float
        Of the mix. [-]
    settled_dry, settled_moist : float
        Density once settled, dry and as it went in. [kg/m3]
    porosity : float
        Of the settled mix. [-]
    saturated : float
        Density of the settled mix with its pores full. [kg/m3]

    Raises
    ------
    OutOfRange
        Parts that do not sum to 1, a part below 0, lists of other lengths, or solids that do not
        fit into the settled volume.
    """
    x = at_least_zero("shares", np.atleast_1d(np.asarray(shares, float)))
    lists = {
        "dry": above_zero("dry", dry),
        "moisture": at_least_zero("moisture", moisture),
        "settlement": below_one("settlement", settlement),
        "solids": above_zero("solids", solids),
    }
    for name, value in lists.items():
        if value.ndim > 1 or (value.ndim and value.shape != x.shape):
            what = f"has {value.size} values beside {x.size} parts"
            raise OutOfRange(name, what, "give one for each part, or one for all")
    if abs(float(x.sum()) - 1) > _WHOLE:
        raise OutOfRange(
            "shares", f"the parts sum to {100 * x.sum():.4g} %, not to 100 %", "make them sum to 1"
        )
    d, w, s, grains = lists.values()
    kept = 1 - float(below_one("mixing_loss", mixing_loss))
    loss = np.asarray((x * s).sum())
    loose_dry = np.asarray((x * d).sum() / kept)
    loose_moist = np.asarray((x * d * (1 + w)).sum() / kept)
    filled = (x * d / grains).sum() / kept / (1 - loss)
    if filled > 1:
        raise OutOfRange(
            "dry", "the solids do not fit into the settled volume", "look up densities again"
        )
    settled = loose_dry / (1 - loss)
    saturated = settled + (1 - filled) * WATER
    # what drains away while the soil settles is never more than the pores can hold
    moist = np.minimum(loose_moist / (1 - loss), saturated)
    return Blend(
        loose_dry,
        loose_moist,
        loss,
        np.asarray(settled),
        np.asarray(moist),
        np.asarray(1 - filled),
        np.asarray(saturated),
    )


@method(
    title="Weight of soil with its pores full, from its dry density and the density of its solids",
    equation="n = 1 - d/ps; saturated = d + n 1000",
    source="phase relations, exact; as Fonteno 1990, HortScience 25(9):1093 states n",
)
def pores(dry: ArrayLike, solids: ArrayLike) -> Pores:
    """Give porosity and saturated density.

    Parameters
    ----------
    dry : (...) array
        Dry mass in the volume. [kg/m3]
    solids : (...) array
        Density of the solids. [kg/m3]

    Returns
    -------
    porosity : (...) array
        Share of the volume that is pores. [-]
    saturated : (...) array
        Density with the pores full. [kg/m3]

    Raises
    ------
    OutOfRange
        Soil denser than its solids, or a density of 0 or less.
    """
    d, grains = above_zero("dry", dry), above_zero("solids", solids)
    if (bad := np.asarray(d > grains)).any():
        raise OutOfRange(where("dry", bad), "is denser than its solids", "give less than that")
    porosity = np.asarray(1 - d / grains)
    return Pores(porosity, np.asarray(d + porosity * WATER))
