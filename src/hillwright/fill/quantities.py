"""Three volumes that must not be mixed up, and the whole packs that they come in.

**Settled** is what the design shows. **Loose** is what is carried up and put in, topping up
included. **Ordered** is loose and what is spilled, in whole packs.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.fill.given import above_zero, at_least_zero, below_one
from hillwright.method import method

_ROUNDING = 1e-9  # of a pack: 4.000000001 packs are 4


class Volumes(NamedTuple):
    """Loose and ordered volumes of a settled one."""

    loose: Array
    ordered: Array


@method(
    title="Loose and ordered volume of a settled fill",
    equation="loose = settled/(1 - s); ordered = loose (1 + w)",
    source="definitions; settlement and waste by common practice, no source",
    symbols={"s": "settlement", "w": "waste"},
)
def loose_and_ordered(settled: ArrayLike, settlement: ArrayLike, waste: ArrayLike = 0.0) -> Volumes:
    """Give what is carried, and what is ordered, for soil that fills its place once settled.

    Parameters
    ----------
    settled : (...) array
        Volume in place after settling. [m3]
    settlement : (...) array
        Share of the loose volume lost by settling, 0 to less than 1. [-]
    waste : (...) array, optional
        Share of the loose volume to add for what is spilled and left in the pile. [-]

    Returns
    -------
    loose : (...) array
        Volume to carry and put in. [m3]
    ordered : (...) array
        Volume to order. [m3]

    Raises
    ------
    OutOfRange
        A volume below 0, a settlement of 1 or more, a waste below 0.
    """
    loose = at_least_zero("settled", settled) / (1 - below_one("settlement", settlement))
    return Volumes(np.asarray(loose), np.asarray(loose * (1 + at_least_zero("waste", waste))))


@method(
    title="Bank volume to dig for a loose volume",
    equation="bank = loose/(1 + swell)",
    source="definition of earthmoving practice",
)
def bank_volume(loose: ArrayLike, swell: ArrayLike) -> Array:
    """Give how much ground must be dug for a volume of loose soil.

    Parameters
    ----------
    loose : (...) array
        Volume once dug. [m3]
    swell : (...) array
        Growth from bank to loose, share of the bank volume. [-]

    Returns
    -------
    (...) array
        Volume in the ground. [m3]

    Raises
    ------
    OutOfRange
        A volume or swell below 0.
    """
    return np.asarray(at_least_zero("loose", loose) / (1 + at_least_zero("swell", swell)))


@method(
    title="Whole packs for a need with waste",
    equation="packs = ceil(need (1 + waste)/pack)",
    source="exact; waste before rounding, never after (common practice)",
)
def whole_packs(need: ArrayLike, pack: ArrayLike, waste: ArrayLike = 0.0) -> Index:
    """Give the whole bags, loads or buckets that hold a need.

    Parameters
    ----------
    need : (...) array
        What is needed. [any]
    pack : (...) array
        What one pack holds. [any]
    waste : (...) array, optional
        Share to add before rounding up. [-]

    Returns
    -------
    (...) array of int
        Whole packs; rounding of the machine never makes one more. [-]

    Raises
    ------
    OutOfRange
        A need or waste below 0, or a pack of nothing.
    """
    wanted = at_least_zero("need", need) * (1 + at_least_zero("waste", waste))
    exact = wanted / above_zero("pack", pack)
    return np.asarray(np.ceil(exact - _ROUNDING * np.maximum(exact, 1.0)), dtype=np.intp)


class Loads(NamedTuple):
    """Truck loads."""

    loads: Index
    by: Array


@method(
    title="Truck loads by volume and by payload",
    equation="loads = max(ceil(V/body), ceil(V density/payload))",
    source="exact; the legal payload is the haulier's",
)
def truck_loads(
    volume: ArrayLike, density: ArrayLike, body: ArrayLike, payload: ArrayLike
) -> Loads:
    """Give the whole truck loads of loose soil: a wet load is full by weight before it is heaped.

    Parameters
    ----------
    volume : (...) array
        Loose volume to bring. [m3]
    density : (...) array
        Of the loose soil as delivered. [kg/m3]
    body : (...) array
        Volume that the truck holds. [m3]
    payload : (...) array
        Mass that it may carry. [kg]

    Returns
    -------
    loads : (...) array of int
        Whole loads. [-]
    by : (...) array of text
        "volume" or "weight": which of the two decides. [text]

    Raises
    ------
    OutOfRange
        A volume below 0, or a density, body or payload of 0 or less.
    """
    v = at_least_zero("volume", volume)
    heavy = v * above_zero("density", density)
    by_volume, by_mass = v / above_zero("body", body), heavy / above_zero("payload", payload)
    loads = whole_packs(np.maximum(by_volume, by_mass), 1.0)
    return Loads(loads, np.asarray(np.where(by_mass > by_volume, "weight", "volume")))
