"""A soil by name, USCS class, USDA texture or measurement, as cautious as a bare slope asks for.

Tables of soils are mostly for compacted soil; a bare eroding slope is not compacted. What a table
gives is brought down here, and each time the soil says so in its notes:

- friction of a USCS class is that of loose ground, 5 to 8 degrees under the compacted one;
- cohesion is none: not in sand, not in the wetted top metre, not in clay that dries and cracks.
  What may be left of it deeper stands apart (``deep_cohesion``) and starts at none too;
- weights are those of ground looser than compacted.

What was measured is taken as it was measured.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.method import method
from hillwright.stability.given import at_least_zero, soil_weight
from hillwright.stability.known import known
from hillwright.stability.ranges import Range, range_of
from hillwright.stability.soiltable import (
    BARE,
    NO_COHESION,
    Soil,
    by_code,
    by_texture,
    by_words,
    of_class,
    soaked,
)
from hillwright.stability.texture import usda_texture

Given = Range | ArrayLike

_ORGANIC = ("OL", "OH", "PT")  # USCS classes that no strength table holds for


class Properties(NamedTuple):
    """Lowest, likeliest and highest of each property of a soil."""

    moist: Array
    saturated: Array
    cohesion: Array
    friction: Array


@method(
    title="What a soil's name stands for on a bare slope",
    equation="table row, brought from compacted to loose ground; c = 0",
    source=(
        "NAVFAC, 1986, DM-7.2 (from memory); Caltrans, 2025, Trenching and Shoring Manual, "
        "Tables 3-1 to 3-3; NRCS bulk densities (from memory)"
    ),
)
def soil_properties(soil: str) -> Properties:
    """Give lowest, likeliest and highest properties of a soil by name, USCS class or texture.

    Parameters
    ----------
    soil : str
        As "CL", "sandy loam", "loose fine sand" or "stiff clay". [text]

    Returns
    -------
    moist, saturated : (3,) array
        Unit weights. [N/m3]
    cohesion : (3,) array
        Effective cohesion to count: none, unless it was measured. [Pa]
    friction : (3,) array
        Effective friction angle. [rad]

    Raises
    ------
    OutOfRange
        A soil that no table has; says the nearest names.

    Notes
    -----
    For screening. A test of the ground itself overrides every table.
    """
    found = find_soil(soil)
    ranges = (found.moist, found.saturated, found.cohesion, found.friction)
    return Properties(*(np.array([r.low, r.best, r.high]) for r in ranges))


def find_soil(name: str) -> Soil:
    """Give the soil that a name, a USCS class or a USDA texture stands for.

    Raises
    ------
    OutOfRange
        Nothing is called so; says the nearest names.
    """
    if (code := _code(name)) in by_code() or code in _ORGANIC:
        return soil_by_uscs(code)
    return _named(name, {**by_words(), **by_texture()}, "soil", "give a USCS class or a texture")


def soil_by_name(name: str) -> Soil:
    """Give a soil by its name in words, as "loose fine sand"; without a density, loose.

    Raises
    ------
    OutOfRange
        Nothing is called so; says the nearest names.
    """
    return _named(name, by_words(), "soil", 'give it as "loose fine sand" or "stiff clay"')


def soil_by_uscs(code: str) -> Soil:
    """Give a soil by its USCS class, as "SM" or "SC-SM".

    Raises
    ------
    OutOfRange
        No such class in the table; organic soils and peat are never in it.
    """
    known_codes = by_code()
    if (found := _code(code)) not in known_codes:
        right = did_you_mean(found, known_codes, f"known are {', '.join(known_codes)}")
        what = f"{code!r} is not a USCS class of the table"
        if found in _ORGANIC:
            what, right = f"{found} is organic soil: no table holds for it", "ask an engineer"
        raise OutOfRange("soil", what, right)
    return of_class(known_codes[found])


def soil_by_texture(texture: str) -> Soil:
    """Give a soil by its USDA texture class, as "sandy loam".

    Raises
    ------
    OutOfRange
        No such class; says the nearest names.
    """
    return _named(texture, by_texture(), "texture", f"known are {', '.join(by_texture())}")


def soil_by_fractions(sand: float, silt: float, clay: float) -> Soil:
    """Give a soil by its shares of sand, silt and clay (of 1, or percent).

    Raises
    ------
    OutOfRange
        Shares that make up no whole.
    """
    return soil_by_texture(usda_texture(sand, silt, clay)[0])


def measured_soil(
    moist: Given | None = None,
    friction: Given | None = None,
    cohesion: Given | None = None,
    saturated: Given | None = None,
    undrained: Given | None = None,
    *,
    base: Soil | None = None,
    name: str = "soil as measured",
) -> Soil:
    """Give a soil whose properties were measured, wholly or on top of a soil of a table.

    Parameters
    ----------
    moist, saturated : Range, float, or (1,), (2,) or (3,) array, optional
        Unit weights: one value, lowest and highest, or with the likeliest [N/m3].
    friction : Range, float or array, optional
        Effective angle [rad].
    cohesion : Range, float or array, optional
        Effective, tested on wetted soil [Pa].
    undrained : Range, float or array, optional
        Undrained strength [Pa].
    base : Soil, optional
        Where the rest comes from; without it moist weight and friction must be given.
    name : str
        What to call it.

    Returns
    -------
    Soil
        What was measured, and the rest of ``base``.

    Raises
    ------
    OutOfRange
        Something is missing, a range is upside down, or a value is outside what soils have.
    """
    notes = list(base.notes) if base else []
    if moist is None:
        weight = _rest(base, "unit_weight").moist
    else:
        weight = range_of("unit_weight", moist, "unit weight")
        soil_weight([weight.low, weight.high], "unit_weight")
    if saturated is not None:
        full = range_of("saturated_weight", saturated, "unit weight")
    elif base and moist is None:
        full = base.saturated
    else:
        full = soaked(weight)
        notes.append("saturated weight worked out from the moist one at 10 % water by mass")
    angle = _rest(base, "friction").friction if friction is None else friction
    bond: Given = base.cohesion if base else 0.0
    if cohesion is not None:
        bond = cohesion
        notes = [n for n in notes if n != NO_COHESION]
        notes.append("measured cohesion counts only as far as it was tested on wetted soil")
    if friction is not None and moist is not None:
        notes = [n for n in notes if n != BARE]
    c, p, g, gs = known(bond, angle, weight, full)
    short = base.undrained if base else None
    if undrained is not None:
        short = range_of("undrained_strength", undrained, "undrained strength")
        at_least_zero("undrained_strength", [short.low, short.high])
    return Soil(
        name=f"{base.name}, partly measured" if base else name,
        moist=g,
        saturated=gs,
        cohesion=c,
        friction=p,
        deep_cohesion=base.deep_cohesion if base and cohesion is None else c,
        undrained=short,
        source=f"measured; the rest: {base.source}" if base else "measured",
        status=base.status if base else "measured",
        notes=tuple(notes),
    )


def known_soils() -> tuple[str, ...]:
    """Give every name that :func:`find_soil` knows: classes, textures, names."""
    return (*by_code(), *by_texture(), *(n for n in by_words() if n not in by_texture()))


def _rest(base: Soil | None, what: str) -> Soil:
    if base is None:
        right = "measure it too, or name the soil whose value to take"
        raise OutOfRange(what, "is missing", right)
    return base


def _code(name: str) -> str:
    """Spell a USCS class as the table does: "sc-sm" is SM-SC."""
    parts = name.strip().upper().split("-")
    return next((k for k in by_code() if sorted(k.split("-")) == sorted(parts)), "-".join(parts))


def _named(name: str, soils: Mapping[str, Callable[[], Soil]], where: str, otherwise: str) -> Soil:
    word = " ".join(name.lower().split())
    if word not in soils:
        right = did_you_mean(word, [*soils, *by_code()], otherwise)
        raise OutOfRange(where, f"{name!r} is not a soil of the tables", right)
    return soils[word]()
