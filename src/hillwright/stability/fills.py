"""What planting soil weighs in the cells: dry, and with its pores full, which is the load."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from hillwright.data import table
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.stability.lookup import PCF, si

_WATER = 62.4 * PCF  # unit weight of water as tables in pcf have it [N/m3]


@dataclass(frozen=True, slots=True)
class Fill:
    """A planting soil, settled."""

    name: str
    dry: float  # unit weight [N/m3]
    saturated: float  # unit weight: what the hill carries [N/m3]
    source: str
    status: str


@cache
def known_fills() -> dict[str, Fill]:
    """Give every fill of the table by its name; rows without a saturated weight are no fills."""
    soils = table("soils")
    rows: list[dict[str, Any]] = [*soils["texture"], *soils["mix"]]
    found = {}
    for row in rows:
        source = soils["sources"][row["source"]]
        if "bulk_g_cm3" in row:
            dry = si(row, "bulk")
            full = dry + row["porosity"] * _WATER
        elif "saturated_pcf" in row:
            dry, full = si(row, "dry"), si(row, "saturated")
        else:
            continue
        found[row["name"]] = Fill(row["name"], dry, full, source["text"], source["status"])
    return found


def fill_by_name(name: str) -> Fill:
    """Give a planting soil by its name.

    Raises
    ------
    OutOfRange
        Nothing is called so; says the nearest names.
    """
    known, word = known_fills(), " ".join(name.lower().split())
    if word not in known:
        right = did_you_mean(word, known, f"known are {', '.join(known)}")
        raise OutOfRange("fill", f"{name!r} is not a planting soil of the table", right)
    return known[word]
