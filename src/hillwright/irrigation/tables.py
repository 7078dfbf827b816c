"""Look-up tables of this room: columns by name, rows by their words."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from hillwright.arrays import Array
from hillwright.data import table

INCH, FOOT = 0.0254, 0.3048
PSI = 4.4482216152605 / INCH**2  # [Pa]
GALLON = 231 * INCH**3
LPH = 1e-3 / 3600  # litre an hour [m3/s]
GPM = GALLON / 60


@cache
def rows(file: str, name: str) -> tuple[dict[str, Any], ...]:
    """Give the rows of one table as column name -> cell."""
    found = table(file)[name]
    return tuple(dict(zip(found["columns"], r, strict=True)) for r in found["rows"])


@cache
def numbers(file: str, name: str, column: str) -> Array:
    """Give one column of a table; NaN where the source has none. Read-only."""
    found = np.array([np.nan if r[column] == "" else r[column] for r in rows(file, name)], float)
    found.flags.writeable = False
    return found


@cache
def words(file: str, name: str, column: str) -> tuple[str, ...]:
    """Give the words of one column, each once, in their order."""
    return tuple(dict.fromkeys(str(r[column]) for r in rows(file, name)))
