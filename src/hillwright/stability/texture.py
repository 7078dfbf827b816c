"""USDA texture class from the shares of sand, silt and clay."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.given import at_least_zero

CLASSES = (
    "sand",
    "loamy sand",
    "sandy loam",
    "loam",
    "silt loam",
    "silt",
    "sandy clay loam",
    "clay loam",
    "silty clay loam",
    "sandy clay",
    "silty clay",
    "clay",
)
_ROUNDING = 0.02  # laboratory shares that miss their sum by so much of it still count as whole
_DECIMALS = 9  # 27.000000000000004 percent is 27: a class limit must not hang on the last bit


@method(
    title="USDA texture class",
    equation="the twelve class limits on sand, silt and clay, tested in the order of the manual",
    source="USDA Soil Science Division Staff, Soil Survey Manual, chapter 3 (from memory)",
)
def usda_texture(sand: ArrayLike, silt: ArrayLike, clay: ArrayLike) -> tuple[str, ...]:
    """Name the texture class of soils by their particle sizes.

    Parameters
    ----------
    sand : (n,) array
        Share by mass of 2 to 0.05 mm; all three as shares of 1, or all as percent. [-]
    silt : (n,) array
        Share of 0.05 to 0.002 mm. [-]
    clay : (n,) array
        Share below 0.002 mm. [-]

    Returns
    -------
    texture : (n,) tuple of str
        Class names, as "sandy loam". [text]

    Raises
    ------
    OutOfRange
        A share below 0, or shares that make up neither 1 nor 100; names the first such soil.

    Notes
    -----
    Of the mineral soil under 2 mm. A point on a limit belongs to the class that the manual's
    "or more" gives it to. Organic soil and planting mixes have no texture class.
    """
    a, i, c = np.broadcast_arrays(
        *(
            np.atleast_1d(at_least_zero(name, value))
            for name, value in (("sand", sand), ("silt", silt), ("clay", clay))
        )
    )
    whole = a + i + c
    percent = np.abs(whole - 100) <= 100 * _ROUNDING
    shares = np.abs(whole - 1) <= _ROUNDING
    if (bad := ~(percent | shares)).any():
        at = int(np.flatnonzero(bad)[0])
        raise OutOfRange(
            f"soil {at + 1}",
            f"sand, silt and clay make up {whole[at]:g}, not a whole",
            "give shares that add up to 1 (100 %)",
        )
    a, i, c = (np.round(100 * part / whole, _DECIMALS) for part in (a, i, c))
    return tuple(CLASSES[k] for k in _class(a, i, c))


def _class(sand: Array, silt: Array, clay: Array) -> Index:
    """Give the number of the class at each point [percent]; the limits cover the triangle."""
    tests = (
        silt + 1.5 * clay < 15,
        silt + 2 * clay < 30,
        ((clay >= 7) & (clay < 20) & (sand > 52)) | ((clay < 7) & (silt < 50)),
        (clay >= 7) & (clay < 27) & (silt >= 28) & (silt < 50) & (sand <= 52),
        ((silt >= 50) & (clay >= 12) & (clay < 27)) | ((silt >= 50) & (silt < 80) & (clay < 12)),
        (silt >= 80) & (clay < 12),
        (clay >= 20) & (clay < 35) & (silt < 28) & (sand > 45),
        (clay >= 27) & (clay < 40) & (sand > 20) & (sand <= 45),
        (clay >= 27) & (clay < 40) & (sand <= 20),
        (clay >= 35) & (sand > 45),
        (clay >= 40) & (silt >= 40),
        (clay >= 40) & (sand <= 45) & (silt < 40),
    )
    return np.select(tests, range(len(tests))).astype(np.intp)
