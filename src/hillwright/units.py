"""The only door for units: text with a unit outside, plain SI numbers inside.

``pint`` knows the units; its registry is read from ``data/units.txt``, which holds just those
that the trade uses, so that opening it costs little. How SI numbers are written for people is in
:func:`show`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from importlib import resources
from numbers import Integral
from typing import Any, Literal

System = Literal["us", "metric"]

# dimensions by name; where one of these is wanted a mass stands for its weight
FORCE = "[mass] * [length] / [time] ** 2"
PRESSURE = "[mass] / [length] / [time] ** 2"
UNIT_WEIGHT = "[mass] / [length] ** 2 / [time] ** 2"
EROSIVITY = "[mass] * [length] / [time] ** 3"
FLOW = "[length] ** 3 / [time]"
_G = 9.80665  # standard gravity [m/s2]: ISO 80000-3

EXAMPLES = {
    "[length]": '"18 in", "1.5 ft" or "0.46 m"',
    "[length] ** 2": '"120 ft2" or "11 m2"',
    "[length] ** 3": '"2 yd3" or "1.5 m3"',
    "1 / [length]": '"0.02 1/ft" or "0.05 1/m"',
    "[mass]": '"12 lb" or "5.4 kg"',
    "angle": '"38 deg"',
    "slope": '"38 deg", "70 %" or "1.5:1"',
    "[time]": '"8 h" or "45 min"',
    FORCE: '"450 lbf" or "2 kN"',
    PRESSURE: '"100 psf" or "5 kPa"',
    UNIT_WEIGHT: '"115 pcf" or "18 kN/m3"',
    FLOW: '"0.5 gal/h" or "2 L/h"',
    EROSIVITY: '"100 us_R" or "1700 MJ mm/(ha h)"',
    "temperature": '"24 degC" or "75 degF"',
    "pure number": '0.15 or "15 %"',
    "share": '"40 %"',
}
_NAMES = {
    "[length] ** 2": "area",
    "[length] ** 3": "volume",
    "1 / [length]": "curvature",
    FORCE: "force",
    PRESSURE: "pressure",
    UNIT_WEIGHT: "unit weight",
    EROSIVITY: "rain erosivity",
    FLOW: "flow",
}
# a mass in the place of a weight is what the trade writes: "115 lb/ft3", "100 lb/ft2", "450 lb"
_OF_MASS = {
    FORCE: "[mass]",
    PRESSURE: "[mass] / [length] ** 2",
    UNIT_WEIGHT: "[mass] / [length] ** 3",
}

_DECIMAL = r"(?:\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_FRACTION = r"(?:\d+\s+)?\d+\s*/\s*\d+(?=\s*[A-Za-z\"'%])"
_QUANTITY = re.compile(rf"^\s*(?P<sign>[-+]?)\s*(?P<number>{_FRACTION}|{_DECIMAL})\s*(?P<unit>.*)$")
_FEET_INCHES = re.compile(
    rf"^\s*(?P<sign>[-+]?)\s*(?P<feet>\d+)\s*(?:'|ft|feet|foot)[\s-]*"
    rf"(?P<inches>{_FRACTION}|\d+\.?\d*|\.\d+)\s*(?:\"|in|inch|inches)\s*$"
)
_RATIO = re.compile(r"^\s*(\d+\.?\d*|\.\d+)\s*[hH]?\s*:\s*(\d+\.?\d*|\.\d+)\s*[vV]?\s*$")
_TOWER = re.compile(r"\d[\s)]*(?:\*\*|\^)")  # a power of a number: 9**9**9 is never worked out
_POWER = re.compile(r"(?<=[A-Za-z])(\d)")  # "ft2" is read as "ft**2"
_MARKS = {"'": "ft", '"': "in", "°": "deg", "%": "percent"}


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


@cache
def unit(name: str) -> Any:
    """Read the name of a unit alone, as in "ft2", "N/m3" or "1/m", as one pint quantity.

    Raises
    ------
    UnitError
        Nothing is called so, or a number stands where the name of a unit should.
    """
    right = "write a unit such as ft, in, m, ft2, deg, % or lb"
    spelled = _POWER.sub(r"**\1", _MARKS.get(name.strip(), name.strip()))
    if _TOWER.search(spelled):
        raise UnitError(f"{name!r} is not a unit", right)
    try:
        found = registry().parse_expression(spelled)
    except Exception as error:  # pint raises many kinds; all mean the same to the writer
        raise UnitError(f"{name!r} is not a unit", right) from error
    if not hasattr(found, "unit_items") or not found.unit_items() or found.magnitude != 1:
        raise UnitError(f"{name!r} is not a unit", right)
    return found


def _number(sign: str, digits: str) -> float:
    # "1 1/2" is read as one and a half: as an expression it would be one half
    parts = re.sub(r"\s*/\s*", "/", digits).replace(",", "").split()
    size = sum(float(Fraction(part)) if "/" in part else float(part) for part in parts)
    return -size if sign == "-" else size


def split(text: str) -> tuple[float, str]:
    """Part a written quantity into its number and the name of its unit.

    Raises
    ------
    UnitError
        No number, no unit, a decimal comma, or a number that is not finite.
    """
    if match := _FEET_INCHES.match(text):
        inches = 12 * int(match["feet"]) + _number("", match["inches"])
        return (-inches if match["sign"] == "-" else inches), "in"
    found = _QUANTITY.match(text)
    if not found:
        raise UnitError(f"{text!r} cannot be read as a quantity", "write a number and a unit")
    if re.match(r",\s*\d", found["unit"]):
        raise UnitError(f"{text!r} has a decimal comma", 'write a point, as in "1.5 m"')
    if not found["unit"].strip():
        raise UnitError(f"{text.strip()!r} has no unit", "write the unit behind it")
    try:
        number = _number(found["sign"], found["number"])
    except (OverflowError, ZeroDivisionError):
        number = math.inf
    if not math.isfinite(number):
        raise UnitError(f"{text!r} is not a finite number", "write a number and a unit")
    return number, found["unit"].strip()


def _read(text: str) -> Any:
    number, name = split(text)
    try:
        return number * unit(name)
    except UnitError as error:
        raise UnitError(f"{text!r}: {error.what}", error.right) from None


def quantity(value: object, dimension: str) -> float:
    """Read a quantity of one dimension, such as ``"[length]"``, as an SI number.

    Where a force is wanted, alone or over an area or a volume, a mass stands for its weight.

    Raises
    ------
    UnitError
        No unit, an unknown unit, or a unit of another dimension.
    """
    if not isinstance(value, str):
        raise UnitError(f"{value!r} has no unit", _wanted(dimension))
    return _si(value, dimension)


def _wanted(dimension: str) -> str:
    if dimension in EXAMPLES:
        return f"write {EXAMPLES[dimension]}"
    return f"write a {_NAMES.get(dimension, dimension.strip('[]'))}"


@lru_cache(maxsize=2048)  # a job is read anew at every edit, with one of its quantities another
def _si(value: str, dimension: str) -> float:
    kind, right = _NAMES.get(dimension, dimension.strip("[]")), _wanted(dimension)
    try:
        found = _read(value)
    except UnitError as error:
        raise UnitError(error.what, right) from None
    gravity = _G if dimension in _OF_MASS and found.check(_OF_MASS[dimension]) else 1.0
    if not found.check(dimension) and gravity == 1.0:
        article = "an" if kind[0] in "aeio" else "a"
        raise UnitError(f"{value!r} is not {article} {kind}", right)
    given = gravity * float(found.to_base_units().magnitude)
    if not math.isfinite(given):
        raise UnitError(f"{value!r} is not a finite number", right)
    return given


def length(value: object) -> float:
    """Read a length, as in "18 in", "5 ft 6 1/2 in" or "0.46 m", in metres."""
    return quantity(value, "[length]")


def mass(value: object) -> float:
    """Read a mass, as in "12 lb", in kilograms."""
    return quantity(value, "[mass]")


def temperature(value: object) -> float:
    """Read a temperature, as in "86 degF" or "30 degC", in degrees Celsius."""
    right = f"write {EXAMPLES['temperature']}"
    if not isinstance(value, str):
        raise UnitError(f"{value!r} has no unit", right)
    number, name = split(value)
    found = scale(name, "degC")
    if name.strip() not in _ZERO:
        raise UnitError(f"{value!r} is not a temperature", right)
    return float(found.si(number))


def share(value: object) -> float:
    """Read a part of a whole in percent, as in "40 %"; 0.4 and 40 could each mean the other."""
    right = f"write {EXAMPLES['share']}"
    if not isinstance(value, str):
        raise UnitError(f"{value!r} has no unit", right)
    try:
        number, name = split(value)
        if unit(name).units != registry().percent:
            raise UnitError(f"{value!r} is not a share", right)
    except UnitError as error:
        what = error.what if "no unit" in error.what else f"{value!r} is not a share"
        raise UnitError(what, right) from None
    return number / 100


def angle(value: object) -> float:
    """Read an angle, as in "38 deg", in radians; for "70 %" or "1.5:1" see :func:`slope`."""
    right = f"write {EXAMPLES['angle']}"
    if not isinstance(value, str):
        raise UnitError(f"{value!r} has no unit", right)
    try:
        number, name = split(value)
        return number * scale(name, "rad", slopes=False).factor
    except UnitError as error:
        what = error.what if "no unit" in error.what else f"{value!r} is not an angle"
        raise UnitError(what, right) from None


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
    try:
        number, name = split(value)
        return float(scale(name, "rad").si(number))
    except UnitError as error:
        what = error.what if "no unit" in error.what else f"{value!r} is not a slope"
        raise UnitError(what, right) from None


def unit_factor(name: str) -> float:
    """Give the metres in one unit of length that a survey file names, as in "us_survey_foot"."""
    return length(f"1 {name}")


@dataclass(frozen=True, slots=True)
class Scale:
    """How numbers in one written unit become SI and go back."""

    unit: str
    factor: float
    of_slope: bool = False  # percent of a slope: the tangent, not the angle
    zero: float = 0.0  # what 0 of a temperature reads in degrees Celsius

    def si(self, numbers: Any) -> Any:
        """Convert a float or an array to SI."""
        if not self.of_slope:
            return numbers * self.factor + self.zero if self.zero else numbers * self.factor
        if isinstance(numbers, float | int):
            return math.atan(numbers * self.factor)
        import numpy as np

        return np.arctan(numbers * self.factor)

    def back(self, numbers: Any) -> Any:
        """Convert a float or an array from SI to this unit."""
        if not self.of_slope:
            return (numbers - self.zero) / self.factor
        import numpy as np

        return np.tan(numbers) / self.factor


# a method's SI tag -> what an example of it is listed under
_KIND = {
    "m": "[length]",
    "m2": "[length] ** 2",
    "m3": "[length] ** 3",
    "1/m": "1 / [length]",
    "kg": "[mass]",
    "s": "[time]",
    "N": FORCE,
    "Pa": PRESSURE,
    "N/m3": UNIT_WEIGHT,
    "MJ mm/(ha h)": EROSIVITY,
    "m3/s": FLOW,
    "rad": "slope",
    "degC": "temperature",
    "-": "pure number",
}


def example(tag: str) -> str:
    """Say how a quantity with this SI tag may be written, as in '"38 deg" or "70 %"'."""
    return EXAMPLES[_KIND[tag]] if tag in _KIND else f'a number and a unit, as in "1 {tag}"'


@cache
def scale(name: str, tag: str, *, slopes: bool = True) -> Scale:
    """Give the conversion from a written unit to a method's SI unit.

    Parameters
    ----------
    name : str
        The unit as written, as in "ft2"; "" is a pure number.
    tag : str
        SI tag of a method's parameter or result; "any" takes every unit.
    slopes : bool
        Read percent as the tangent of an angle where the tag is "rad".

    Raises
    ------
    UnitError
        Not a unit, or one of another kind than the tag.
    """
    if not name.strip():
        if tag in ("-", "any"):
            return Scale("", 1.0)
        raise UnitError("no unit", f"write {example(tag)}")
    found, right = unit(name), f"write {example(tag)}"
    units = registry()
    turning = found.units in _angles()
    factor = float(found.to_base_units().magnitude)
    if tag == "rad":
        if turning:
            return Scale(name, float(found.to("radian").magnitude))
        if slopes and found.units == units.percent:
            return Scale(name, factor, of_slope=True)
        raise UnitError(f"{name!r} is not a unit of angle", right)
    if tag == "degC" and (zero := _ZERO.get(name.strip())) is not None:
        return Scale(name, factor, zero=zero)
    if tag == "-" and (turning or not found.dimensionless):
        raise UnitError(f"{name!r} is a unit where a pure number belongs", right)
    if tag not in ("-", "any") and not found.is_compatible_with(unit(tag)):
        raise UnitError(f"{name!r} does not fit {tag}", right)
    return Scale(name, factor)


# what 0 of each scale of temperature reads in degrees Celsius
_ZERO = {
    **dict.fromkeys(("degC", "celsius"), 0.0),
    **dict.fromkeys(("degF", "fahrenheit"), -32 * 5 / 9),
    **dict.fromkeys(("K", "kelvin"), -273.15),
}


@cache
def _angles() -> frozenset[Any]:
    return frozenset(registry().parse_units(u) for u in ("radian", "degree", "milliradian"))


_DEG = 180 / math.pi
_FT, _IN, _YD, _LB, _LBF = 0.3048, 0.0254, 0.9144, 0.45359237, 4.4482216152605
_YEAR = 365.25 * 86400
_R = 100 * _FT * 2000 * _LBF * _IN / (43560 * _FT**2) / 3600  # 100 ft tonf in/(acre h)
_K = 2000 * _LB * 3600 / (100 * _FT * 2000 * _LBF * _IN)  # ton acre h/(100 acre ft tonf in)

# how each SI tag of a figure is shown: tag -> (factor, label, decimals) for us and for metric
_SHOWN: dict[str, dict[System, tuple[float, str, int]]] = {
    "m": {"us": (1 / _FT, "ft", 2), "metric": (1.0, "m", 3)},
    "m.small": {"us": (1 / _IN, "in", 2), "metric": (1e3, "mm", 0)},
    "m2": {"us": (1 / _FT**2, "ft²", 1), "metric": (1.0, "m²", 2)},
    "m3": {"us": (1 / _YD**3, "yd³", 2), "metric": (1.0, "m³", 3)},
    "m3.small": {"us": (1 / _FT**3, "ft³", 2), "metric": (1e3, "L", 0)},
    "rad": {"us": (_DEG, "°", 1), "metric": (_DEG, "°", 1)},
    "1/s": {"us": (60.0, "/min", 2), "metric": (60.0, "/min", 2)},
    "rad/m": {"us": (_DEG * _FT, "°/ft", 3), "metric": (_DEG, "°/m", 3)},
    "kg": {"us": (1 / _LB, "lb", 1), "metric": (1.0, "kg", 1)},
    "kg/m3": {"us": (_FT**3 / _LB, "lb/ft³", 1), "metric": (1.0, "kg/m³", 0)},
    "1/m": {"us": (_FT, "1/ft", 4), "metric": (1.0, "1/m", 4)},
    "1/m2": {"us": (_FT**2, "1/ft²", 6), "metric": (1.0, "1/m²", 6)},
    "N": {"us": (1 / _LBF, "lbf", 0), "metric": (1e-3, "kN", 2)},
    "N/m": {"us": (_FT / _LBF, "lbf/ft", 0), "metric": (1e-3, "kN/m", 2)},
    "Pa": {"us": (_FT**2 / _LBF, "psf", 0), "metric": (1e-3, "kPa", 2)},
    "Pa.small": {"us": (_FT**2 / _LBF, "psf", 2), "metric": (1.0, "Pa", 1)},
    "N/m3": {"us": (_FT**3 / _LBF, "pcf", 1), "metric": (1e-3, "kN/m³", 2)},
    "m3/s.drip": {
        "us": (3600 / 3.785411784e-3, "gal/h", 2),
        "metric": (3.6e6, "L/h", 1),
    },
    "MJ mm/(ha h)": {"us": (1 / _R, "us_R", 0), "metric": (36e3, "MJ mm/(ha h)", 0)},
    "degC": {"us": (1.0, "°C", 1), "metric": (1.0, "°C", 1)},
    "m/s.day": {"us": (86400 / _IN, "in/day", 3), "metric": (86400e3, "mm/day", 2)},
    "m.water": {"us": (1 / _IN, "in", 2), "metric": (1e3, "mm", 1)},
    "m.head": {
        "us": (998.16 * _G * _IN**2 / _LBF, "psi", 1),
        "metric": (998.16 * _G * 1e-3, "kPa", 0),
    },
    "m3/s.pipe": {"us": (60 / 3.785411784e-3, "gal/min", 2), "metric": (6e4, "L/min", 2)},
    "m3.water": {"us": (1 / 3.785411784e-3, "gal", 2), "metric": (1e3, "L", 2)},
    "m3.garden": {"us": (1 / 3.785411784e-3, "gal", 0), "metric": (1e3, "L", 0)},
    "s.min": {"us": (1 / 60, "min", 0), "metric": (1 / 60, "min", 0)},
    "t h/(MJ mm)": {"us": (1 / _K, "us_K", 3), "metric": (1 / 3600, "t h/(MJ mm)", 4)},
    "kg/m2": {"us": (_FT**2 * 43560 / (2000 * _LB), "ton/acre", 1), "metric": (10.0, "t/ha", 1)},
    "kg.big": {"us": (1 / (2000 * _LB), "ton", 2), "metric": (1e-3, "t", 2)},
    "m3/s": {"us": (1 / _FT**3, "ft³/s", 3), "metric": (1e3, "L/s", 2)},
    "m/s": {"us": (1 / _FT, "ft/s", 1), "metric": (1.0, "m/s", 2)},
    "m/s.small": {"us": (3600 / _IN, "in/h", 2), "metric": (3.6e6, "mm/h", 1)},
    "s.small": {"us": (1 / 60, "min", 1), "metric": (1 / 60, "min", 1)},
    "years": {"us": (1.0, "years", 0), "metric": (1.0, "years", 0)},
    "s": {"us": (1 / 3600, "h", 2), "metric": (1 / 3600, "h", 2)},
    "year": {"us": (1 / _YEAR, "years", 0), "metric": (1 / _YEAR, "years", 0)},
    "%": {"us": (100.0, "%", 1), "metric": (100.0, "%", 1)},
    "Pa/m": {"us": (_FT**3 / _LBF, "psf/ft", 1), "metric": (1e-3, "kPa/m", 2)},
    "J/m2": {"us": (1e-6, "MJ/m²", 2), "metric": (1e-6, "MJ/m²", 2)},
    "h/m": {"us": (_FT, "h/ft", 4), "metric": (1.0, "h/m", 4)},
    "h/m2": {"us": (_FT**2, "h/ft²", 4), "metric": (1.0, "h/m²", 4)},
    "h/m3": {"us": (_YD**3, "h/yd³", 3), "metric": (1.0, "h/m³", 3)},
    "money": {"us": (1.0, "", 2), "metric": (1.0, "", 2)},  # the currency stands beside it
    "-": {"us": (1.0, "", 4), "metric": (1.0, "", 4)},
    "any": {"us": (1.0, "", 4), "metric": (1.0, "", 4)},
    "text": {"us": (1.0, "", 4), "metric": (1.0, "", 4)},
}


def shown(value: float, unit: str, system: System) -> tuple[float, str, int]:
    """Give a figure as the job's units show it: number, unit label and useful decimals.

    Parameters
    ----------
    value : float
        SI value.
    unit : str
        Its SI tag; "m.small" shows a length in inches or millimetres, "m3.small" a volume in
        cubic feet or litres, "m/s.small" rain in inches or millimetres an hour, "m/s.day" water in
        inches or millimetres a day, "kg.big" soil in tons, "s.small" minutes, "%" a share in
        percent, "year" seconds in years. A tag without a row is shown in SI.
    system : {"us", "metric"}
        The job's units.
    """
    factor, label, decimals = _SHOWN[unit][system] if unit in _SHOWN else (1.0, unit, 4)
    if system == "metric" and unit in ("N", "N/m") and abs(value) < 1000:  # no use in kilonewtons
        factor, label, decimals = 1.0, unit, 0
    return value * factor, label, decimals


def _whole(number: float) -> bool:
    return number == 0 or (abs(number - round(number)) < 5e-5 and round(number) != 0)


def show(value: float | int | str, unit: str, system: System) -> str:
    """Write a figure with its unit as the job's units show it, as in "1,204.5 ft²"."""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    number, label, decimals = shown(value, unit, system)
    if isinstance(value, Integral) and unit in ("-", "any", ""):
        return f"{value:,}"
    # a count that came as a decimal, give or take the machine's rounding
    if unit in ("-", "any", "") and math.isfinite(number) and _whole(number):
        return f"{number:,.0f}"
    if not math.isfinite(number):
        return "unknown" if math.isnan(number) else "without limit"
    if unit == "m.small" and 0 < abs(number) < 1e-4:  # rounding of the machine, not a length
        number = 0.0
    if label == "°" and round(number, decimals) == 360:  # a bearing just short of north
        number = 0.0
    if 0 < abs(number) < 0.5 * 10**-decimals:  # 0.0000 would read as nothing at all
        return f"{number:.2g} {label}".rstrip()
    return f"{number:,.{decimals}f}{'' if label == '°' else ' '}{label}".rstrip()
