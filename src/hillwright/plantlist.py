"""The list of plants as text and as data: what `hillwright plants` prints."""

from __future__ import annotations

from typing import Any

from hillwright.errors import OutOfRange, did_you_mean
from hillwright.planting.palette import Plant, shipped, water_class, water_classes


def pick(word: str) -> tuple[Plant, ...]:
    """Give the plants that a word means: an id, a name, a kind or a use; all for "".

    Raises
    ------
    OutOfRange
        No plant is called so; names the nearest.
    """
    known = shipped()
    if not word:
        return known
    low = word.lower()
    found = tuple(p for p in known if low in p.tags() or low == p.common.lower())
    if not found:
        words = {w for p in known for w in (*p.tags(), p.common)}
        right = did_you_mean(word, words, "`hillwright plants` lists them all")
        raise OutOfRange(word, "no plant, kind or use is called so", right)
    return found


def as_data(plant: Plant) -> dict[str, Any]:
    """Give a plant as JSON: lengths in metres, months from 1."""
    return {
        "id": plant.id,
        "common": plant.common,
        "botanical": plant.botanical,
        "kind": plant.kind,
        "uses": list(plant.uses),
        "life": plant.life,
        "sun": plant.sun,
        "water": water_classes()[water_class(plant.factor)],
        "spacing": list(plant.spacing),
        "height": list(plant.height),
        "spread": list(plant.spread),
        "root_depth": plant.depth,
        "zones": list(plant.zones) if plant.zones else None,
        "bloom": list(plant.bloom),
        "harvest": list(plant.harvest),
        "days_to_harvest": list(plant.days) if plant.days else None,
        "frost": plant.frost,
        "evergreen": plant.evergreen,
        "mix": plant.mix,
        "caution": plant.caution,
        "source": plant.source,
        "status": plant.status,
    }


def as_text(plant: Plant, full: bool) -> str:
    """Write a plant on one line, or in full."""
    water = water_classes()[water_class(plant.factor)]
    zones = f"zones {plant.zones[0]} to {plant.zones[1]}" if plant.zones else ""
    wide = f"{100 * plant.spread[0]:.0f} to {100 * plant.spread[1]:.0f} cm wide"
    facts = [plant.kind, wide, f"{plant.sun} sun", f"{water} water", zones]
    line = f"{plant.id:22} {plant.common} ({plant.botanical}): {', '.join(filter(None, facts))}"
    if not full:
        return line
    size = f"spacing {_cm(plant.spacing)}, height {_cm(plant.height)}"
    months = f"bloom {_list(plant.bloom)}; harvest {_list(plant.harvest)}"
    more = [
        f"  {size}, roots {100 * plant.depth:.0f} cm",
        f"  {months} (months, northern hemisphere)",
        f"  {plant.caution}" if plant.caution else "",
        f"  {plant.source} [{plant.status}]",
    ]
    return "\n".join([line, *filter(None, more)])


def _cm(pair: tuple[float, float]) -> str:
    return f"{100 * pair[0]:.0f} to {100 * pair[1]:.0f} cm"


def _list(months: tuple[int, ...]) -> str:
    return " ".join(map(str, months)) or "not told"
