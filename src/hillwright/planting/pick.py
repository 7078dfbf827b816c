"""Which plants to choose from: what is named, and for each kind or use what suits the place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange, Problem, did_you_mean
from hillwright.planting.model import Asked, Unmet, Wish
from hillwright.planting.palette import KINDS, USES, Plant
from hillwright.planting.season import Season, bloom_months, harvest_months
from hillwright.planting.suit import barred

EACH = 4  # plants that stand for one kind or use
IN_SHADE = 2  # more of each, for the shade of planned trees
BINDING = 2  # evergreens for the edges, where no wish brings any
# a mixed garden for whoever wishes for nothing yet: invented
MIXED = (
    ("vegetable", 0.25, "entry"),
    ("herb", 0.15, ""),
    ("flower", 0.20, ""),
    ("cover", 0.20, "edge"),
)
CELLS_PER_TREE, CELLS_PER_BERRY = 120, 60


def mixed_garden(cells: int) -> tuple[Wish, ...]:
    """Give the wishes of a mixed garden of so many cells."""
    shares = tuple(Wish(kind, share=share, near=near) for kind, share, near in MIXED)
    trees, berries = cells // CELLS_PER_TREE, cells // CELLS_PER_BERRY
    counted = (Wish("tree", count=trees, at_most=trees), Wish("berry", count=berries))
    return shares + tuple(w for w in counted if w.count)


def check_names(palette: Sequence[Plant], asked: Asked) -> None:
    """Refuse plants, kinds and uses that nobody knows: all of them together.

    Raises
    ------
    OutOfRange
        Each with where it stands, and the nearest names.
    """
    ids = {p.id for p in palette}
    words = ids | set(KINDS) | set(USES)
    named = [(f"planting.plants[{i}]", name, ids) for i, name in enumerate(asked.plants, 1)]
    named += [(f"planting.avoid[{i}]", name, words) for i, name in enumerate(asked.avoid, 1)]
    named += [(f"wish[{i}].plant", w.plant, words) for i, w in enumerate(asked.wishes, 1)]
    named += [(f"pin[{i}].plant", name, ids) for i, (_, _, name) in enumerate(asked.pins, 1)]
    problems: list[Problem] = []
    for where, name, known in named:
        if name not in known:
            by_name = {p.common.lower(): p.id for p in palette}
            if name.lower() in by_name:
                right = f'its name in the list is "{by_name[name.lower()]}"'
            else:
                right = did_you_mean(name, known, "`hillwright plants` lists the plants")
            problems += OutOfRange(where, f'"{name}" is not known', right).problems
    if problems:
        raise OutOfRange.all(problems)


def choose_from(
    palette: Sequence[Plant], asked: Asked, season: Season, sun: Array, soil: float
) -> tuple[tuple[Plant, ...], tuple[Unmet, ...]]:
    """Give the plants that a plan chooses from, and why those that were named cannot be had.

    Parameters
    ----------
    palette : sequence of Plant
        All that are known.
    asked : Asked
        Wishes with plants, kinds and uses that are all known.
    season : Season
        For months of bloom and harvest.
    sun : (n,) array
        Direct light in the growing months [s].
    soil : float
        Depth that roots can use [m].
    """
    by_id = {p.id: p for p in palette}
    none = {w.plant for w in asked.wishes if w.count == 0 or w.share == 0 or w.at_most == 0}
    unwanted = {p.id for p in palette if p.tags() & set(asked.avoid)}
    why = {p.id: barred(p, asked.hardiness, soil, sun) for p in palette}
    shaded = {p.id for p in palette if not barred(p, asked.hardiness, soil, sun, shady=True)}
    shaded -= {name for name, reason in why.items() if not reason}
    must = {w.plant for w in asked.wishes if w.must}
    unmet = []
    named = [*asked.plants, *(name for _, _, name in asked.pins)]
    named += [w.plant for w in asked.wishes if w.plant in by_id and w.count != 0]
    found: dict[str, Plant] = {}
    trees = any(by_id[name].canopy and not why[name] for name in named)
    trees |= any(w.plant == "tree" and (w.count or w.share) for w in asked.wishes)
    for name in dict.fromkeys(named):
        if why[name] and not (trees and name in shaded):
            unmet.append(Unmet(by_id[name].common, why[name], name in must, name))
        elif name not in unwanted:
            found[name] = by_id[name]
    if asked.plants:
        return tuple(found.values()), tuple(unmet)
    suited = [p for p in palette if not why[p.id] and p.id not in unwanted and _plain(p)]
    groups = [w.plant for w in asked.wishes if w.plant not in by_id and (w.count or w.share)]
    if not any(w.share for w in asked.wishes):
        groups.append("slope")  # the rest of the hill is held by roots
    for word in dict.fromkeys(groups):
        mine = [p for p in suited if word in p.tags()]
        if not mine:
            reasons = [why[p.id] for p in palette if word in p.tags() and why[p.id]]
            said = max(set(reasons), key=reasons.count) if reasons else "none is in the list"
            why_none = f"no {word} suits the place: of most, {said}"
            unmet.append(Unmet(word, why_none, word in must, word))
        found |= {p.id: p for p in _several(mine, season, found)}
    free = [p for p in suited if p.id not in found and p.kind != "tree" and not p.tags() & none]
    found |= {p.id: p for p in binding(free, found, asked, season)}
    found |= {p.id: p for p in through_the_year(free, found, asked, season)}
    if any(p.canopy for p in found.values()):
        low = [p for p in palette if p.id in shaded - unwanted and _plain(p) and not p.canopy]
        for word in dict.fromkeys(groups):
            mine = [p for p in low if word in p.tags() and not p.tags() & none]
            found |= {p.id: p for p in _several(mine, season, found)[:IN_SHADE]}
    return tuple(found.values()), tuple(unmet)


def binding(
    free: list[Plant], found: Mapping[str, Plant], asked: Asked, season: Season
) -> list[Plant]:
    """Give evergreens whose roots bind, for the edges, where none that stays low is there yet."""

    def binds(plant: Plant) -> bool:
        return plant.evergreen and "slope" in plant.uses and not plant.canopy

    if asked.weights.edge <= 0 or any(binds(p) for p in found.values()):
        return []
    return _several([p for p in free if binds(p)], season, dict(found))[:BINDING]


def through_the_year(
    free: list[Plant], found: Mapping[str, Plant], asked: Asked, season: Season
) -> list[Plant]:
    """Give plants that bloom, or are picked, in months in which nothing of the rest does."""
    added: dict[str, Plant] = {}
    for wanted, weight, months in (
        (asked.bloom, asked.weights.bloom, bloom_months),
        (asked.harvest, asked.weights.harvest, harvest_months),
    ):
        have = {m for p in (*found.values(), *added.values()) for m in months(p, season)}
        while wanted and weight > 0:
            left = sorted((p for p in free if p.id not in added), key=lambda p: p.id)
            new = [len(set(months(p, season)) - have) for p in left]
            if not any(new):
                break
            # no wide plant for what a small one can do
            scores = [
                n - p.width * p.canopy if n else -np.inf for n, p in zip(new, left, strict=True)
            ]
            best = left[scores.index(max(scores))]
            added[best.id] = best
            have |= set(months(best, season))
    return list(added.values())


def _plain(plant: Plant) -> bool:
    """Tell whether a plant is one to choose unasked: no invader, no soil of its own, no giant."""
    bad = ("nvasive", "Too large", "wide bench", "acid soil")
    return not any(word in plant.caution for word in bad)


def _several(mine: list[Plant], season: Season, taken: dict[str, Plant]) -> list[Plant]:
    """Choose a few that flower and bear through the year, hardy in many zones."""
    blooming = {m for p in taken.values() for m in bloom_months(p, season)}
    bearing = {m for p in taken.values() for m in harvest_months(p, season)}
    some: list[Plant] = []
    while len(some) < EACH and len(some) < len(mine):
        left = sorted((p for p in mine if p not in some), key=lambda p: p.id)
        scores = [_score(p, season, blooming, bearing) for p in left]
        best = left[scores.index(max(scores))]
        some.append(best)
        blooming |= set(bloom_months(best, season))
        bearing |= set(harvest_months(best, season))
    return some


def _score(plant: Plant, season: Season, blooming: set[int], bearing: set[int]) -> float:
    wide = (plant.zones[1] - plant.zones[0]) if plant.zones else 6
    new = len(set(bloom_months(plant, season)) - blooming)
    new += len(set(harvest_months(plant, season)) - bearing)
    roots = 2.0 * (plant.evergreen and "slope" in plant.uses)
    large = max(0.0, plant.pitch - 0.6) * (plant.kind != "tree") + 2.0 * (
        plant.canopy and plant.kind != "tree"
    )
    return new + roots + 0.3 * wide + (plant.status == "verified") - 3.0 * large
