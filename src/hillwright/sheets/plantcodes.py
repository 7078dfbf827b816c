"""Plants on paper: two letters for each, and the order in which they are listed."""

from __future__ import annotations

from hillwright.planting.model import Planting


def plant_codes(planting: Planting) -> tuple[str, ...]:
    """Give each plant two letters of its own, from its name."""
    taken: set[str] = set()
    found: list[str] = []
    for plant in planting.plants:
        word = "".join(c for c in plant.common if c.isalpha())
        tries = [word[0].upper() + c.lower() for c in word[1:]]
        tries += [word[0].upper() + c for c in "abcdefghijklmnopqrstuvwxyz0123456789"]
        code = next((t for t in tries if t not in taken), f"{len(found)}")
        taken.add(code)
        found.append(code)
    return tuple(found)


def by_kind(planting: Planting) -> list[int]:
    """List the plants that are used, by kind and name."""
    used = [p for p in range(len(planting.plants)) if planting.count[p]]
    return sorted(used, key=lambda p: (planting.plants[p].kind, planting.plants[p].common))
