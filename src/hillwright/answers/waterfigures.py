"""Figures of water and soil as the answers write them."""

from __future__ import annotations

from hillwright import units
from hillwright.units import System


def depth(value: float, system: System) -> str:
    """Write a depth of water."""
    return units.show(value, "m.small", system)


def length(value: float, system: System) -> str:
    """Write a length that nobody sets out by."""
    number, label, _ = units.shown(value, "m", system)
    return f"{number:,.1f} {label}"


def small(value: float, system: System) -> str:
    """Write the size of a ditch, a pipe or a stone."""
    number, label, _ = units.shown(value, "m.small", system)
    return f"{number:.{1 if system == 'us' else 0}f} {label}"


def flow(value: float, system: System) -> str:
    """Write a flow."""
    return units.show(value, "m3/s", system)


def volume(value: float, system: System) -> str:
    """Write a volume of water, small ones in small units."""
    tag = "m3.small" if value < 1.0 else "m3"
    return units.show(value, tag, system)


def mass(value: float, system: System) -> str:
    """Write a mass of soil."""
    return units.show(value, "kg.big", system)
