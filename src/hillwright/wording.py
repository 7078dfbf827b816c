"""Sentences of the rooms, which count in metres, as the person with the job's tape reads them."""

from __future__ import annotations

import math
import re

from hillwright.units import System, show

# text in quotes is somebody's own words; a number with a unit behind it is ours to convert
_FOUND = re.compile(
    r'"[^"]*"'
    r"|(?<![\w.])(?P<sign>[-+]?)(?P<number>\d[\d,]*(?:\.\d+)?)"
    r" (?P<unit>kg/m3|m of water|L/min|L/h|m/s|litres|m2|m3|mm|m|deg|rad|N/m3|N/m|N|Pa)\b(?!/)"
)
# a length with four decimals is whole in inches: metric tapes read it to the centimetre
_EXACT = re.compile(r"\.\d{4}$")
# units of water: what they are shown as, and how many SI units one is
_TAGS = {
    "m of water": ("m.head", 1.0),
    "kg/m3": ("kg/m3", 1.0),
    "L/min": ("m3/s.pipe", 1e-3 / 60),
    "L/h": ("m3/s.drip", 1e-3 / 3600),
    "m/s": ("m/s", 1.0),
    "litres": ("m3.water", 1e-3),
}
_MUCH = 40.0  # more water than this is told in whole gallons [litres]
_SMALL = 0.3  # shorter than this reads better in inches than in hundredths of a foot [m]


def in_units(text: str, system: System) -> str:
    """Give a room's sentence with its lengths, areas, volumes and angles in the job's units.

    Parameters
    ----------
    text : str
        Words with SI figures such as "0.24 m", "25 mm", "3.1 m2", "34 deg", "900 N", "7 m of
        water", "12 L/min", "1200 kg/m3"; what stands in "quotes" stays as it is.
    system : {"us", "metric"}
        The job's units; "metric" leaves lengths, areas and volumes as they were written.
    """

    def said(match: re.Match[str]) -> str:
        if not (unit := match["unit"]):
            return match[0]
        sign, written = match["sign"], match["number"]
        value = float(written.replace(",", ""))
        if unit == "deg":
            return f"{sign}{written}°"
        if unit == "rad":
            return f"{sign}{math.degrees(value):.1f}°"
        if unit in ("N", "Pa", "N/m", "N/m3"):
            return sign + show(value, unit, system)
        if unit in _TAGS:
            tag, factor = _TAGS[unit]
            if unit == "litres" and value >= _MUCH:
                tag = "m3.garden"
            return sign + show(value * factor, tag, system)
        if system == "metric":
            if unit == "m" and _EXACT.search(written):
                written = f"{value:,.2f}"
            return f"{sign}{written} {unit.replace('2', '²').replace('3', '³')}"
        if unit == "mm":
            unit, value = "m", value / 1e3
        small = unit == "m" and 0 < value < _SMALL
        return sign + show(value, "m.small" if small else unit, system)

    return _FOUND.sub(said, text)


def factor_text(factor: float) -> str:
    """Write a factor of safety, cut and not rounded: 1.496 is not the 1.50 that it lacks."""
    if not math.isfinite(factor):
        return "none" if math.isnan(factor) else "without limit"
    return f"{math.floor(factor * 100 + 1e-9) / 100:.2f}"


def plural(count: int, one: str, many: str = "") -> str:
    """Give a count with its noun, as in "1 cell" or "1,204 cells"."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"
