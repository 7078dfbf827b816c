"""The table of components and mixes, read into SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from hillwright.data import table
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.fill.mixes import Blend, blend, particle_density


@dataclass(frozen=True, slots=True)
class Component:
    """One thing that mixes are made of, loose as delivered."""

    name: str
    about: str
    dry: float  # [kg/m3]
    moisture: float  # water on dry mass [-]
    settlement: float  # share of the loose volume [-]
    organic: float  # share of the dry mass [-]
    swell: float  # from the bank, 0 for what is bought [-]
    source: str
    status: str

    @property
    def solids(self) -> float:
        """Density of its solids [kg/m3]."""
        return float(particle_density(self.organic))

    @property
    def moist(self) -> float:
        """Loose density as delivered [kg/m3]."""
        return self.dry * (1 + self.moisture)


@dataclass(frozen=True, slots=True)
class Recipe:
    """A mix by its parts."""

    name: str
    parts: tuple[tuple[str, float], ...]  # component and share of the loose volume
    mixing_loss: float
    source: str
    status: str


@cache
def components() -> dict[str, Component]:
    """Give every component by name."""
    data = table("mixes")
    found = {}
    for row in data["component"]:
        source = data["sources"][row["source"]]
        found[row["name"]] = Component(
            row["name"],
            row["about"],
            float(row["loose_dry_kg_m3"]),
            row["moisture"],
            row["settlement"],
            row["organic"],
            row.get("swell", 0.0),
            source["text"],
            source["status"],
        )
    return found


@cache
def recipes() -> dict[str, Recipe]:
    """Give every mix of the table by name; the first is the one that a job starts from."""
    data = table("mixes")
    found = {}
    for row in data["mix"]:
        source = data["sources"][row["source"]]
        parts = tuple((name, float(share)) for name, share in row["parts"])
        found[row["name"]] = Recipe(
            row["name"], parts, row["mixing_loss"], source["text"], source["status"]
        )
    return found


def component(name: str, where: str = "component") -> Component:
    """Give a component by its name.

    Raises
    ------
    OutOfRange
        Nothing is called so; says the nearest names.
    """
    known, word = components(), " ".join(name.lower().split())
    if word not in known:
        right = did_you_mean(word, known, f"known are {', '.join(known)}")
        raise OutOfRange(where, f'"{name}" is not a component of the table', right)
    return known[word]


def blended(parts: tuple[tuple[str, float], ...], mixing_loss: float, where: str = "mix") -> Blend:
    """Blend components of the table by their names and shares."""
    each = [component(name, where) for name, _ in parts]
    return blend(
        np.array([share for _, share in parts]),
        np.array([c.dry for c in each]),
        np.array([c.moisture for c in each]),
        np.array([c.settlement for c in each]),
        np.array([c.solids for c in each]),
        mixing_loss,
    )


@cache
def steepest_top() -> float:
    """Give the slope that loose soil is best not raked steeper than [rad]."""
    return math.radians(table("mixes")["top"]["steepest_deg"])
