"""The kinds of value that a job file holds: quantities with limits, flags, counts, dates.

A reader here takes the text as written and gives SI, or fails with what is wrong and what would
be right. Defaults in the model are SI already and are not read.
"""

from __future__ import annotations

import datetime
import difflib
import math
import re
from collections.abc import Callable
from functools import partial
from typing import Annotated, Any, NamedTuple

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Strict,
    ValidatorFunctionWrapHandler,
    WithJsonSchema,
    WrapValidator,
)

from hillwright import units
from hillwright.units import UnitError

INCH, FOOT, POUND, YEAR = 0.0254, 0.3048, 0.45359237, 365.25 * 86400

# units offered behind a bare number, by kind
_UNITS = {
    "length": ("in", "ft", "m"),
    "mass": ("lb", "kg"),
    "angle": ("deg",),
    "slope": ("deg", "%"),
    "area": ("ft2", "m2"),
    "volume": ("gal", "ft3", "L"),
    "temperature": ("degF", "degC"),
    "force": ("lbf", "kN"),
    "pressure": ("psf", "kPa"),
    "unit weight": ("pcf", "kN/m3"),
    "share": ("%",),
    "erosivity": ("us_R", "MJ mm/(ha h)"),
    "time": ("h", "min"),
    "flow": ("gal/h", "L/h"),
    "time in years": ("years",),
}
_KNOWN = (
    *("in", "inch", "inches", "ft", "foot", "feet", "yd", "yard", "yards", "us_survey_foot"),
    *("mm", "cm", "m", "km", "meter", "meters", "metre", "metres"),
    *("lb", "pound", "pounds", "oz", "ounce", "g", "kg"),
    *("deg", "degree", "degrees", "rad", "percent"),
)
_KNOWN_OF = {
    "temperature": ("degF", "degC", "fahrenheit", "celsius"),
    "volume": ("gal", "gallon", "ft3", "yd3", "L", "liter", "litre", "m3"),
    "force": ("lbf", "kip", "N", "kN", "lb", "pound", "pounds", "kg"),
    "pressure": ("psf", "psi", "ksf", "Pa", "kPa", "MPa"),
    "unit weight": ("pcf",),
    "time": ("h", "hour", "hours", "min", "minute", "minutes", "s", "day", "days"),
    "time in years": ("year", "years"),
    "flow": ("gal/h", "gal/min", "L/h", "L/min"),
}
_SPLIT = re.compile(r"(.*?[\d.]\s*)([A-Za-z_]+)\s*")


def as_text(**hint: str) -> Any:
    """Tell the schema that a value is written as text, and of what form, for forms."""
    return Annotated[str, WithJsonSchema({"type": "string", **hint})]


class OutsideLimits(ValueError):
    """A quantity that can be read but makes no sense where it stands."""

    def __init__(self, value: str, low: float, high: float, tag: str) -> None:
        self.value, self.low, self.high, self.tag = value, low, high, tag
        super().__init__(f"{value} is outside its limits")

    def limits(self, system: units.System) -> str:
        """Write the limits in the job's units, as in "2 in to 10 ft"."""
        small = self.tag == "m" and abs(self.high) < 2
        tag = "m.small" if small else self.tag

        def written(value: float) -> str:
            own = tag if value == 0 or tag != "m" or abs(value) >= FOOT else "m.small"
            number, label, _ = units.shown(value, own, system)
            number = float(f"{number:.3g}")
            return f'"{number:,.0f} {label}"' if abs(number) >= 1000 else f'"{number:g} {label}"'

        return f"{written(self.low)} to {written(self.high)}"


class UpsideDown(ValueError):
    """A range whose values do not go from the lowest to the highest."""


class Conflict(NamedTuple):
    """Keys of a section that do not go together: the key to change, what and why."""

    key: tuple[str | int, ...]
    what: str
    right: str
    beside: tuple[str, ...] = ()  # the other keys that it rests on


class Conflicts(ValueError):
    """All conflicts that one section finds in itself."""

    def __init__(self, found: tuple[Conflict, ...]) -> None:
        self.found = found
        super().__init__("keys that do not go together")


def joined(words: tuple[str, ...], last: str = "or") -> str:
    """Join words as a sentence does: "a, b or c"."""
    head, tail = ", ".join(words[:-1]), words[-1]
    return f"{head} {last} {tail}" if head else tail


def nearest(word: str, known: tuple[str, ...]) -> str | None:
    """Give the known word that was most likely meant, or None."""
    lower = {k.lower(): k for k in known}
    starts = [k for k in known if len(word) > 2 and k.lower().startswith(word.lower())]
    if len(starts) == 1:
        return starts[0]
    found = difflib.get_close_matches(word.lower(), list(lower), n=1, cutoff=0.6)
    return lower[found[0]] if found else None


def _better(value: str, kind: str, read: Callable[[object], float]) -> str | None:
    """Give the same quantity with the unit that was most likely meant."""
    if not (parts := _SPLIT.fullmatch(value)):
        return None
    name = nearest(parts[2], _KNOWN_OF.get(kind, _KNOWN))
    if name is None or name == parts[2]:
        return None
    try:
        read(parts[1] + name)
    except UnitError:
        return None
    return parts[1] + name


def _with_units(number: str, kind: str) -> str:
    return "write " + joined(tuple(f'"{number} {u}"' for u in _UNITS[kind]))


def _reader(
    read: Callable[[object], float], kind: str, tag: str, low: float, high: float
) -> BeforeValidator:
    """Make the validator of one kind of quantity, low to high in SI."""
    slack = 1e-9 * max(abs(low), abs(high))

    def check(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            article = "an" if kind[0] in "ae" else "a"
            raise UnitError(f"{value!r} is not {article} {kind}", _with_units("18", kind))
        if not isinstance(value, str):
            raise UnitError(f"{value!r} has no unit", _with_units(f"{value}", kind))
        try:
            found = read(value)
        except UnitError as error:
            if re.fullmatch(r"\s*[-+]?[\d.]+\s*", value):
                raise UnitError(
                    f"{value!r} has no unit", _with_units(value.strip(), kind)
                ) from None
            if better := _better(value, kind, read):
                raise UnitError(error.what, f'did you mean "{better}"?') from None
            raise
        if not low - slack <= found <= high + slack:
            raise OutsideLimits(value, low, high, tag)
        return found

    # for forms: what kind of quantity, and its limits in SI
    hint = {"type": "string", "quantity": kind, "unit": tag, "least": low, "most": high}
    return BeforeValidator(check, json_schema_input_type=Annotated[str, WithJsonSchema(hint)])


def lengths(low: float, high: float) -> BeforeValidator:
    """Read a length between two lengths [m]."""
    return _reader(units.length, "length", "m", low, high)


def masses(low: float, high: float) -> BeforeValidator:
    """Read a mass between two masses [kg]."""
    return _reader(units.mass, "mass", "kg", low, high)


def angles(low: float, high: float) -> BeforeValidator:
    """Read an angle between two angles in degrees."""
    return _reader(units.angle, "angle", "rad", math.radians(low), math.radians(high))


def slopes(low: float, high: float) -> BeforeValidator:
    """Read degrees, percent or H:V between two angles in degrees."""
    return _reader(units.slope, "slope", "rad", math.radians(low), math.radians(high))


def areas(low: float, high: float) -> BeforeValidator:
    """Read an area between two areas [m2]."""
    return _reader(partial(units.quantity, dimension="[length] ** 2"), "area", "m2", low, high)


def volumes(low: float, high: float) -> BeforeValidator:
    """Read a volume between two volumes [m3]."""
    read = partial(units.quantity, dimension="[length] ** 3")
    return _reader(read, "volume", "m3.small", low, high)


def temperatures(low: float, high: float) -> BeforeValidator:
    """Read a temperature between two temperatures in degrees Celsius."""
    return _reader(units.temperature, "temperature", "degC", low, high)


def forces(low: float, high: float) -> BeforeValidator:
    """Read a force between two forces [N]; a mass stands for its weight."""
    return _reader(partial(units.quantity, dimension=units.FORCE), "force", "N", low, high)


def pressures(low: float, high: float) -> BeforeValidator:
    """Read a pressure, or the strength of soil, between two pressures [Pa]."""
    read = partial(units.quantity, dimension=units.PRESSURE)
    return _reader(read, "pressure", "Pa", low, high)


def unit_weights(low: float, high: float) -> BeforeValidator:
    """Read a unit weight between two unit weights [N/m3]; a density stands for its weight."""
    read = partial(units.quantity, dimension=units.UNIT_WEIGHT)
    return _reader(read, "unit weight", "N/m3", low, high)


def flows(low: float, high: float) -> BeforeValidator:
    """Read a flow of water between two flows [m3/s]."""
    read = partial(units.quantity, dimension=units.FLOW)
    return _reader(read, "flow", "m3/s.pipe", low, high)


def shares(low: float, high: float) -> BeforeValidator:
    """Read a part of a whole, in percent, between two parts of 1."""
    return _reader(units.share, "share", "%", low, high)


def erosivities(low: float, high: float) -> BeforeValidator:
    """Read a year's rain erosivity [kg m/s3] between two of them in MJ mm/(ha h)."""
    read = partial(units.quantity, dimension=units.EROSIVITY)
    return _reader(read, "erosivity", "MJ mm/(ha h)", low / 36e3, high / 36e3)


def times(low: float, high: float) -> BeforeValidator:
    """Read a time between two times [s]."""
    return _reader(partial(units.quantity, dimension="[time]"), "time", "s", low, high)


def pouring(low: float, high: float) -> BeforeValidator:
    """Read a flow of water [m3/s] between two flows in litres an hour."""
    read = partial(units.quantity, dimension=units.FLOW)
    return _reader(read, "flow", "m3/s.drip", low / 3.6e6, high / 3.6e6)


def lifetimes(low: float, high: float) -> BeforeValidator:
    """Read a time, in seconds, between two times in years."""
    return _reader(_long, "time in years", "year", low * YEAR, high * YEAR)


def periods(low: float, high: float) -> BeforeValidator:
    """Read a return period, in years, between two periods in years: a pure number [-]."""
    return _reader(lambda value: _long(value) / YEAR, "time in years", "years", low, high)


def _long(value: object) -> float:
    try:
        return units.quantity(value, "[time]")
    except UnitError as error:
        raise UnitError(error.what, 'write "25 years"') from None


def _range(value: object, read: ValidatorFunctionWrapHandler) -> tuple[float, ...]:
    given = value if isinstance(value, list | tuple) else [value]
    if not 1 <= len(given) <= 3:
        right = "write one value, two (lowest, highest) or three (lowest, likeliest, highest)"
        raise UnitError(f"has {len(given)} values", right)
    found: tuple[float, ...] = read(given)
    if list(found) != sorted(found):
        raise UpsideDown
    return found


def _day(value: Any) -> Any:
    # TOML has dates of its own; the sheet prints them as they stand
    return value.isoformat() if isinstance(value, datetime.date) else value


def _filled(value: str) -> str:
    if not value.strip():
        raise UnitError(f"{value!r} names no file", 'write its name, as in "sections.csv"')
    return value


def _unit_of_length(name: str) -> str:
    if name:
        try:
            units.unit_factor(name)
        except UnitError:
            meant = nearest(name, (*_LENGTHS, "foot", "feet", "meter", "metre"))
            choice = joined(tuple(f'"{u}"' for u in _LENGTHS))
            right = f'did you mean "{meant}"?' if meant else f"write {choice}"
            raise UnitError(f"{name!r} is not a unit of length", right) from None
    return name


_LENGTHS = ("ft", "us_survey_foot", "in", "yd", "m", "cm", "mm")

Coordinate = Annotated[float, lengths(-2e7, 2e7)]  # half of the earth's girth: no grid is larger
Place = tuple[Coordinate, Coordinate]  # easting (or along the base line), northing (or across it)


class Degrees(float):
    """Longitude or latitude of a place [deg]: a coordinate that is no length."""


def _map_coordinate(value: object, read: ValidatorFunctionWrapHandler) -> float:
    if isinstance(value, Degrees):
        return value
    if isinstance(value, str) and _DEGREES.fullmatch(value):
        found = math.degrees(units.angle(value))
        if not -360 <= found <= 360:
            raise OutsideLimits(value, -2 * math.pi, 2 * math.pi, "rad")
        return Degrees(found)
    length: float = read(value)
    return length


_DEGREES = re.compile(r"\s*[-+]?[\d.]+\s*(deg|degrees?|°)\s*")
# of a place that the survey's own numbers can name: a length, or longitude and latitude
MapPlace = tuple[
    Annotated[Coordinate, WrapValidator(_map_coordinate)],
    Annotated[Coordinate, WrapValidator(_map_coordinate)],
]
Flag = Annotated[bool, Strict()]
Day = Annotated[str, BeforeValidator(_day)]
FileName = Annotated[str, AfterValidator(_filled)]
LengthUnit = Annotated[str, AfterValidator(_unit_of_length)]
RANGE = WrapValidator(_range)  # of a tuple: one value, lowest and highest, or the likeliest between
