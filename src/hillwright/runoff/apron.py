"""Stones where a drain ends: they spread the water and take its force."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.method import method
from hillwright.runoff.channels import GRAVITY
from hillwright.runoff.tables import rows

_LEAST, _MOST = 0.4, 1.0  # tailwater over the rise of the outlet, as the source holds it


class Apron(NamedTuple):
    """A bed of stones behind an outlet."""

    stone: Array
    median: Array
    length: Array
    end_width: Array
    thickness: Array


@method(
    title="Apron of stones behind an outlet",
    equation="D50 = 0.2 D (Q / (sqrt(g) D^2.5))^(4/3) (D/TW), TW 0.4 to 1.0 D; length and "
    "thickness by class of stone; width 3 D + 2/3 L",
    source="Fletcher and Grace 1972; FHWA 2006, HEC-14 3rd ed., section 10.2 (equation seen, "
    "Table 10.1 from memory)",
    symbols={
        "D50": "median",
        "D": "rise",
        "Q": "flow",
        "g": "gravity, 9.81 m/s2",
        "TW": "tailwater",
        "L": "length of the apron",
    },
)
def stone_apron(flow: ArrayLike, rise: ArrayLike, tailwater: ArrayLike = 0.0) -> Apron:
    """Size the stones where water leaves a pipe or a ditch.

    Parameters
    ----------
    flow : (...) array
        Discharge. [m3/s]
    rise : (...) array
        Diameter of a pipe; for a ditch the diameter of a circle with the area of its water. [m]
    tailwater : (...) array
        Depth of water behind the outlet; unknown or low, it counts as 0.4 of the rise. [m]

    Returns
    -------
    stone : (...) array
        D50 by the equation. [m]
    median : (...) array
        D50 of the smallest class that is no smaller. [m]
    length : (...) array
        Of the apron along the flow. [m]
    end_width : (...) array
        At its far end; 3 rises wide at the outlet. [m]
    thickness : (...) array
        Of the stones. [m]

    Raises
    ------
    OutOfRange
        A flow or rise of 0 or below, a negative tailwater, or stones larger than any class.

    Notes
    -----
    Outlets up to 60 in, level ground behind, no shooting flow. An apron spreads water and takes
    little of its energy.
    """
    q, d = given.above_zero("flow", flow), given.above_zero("rise", rise)
    tw = np.clip(given.at_least_zero("tailwater", tailwater), _LEAST * d, _MOST * d)
    stone = 0.2 * d * (q / (np.sqrt(GRAVITY) * d**2.5)) ** (4 / 3) * d / tw
    table = rows("linings", "apron")
    sizes, lengths, depths = (
        np.array([float(r[c]) for r in table]) for c in ("d50_m", "length_rises", "depth_d50")
    )
    right = "the largest class has stones of 0.55 m: ask an engineer for a basin"
    given.within("stone", stone, 0.0, float(sizes[-1]), right)
    k = np.searchsorted(sizes, stone - 1e-12)
    length = lengths[k] * d
    return Apron(
        np.asarray(stone),
        np.asarray(sizes[k]),
        np.asarray(length),
        np.asarray(3 * d + 2 / 3 * length),
        np.asarray(depths[k] * sizes[k]),
    )
