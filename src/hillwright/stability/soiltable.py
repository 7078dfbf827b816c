"""The rows of the soil tables, each brought from the state it was tested in to a bare slope."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

from hillwright.data import table
from hillwright.stability.lookup import PCF, si
from hillwright.stability.ranges import Range, range_of
from hillwright.stability.weights import saturated_from_dry

_WATER = 62.4 * PCF  # unit weight of water as tables in pcf have it [N/m3]
BARE = "compacted values of the table: cautious reduction for a bare slope applied"
NO_COHESION = "no cohesion counted: rain and irrigation take it from the top metre"
_NOT_TESTED = "named, not tested: a test of this ground overrides the table"
_LOOSE = "taken as loose: no density was given"
_SHORT = "undrained strength is short-term only: clay on a slope softens to nearly no cohesion"


@dataclass(frozen=True, slots=True)
class Soil:
    """The ground of a slope, each property with its range."""

    name: str
    moist: Range  # unit weight [N/m3]
    saturated: Range  # with its pores full [N/m3]
    cohesion: Range  # effective, to be counted anywhere [Pa]
    friction: Range  # effective angle [rad]
    deep_cohesion: Range  # what may be left below the wetted top metre [Pa]
    undrained: Range | None  # strength of clay before it drains: short-term only [Pa]
    source: str
    status: str  # verified, memory, common practice, or measured
    notes: tuple[str, ...]


def by_code() -> dict[str, dict[str, Any]]:
    """Give the rows of USCS classes by their code."""
    return {row["name"]: row for row in table("soils")["uscs"]}


@cache
def by_texture() -> dict[str, Callable[[], Soil]]:
    """Give what makes a soil of each USDA texture class."""
    return {row["name"]: _maker(_of_texture, row) for row in table("soils")["texture"]}


@cache
def by_words() -> dict[str, Callable[[], Soil]]:
    """Give what makes a soil of each name in words."""
    tables, found = table("soils"), {}
    for row in tables["simple"]:
        for soil in row["soils"]:
            found[f"{row['density']} {soil}"] = _maker(_of_simple, row, soil)
            if row["density"] == "loose":
                found[soil] = _maker(_of_simple, row, soil, _LOOSE)
    for row in tables["uscs"]:
        found.setdefault(row["about"], _maker(of_class, row))
    for row in tables["granular"]:
        found.setdefault(f"{row['density']} sand", _maker(_of_granular, row))
    for row in tables["clay"]:
        found[f"{row['consistency']} clay"] = _maker(_of_clay, row)
    return found


def soaked(moist: Range) -> Range:
    """Give the saturated weight of soil of which only the moist weight is known."""
    water = 1 + si(table("soils")["rules"], "moist")

    def full(weight: float) -> float:
        return max(weight, float(saturated_from_dry(weight / water, _grains(), _WATER)))

    if moist.rule == "lognormal":
        return range_of("saturated_weight", full(moist.best), "unit weight")
    return Range(full(moist.low), full(moist.best), full(moist.high), moist.rule)


def of_class(row: dict[str, Any]) -> Soil:
    """Give the soil of a USCS row: looser and weaker than the table's compacted one."""
    rules = table("soils")["rules"]
    lightest, heaviest = si(row, "dry")
    little, much = si(row, "water")
    share = [rules[f"compaction_{k}_percent"] / 100 for k in ("low", "best", "high")]
    dry = (lightest * share[0], (lightest + heaviest) / 2 * share[1], heaviest * share[2])
    water = (much, (little + much) / 2, little)  # what packs loosely holds more
    moist = [d * (1 + w) for d, w in zip(dry, water, strict=True)]
    full = [float(saturated_from_dry(d, _grains(), _WATER)) for d in dry]
    left = si(row, "cohesion_saturated") if "cohesion_saturated_psf" in row else 0.0
    return _soil(
        f"{row['name']}, {row['about']}",
        row,
        moist=range_of("unit_weight", moist),
        saturated=range_of("saturated_weight", full),
        friction=_looser(row),
        # half of the soaked compacted value, and perhaps none: common practice, no source
        deep_cohesion=Range(0.0, left / 2, left) if left else Range.fixed(0.0),
        notes=(BARE, NO_COHESION, _NOT_TESTED),
    )


def _of_simple(row: dict[str, Any], soil: str, *notes: str) -> Soil:
    moist = _spread(si(row, "moist"))
    friction, spread = si(row, "friction"), si(table("soils")["rules"], "friction_spread")
    return _soil(
        f"{row['density']} {soil}",
        row,
        moist=moist,
        saturated=soaked(moist),
        friction=Range(friction - spread, friction, friction + spread),
        notes=(*notes, NO_COHESION, _NOT_TESTED),
    )


def _of_granular(row: dict[str, Any]) -> Soil:
    low, high = si(row, "submerged")
    return _soil(
        f"{row['density']} sand",
        row,
        moist=range_of("unit_weight", si(row, "moist")),
        saturated=range_of("saturated_weight", (low + _WATER, high + _WATER)),
        friction=range_of("friction", si(row, "friction")),
        notes=(NO_COHESION, _NOT_TESTED),
    )


def _of_clay(row: dict[str, Any]) -> Soil:
    moist = range_of("unit_weight", si(row, "moist"))
    low, high = si(row, "unconfined")
    return _soil(
        f"{row['consistency']} clay",
        row,
        moist=moist,
        saturated=soaked(moist),
        friction=_looser(by_code()[row["uscs"]]),
        undrained=range_of("undrained_strength", (low / 2, high / 2)),
        notes=(BARE, NO_COHESION, _SHORT, _NOT_TESTED),
        also="; friction of " + row["uscs"],
    )


def _of_texture(row: dict[str, Any]) -> Soil:
    rules = table("soils")["rules"]
    spread, pores = si(rules, "bulk_spread"), row["porosity"] * _WATER
    dry = [si(row, "bulk") * (1 + k * spread) for k in (-1, 0, 1)]
    filled = si(rules, "filled")
    strong = by_code().get(row["strength_of"])
    like = of_class(strong) if strong else by_words()[row["strength_of"]]()
    return _soil(
        row["name"],
        row,
        moist=range_of("unit_weight", [d + f * pores for d, f in zip(dry, filled, strict=True)]),
        saturated=range_of("saturated_weight", [d + pores for d in dry]),
        friction=like.friction,
        notes=(*((BARE,) if strong else (_LOOSE,)), NO_COHESION, _NOT_TESTED),
        also=f"; strength as {row['strength_of']}, by common practice: {like.source}",
    )


def _soil(
    name: str,
    row: dict[str, Any],
    *,
    moist: Range,
    saturated: Range,
    friction: Range,
    notes: tuple[str, ...],
    deep_cohesion: Range | None = None,
    undrained: Range | None = None,
    also: str = "",
) -> Soil:
    nothing = Range.fixed(0.0)
    source = table("soils")["sources"][row["source"]]
    return Soil(
        name=name,
        moist=moist,
        saturated=saturated,
        cohesion=nothing,
        friction=friction,
        deep_cohesion=deep_cohesion or nothing,
        undrained=undrained,
        source=source["text"] + also,
        status=source["status"],
        notes=notes,
    )


def _looser(row: dict[str, Any]) -> Range:
    least, most = si(table("soils")["rules"], "looser")
    friction = si(row, "friction")
    return Range(friction - most, friction - (least + most) / 2, friction - least)


def _spread(weight: float) -> Range:
    share = si(table("soils")["rules"], "bulk_spread")
    return Range(weight * (1 - share), weight, weight * (1 + share))


def _grains() -> float:
    return float(table("soils")["rules"]["grains"])


def _maker(make: Callable[..., Soil], *given: Any) -> Callable[[], Soil]:
    return lambda: make(*given)
