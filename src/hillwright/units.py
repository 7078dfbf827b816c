"""The only door for units: text with a unit outside, plain SI numbers inside.

``pint`` parses; its registry is read from ``data/units.txt``, which holds just the units that
the trade uses, so that opening it costs little.
"""

from __future__ import annotations

import math
import re
from functools import cache
from importlib import resources
from typing import Any, Literal

System = Literal["us", "metric"]

EXAMPLES = {
    "[length]": '"18 in", "1.5 ft" or "0.46 m"',
    "[length] ** 2": '"120 ft2" or "11 m2"',
    "[length] ** 3": '"2 yd3" or "1.5 m3"',
    "[mass]": '"12 lb" or "5.4 kg"',
    "angle": '"38 deg"',
    "slope": '"38 deg", "70 %" or "1.5:1"',
    "[time]": '"8 h" or "45 min"',
}
_RATIO = re.compile(r"^\s*([0-9.]+)\s*[hH]?\s*:\s*([0-9.]+)\s*[vV]?\s*$")
_NUMBER = re.compile(r"^\s*[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?\s*$")


class UnitError(ValueError):
    """A text is not a quantity of the kind wanted."""

    def __init__(self, what: str, right: str) -> None:
        self.what, self.right = what, right
        super().__init__(f"{what}; {right}")


@cache
def registry() -> Any:
    """Open the unit registry (pint), once."""
    import pint

    with resources.as_file(resources.files("hillwright.data") / "units.txt") as path:
        return pint.UnitRegistry(str(path), cache_folder=None)


def _read(text: str) -> Any:
    if _NUMBER.match(text):
        raise UnitError(f"{text.strip()!r} has no unit", "write the unit behind it")
    try:
        found = registry().parse_expression(text.strip())
    except Exception as error:  # pint raises many kinds; all mean the same to the writer
        raise UnitError(
            f"{text!r} cannot be read as a quantity", "write a number and a unit"
        ) from error
    if not hasattr(found, "magnitude"):
        raise UnitError(f"{text!r} has no unit", "write the unit behind it")
    if not math.isfinite(found.magnitude):
        raise UnitError(f"{text!r} is not a finite number", "write a number and a unit")
    return found


def quantity(value: object, dimension: str) -> float:
    """Read a quantity of one dimension, such as ``"[length]"``, as an SI number.

    Raises
    ------
    UnitError
        No unit, an unknown unit, or a unit of another dimension.
    """
    right = f"write {EXAMPLES[dimension]}" if dimension in EXAMPLES else f"write a {dimension}"
    if not isinstance(value, str):
        raise UnitError(f"{value!r} has no unit", right)
    try:
        found = _read(value)
    except UnitError as error:
        raise UnitError(error.what, right) from None
    if not found.check(dimension):
        raise UnitError(f"{value!r} is not a {dimension.strip('[]')}", right)
    return float(found.to_base_units().magnitude)


def length(value: object) -> float:
    """Read a length, as in "18 in", in metres."""
    return quantity(value, "[length]")


def mass(value: object) -> float:
    """Read a mass, as in "12 lb", in kilograms."""
    return quantity(value, "[mass]")


def angle(value: object) -> float:
    """Read an angle, as in "38 deg", in radians; for "70 %" or "1.5:1" see :func:`slope`."""
    right = f"write {EXAMPLES['angle']}"
    if not isinstance(value, str):
        raise UnitError(f"{value!r} has no unit", right)
    found = _read(value)
    if found.units not in (registry().degree, registry().radian):
        raise UnitError(f"{value!r} is not an angle", right)
    return float(found.to("radian").magnitude)


def slope(value: object) -> float:
    """Read a slope as degrees, percent or H:V and give its angle in radians."""
    right = f"write {EXAMPLES['slope']}"
    if not isinstance(value, str):
        raise UnitError(f"{value!r} has no unit", right)
    if ratio := _RATIO.match(value):
        across, up = (float(g) for g in ratio.groups())
        if across == up == 0:
            raise UnitError(f"{value!r} is not a slope", right)
        return math.atan2(up, across)
    if value.strip().endswith("%"):
        try:
            return math.atan(float(value.strip()[:-1]) / 100)
        except ValueError:
            raise UnitError(f"{value!r} is not a slope", right) from None
    try:
        return angle(value)
    except UnitError as error:
        raise UnitError(error.what, right) from None


def unit_factor(name: str) -> float:
    """Give the metres in one unit of length that a survey file names, as in "us_survey_foot"."""
    return length(f"1 {name}")


# how each SI tag of a figure is shown: tag -> (factor, label, decimals) for us and for metric
_SHOWN: dict[str, dict[System, tuple[float, str, int]]] = {
    "m": {"us": (1 / 0.3048, "ft", 2), "metric": (1.0, "m", 3)},
    "m.small": {"us": (1 / 0.0254, "in", 2), "metric": (1e3, "mm", 0)},
    "m2": {"us": (1 / 0.3048**2, "ft2", 1), "metric": (1.0, "m2", 2)},
    "m3": {"us": (1 / 0.9144**3, "yd3", 2), "metric": (1.0, "m3", 3)},
    "rad": {"us": (180 / math.pi, "deg", 1), "metric": (180 / math.pi, "deg", 1)},
    "kg": {"us": (1 / 0.45359237, "lb", 1), "metric": (1.0, "kg", 1)},
    "1/m": {"us": (0.3048, "1/ft", 4), "metric": (1.0, "1/m", 4)},
}


def shown(value: float, unit: str, system: System) -> tuple[float, str, int]:
    """Give a figure as the job's units show it: number, unit label and useful decimals.

    Parameters
    ----------
    value : float
        SI value.
    unit : str
        Its SI tag; "m.small" shows a length in inches or millimetres.
    system : {"us", "metric"}
        The job's units.
    """
    factor, label, decimals = _SHOWN.get(unit, {}).get(
        system, (1.0, "" if unit == "-" else unit, 4)
    )
    return value * factor, label, decimals


def show(value: float | int | str, unit: str, system: System) -> str:
    """Write a figure with its unit as the job's units show it, as in "1,204.5 ft2"."""
    if isinstance(value, str):
        return value
    if isinstance(value, int) and unit == "-":
        return f"{value:,}"
    number, label, decimals = shown(value, unit, system)
    return f"{number:,.{decimals}f} {label}".rstrip()
