"""Rows of the lookup tables turned into SI by the unit that each key names: ``dry_pcf`` -> N/m3."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

FOOT, YARD = 0.3048, 0.9144  # exact [m]
GRAVITY = 9.80665  # standard, exact [m/s2]
POUND_FORCE = 0.45359237 * GRAVITY  # exact [N]
PSF = POUND_FORCE / FOOT**2  # [Pa]
PCF = POUND_FORCE / FOOT**3  # [N/m3]

_FACTORS: dict[str, float] = {
    "pcf": PCF,
    "psf": PSF,
    "deg": math.pi / 180,
    "percent": 0.01,
    "kPa": 1e3,
    "g_cm3": 1e3 * GRAVITY,  # a density, given as the unit weight that it stands for [N/m3]
    "ft": FOOT,
    "m": 1.0,
    "yd3": YARD**3,
    "years": 1.0,  # ages stay in years: they are only ever compared with one another
}


def si(row: Mapping[str, Any], name: str) -> Any:
    """Give a row's quantity in SI, by the unit behind the last part of its key.

    Parameters
    ----------
    row : mapping
        One row of a table in ``data/``.
    name : str
        The quantity without its unit, as ``"dry"`` for a key ``dry_pcf``.

    Returns
    -------
    float, or tuple of float where the row holds a list.

    Raises
    ------
    KeyError
        The row does not hold it.
    """
    for unit, factor in _FACTORS.items():
        if (key := f"{name}_{unit}") in row:
            value = row[key]
            return tuple(v * factor for v in value) if isinstance(value, list) else value * factor
    raise KeyError(f"no {name}_<unit> among {', '.join(row)}")
