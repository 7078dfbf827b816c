"""The palette: what may grow, from the table of plants and the person's own rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.data import table
from hillwright.errors import OutOfRange, did_you_mean

INCH, HOUR = 0.0254, 3600.0
KINDS = ("tree", "berry", "vegetable", "herb", "flower", "cover")
USES = ("edible", "herb", "pollinator", "slope", "step", "evergreen")
CANOPY = (
    1.2  # wider than this a plant spreads over its neighbours instead of taking their cells [m]
)
ROOM = 0.9  # cells that a canopy plant's roots have to themselves, each way [m]


@dataclass(frozen=True, slots=True)
class Plant:
    """One plant of the palette: SI inside, months 1 to 12 of the northern hemisphere."""

    id: str
    common: str
    botanical: str
    kind: str
    uses: tuple[str, ...]
    life: str
    sun: str
    spacing: tuple[float, float]  # between plants [m]
    height: tuple[float, float]  # mature [m]
    spread: tuple[float, float]  # mature [m]
    depth: float  # of soil that its roots must have [m]
    factor: float  # share of reference evapotranspiration that it wants [-]
    zones: tuple[int, int] | None  # hardiness, coldest and warmest; None = not told
    bloom: tuple[int, ...]
    harvest: tuple[int, ...]
    days: tuple[int, int] | None  # from sowing or setting out to harvest
    frost: str  # "tender", "half-hardy", "hardy"; "" where it is planted once and stays
    evergreen: bool
    mix: str
    caution: str
    source: str
    status: str

    @property
    def annual(self) -> bool:
        """It is sown or set out every year."""
        return self.life == "annual"

    @property
    def width(self) -> float:
        """Mature spread that the plan works with: the middle of its range [m]."""
        return (self.spread[0] + self.spread[1]) / 2

    @property
    def tall(self) -> float:
        """Mature height that its shade is worked out with: the middle of its range [m]."""
        return (self.height[0] + self.height[1]) / 2

    @property
    def pitch(self) -> float:
        """Distance to the next plant of its kind: spread for what stays woody, else spacing [m]."""
        woody = self.life in ("tree", "shrub", "vine")
        return self.width if woody else (self.spacing[0] + self.spacing[1]) / 2

    @property
    def canopy(self) -> bool:
        """It spreads over its neighbours, and keeps its spread from others that do."""
        return self.life in ("tree", "shrub", "vine") and self.width > CANOPY

    def tags(self) -> set[str]:
        """Words that a wish may name it by."""
        own = {self.id, self.kind, *self.uses}
        return own | ({"evergreen"} if self.evergreen else set())


@dataclass(frozen=True, slots=True)
class Footprint:
    """The cells that one planting of a plant takes, and how many plants stand in them."""

    across: int
    down: int
    plants: int


def footprint(plant: Plant, width: float, run: float) -> Footprint:
    """Give the block of cells that a plant takes.

    A small plant shares its cell with others of its kind at its own spacing both ways; a wide one
    takes as many cells as it spreads over; one with a canopy takes room for its roots only.
    """
    if plant.canopy:
        return Footprint(_cells(ROOM, width), _cells(ROOM, run), 1)
    pitch = plant.pitch
    if pitch <= max(width, run) * 1.25:
        fit = max(1, int(width / pitch + 0.25)) * max(1, int(run / pitch + 0.25))
        return Footprint(1, 1, fit)
    return Footprint(_cells(pitch, width), _cells(pitch, run), 1)


def _cells(length: float, cell: float) -> int:
    return max(1, int(np.ceil(length / cell - 0.35)))


@cache
def shipped() -> tuple[Plant, ...]:
    """Give the plants of the program's own table."""
    return tuple(_plant(row) for row in table("plants")["plant"])


def palette(own: Iterable[Mapping[str, Any]] = ()) -> tuple[Plant, ...]:
    """Put the person's own rows over the table: a known id overrides, a new one is added.

    Parameters
    ----------
    own : iterable of mapping
        Rows in the table's own keys; what a row leaves out comes from the table.

    Raises
    ------
    OutOfRange
        A new plant without what the plan must know, or words that nobody knows.
    """
    if not own:
        return shipped()
    rows = {row["id"]: row for row in table("plants")["plant"]}
    problems = []
    for line in own:
        base = rows.get(line["id"], {})
        merged = {**base, **line}
        where = str(line.get("where", f"plant {line['id']}"))
        merged.setdefault("source", f"the job's own palette ({where})")
        if base and set(line) - {"id", "where"}:
            merged["source"] = f"{base['source']}; changed by {where}"
        merged.setdefault("status", "own")
        if missing := [k for k in _NEEDED if k not in merged]:
            said = f"a new plant without {', '.join(missing)}"
            problems.append(OutOfRange(where, said, "fill these columns in").problems[0])
            continue
        problems += _words(merged, where)
        rows[line["id"]] = merged
    if problems:
        raise OutOfRange.all(problems)
    return tuple(_plant(row) for row in rows.values())


_NEEDED = ("common", "kind", "life", "sun", "spacing_in", "height_in", "spread_in")
_LIVES = ("annual", "biennial", "perennial", "shrub", "vine", "tree")
# what a row of a person's own need not say: common practice by kind, no source [in]
_DEPTH_IN = {"tree": 36, "berry": 18, "herb": 8, "flower": 10, "cover": 12, "vegetable": 12}


def _words(row: Mapping[str, Any], where: str) -> list[Any]:
    suns = tuple(s["word"] for s in table("plants")["sun"])
    frosts = ("", *(f["word"] for f in table("plants")["frost"]))
    found: list[Any] = []
    known = {"kind": KINDS, "life": _LIVES, "sun": suns, "frost": frosts}
    for key, words in known.items():
        if key in row and row[key] not in words:
            right = did_you_mean(
                str(row[key]), words, f"write one of {', '.join(filter(None, words))}"
            )
            found += OutOfRange(f"{where}, {key}", f"{row[key]!r} is not known", right).problems
    if row.get("life") == "annual" and not row.get("frost"):
        what = "an annual that does not say what frost it stands"
        found += OutOfRange(f"{where}, frost", what, "write tender, half-hardy or hardy").problems
    return found


def _plant(row: Mapping[str, Any]) -> Plant:
    def pair(key: str) -> tuple[float, float]:
        low, high = row[key]
        return low * INCH, high * INCH

    uses = tuple(row.get("uses", ()))
    zones, days = row.get("usda_zones"), row.get("days_to_maturity")
    return Plant(
        id=row["id"],
        common=row["common"],
        botanical=row.get("botanical", ""),
        kind=row["kind"],
        uses=uses,
        life=row["life"],
        sun=row["sun"],
        spacing=pair("spacing_in"),
        height=pair("height_in"),
        spread=pair("spread_in"),
        depth=float(row.get("depth_in", _DEPTH_IN.get(row["kind"], 12))) * INCH,
        factor=float(row.get("plant_factor", 0.8)),
        zones=(int(zones[0]), int(zones[1])) if zones else None,
        bloom=tuple(row.get("bloom_months", ())),
        harvest=tuple(row.get("harvest_months", ())),
        days=(int(days[0]), int(days[1])) if days else None,
        frost=row.get("frost", ""),
        evergreen=bool(row.get("evergreen", False)),
        mix=row.get("mix", "planting mix"),
        caution=row.get("caution", ""),
        source=row["source"],
        status=row["status"],
    )


@cache
def sun_range(word: str) -> tuple[float, float]:
    """Give the hours of direct sun a day that a word stands for, least and most [s]."""
    row = next(s for s in table("plants")["sun"] if s["word"] == word)
    return row["least_h"] * HOUR, row["most_h"] * HOUR


def water_classes() -> tuple[str, ...]:
    """Give the words for thirst, the least first."""
    return tuple(str(row["word"]) for row in table("plants")["water"])


def water_class(factor: float) -> int:
    """Give the class of thirst of a plant factor, 0 is the least."""
    rows = table("plants")["water"]
    return next(k for k, row in enumerate(rows) if factor <= row["most_factor"])


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """The p plants that a plan chooses from, as arrays."""

    plants: tuple[Plant, ...]
    across: Index  # (p,) cells of one planting
    down: Index  # (p,)
    count: Index  # (p,) plants in it
    water: Index  # (p,) class of thirst
    canopy: Mask  # (p,)
    width: Array  # (p,) mature spread [m]
    bloom: Mask  # (p, 12)
    harvest: Mask  # (p, 12)


def candidates(
    plants: Iterable[Plant],
    width: float,
    run: float,
    bloom: Mapping[str, tuple[int, ...]],
    harvest: Mapping[str, tuple[int, ...]],
) -> Candidates:
    """Gather plants as arrays; bloom and harvest months are those of the site, by plant id."""
    listed = tuple(plants)
    feet = [footprint(p, width, run) for p in listed]

    def months(of: Mapping[str, tuple[int, ...]]) -> Mask:
        found = np.zeros((len(listed), 12), bool)
        for i, p in enumerate(listed):
            found[i, [m - 1 for m in of.get(p.id, ())]] = True
        return frozen(found)

    return Candidates(
        listed,
        frozen(np.array([f.across for f in feet], np.intp)),
        frozen(np.array([f.down for f in feet], np.intp)),
        frozen(np.array([f.plants for f in feet], np.intp)),
        frozen(np.array([water_class(p.factor) for p in listed], np.intp)),
        frozen(np.array([p.canopy for p in listed], bool)),
        frozen(np.array([p.width for p in listed], float)),
        months(bloom),
        months(harvest),
    )
