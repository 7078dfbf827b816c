"""Numbers as a sheet prints them: in the job's units, with the decimals that a tape has."""

from __future__ import annotations

import math

from hillwright import units


def length(value: float, system: units.System) -> str:
    """Write a length without its unit, as in "12.34"; the unit stands in the head."""
    if not math.isfinite(value):
        return "–"
    number, _, decimals = units.shown(value, "m", system)
    text = f"{number:,.{decimals}f}"
    return text.lstrip("-") if not text.strip("-0.") else text


def size(value: float, system: units.System) -> str:
    """Write the size of a box, as in "24 in" or "610 mm"."""
    number, label, _ = units.shown(value, "m.small", system)
    return f"{number:.1f}".rstrip("0").rstrip(".") + f" {label}"


def small(value: float, system: units.System) -> str:
    """Write a depth or a gap, as in "2.1 in" or "53 mm"."""
    number, label, _ = units.shown(value, "m.small", system)
    return f"{number:.{1 if system == 'us' else 0}f} {label}"


def rough(value: float, system: units.System) -> str:
    """Write a length that nobody sets out by, as in "67.8 ft" or "20.7 m"."""
    number, label, _ = units.shown(value, "m", system)
    return f"{number:,.1f} {label}"


def unit(system: units.System) -> str:
    """Give the job's unit of length."""
    return units.shown(0.0, "m", system)[1]


def slope(angle: float) -> str:
    """Write a slope in the three ways of the trade."""
    if abs(angle) < 1e-3:
        return "level"
    ratio = 1 / math.tan(abs(angle))
    # spaces that do not break keep a number with its sign
    return f"{math.degrees(angle):.0f}°, {100 * math.tan(angle):.0f}\u00a0%, {ratio:.1f}H:1V"


def nice_step(least: float) -> float:
    """Give the smallest of 1, 2 or 5 times a power of ten that is not below `least`."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= least * (1 - 1e-9))


def plural(count: int, thing: str) -> str:
    """Write a count with its noun, as in "1 cell" or "12 cells"."""
    return f"{count:,} {thing}" if count == 1 else f"{count:,} {thing}s"
