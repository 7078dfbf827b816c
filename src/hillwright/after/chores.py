"""The chores, each from what the plan has of it: soil, bars, drains, pipes, plants."""

from __future__ import annotations

import numpy as np

from hillwright.after.model import Chore
from hillwright.after.months import before
from hillwright.data import table
from hillwright.fill.model import Fill
from hillwright.irrigation.model import Irrigation
from hillwright.layout.model import Layout
from hillwright.planting.model import Planting
from hillwright.planting.season import month_of
from hillwright.runoff.drainmodel import Drainage
from hillwright.stability.model import Anchoring
from hillwright.watering.model import Watering
from hillwright.wording import plural

Months = tuple[int, ...]
ALL = tuple(range(1, 13))


def source(name: str) -> str:
    """Give a source of the table."""
    found: str = table("upkeep")["source"][name]
    return found


def share(name: str) -> float:
    """Give a share of the table."""
    return float(table("upkeep")["shares"][name])


def _ranges(numbers: list[int]) -> str:
    parts: list[list[int]] = []
    for n in sorted(set(numbers)):
        if parts and n == parts[-1][-1] + 1:
            parts[-1].append(n)
        else:
            parts.append([n])
    return ", ".join(f"{p[0]} to {p[-1]}" if len(p) > 1 else str(p[0]) for p in parts)


def soil_chores(fill: Fill, rainy: Months, spring: int) -> list[Chore]:
    """Give what soil and mulch ask for."""
    found = []
    more = fill.total_loose - fill.total_settled
    if more > 0:
        by_row = "; ".join(
            f"row {r} {loose - settled:.3f} m3"
            for r, loose, settled in zip(
                fill.row.tolist(), fill.row_loose.tolist(), fill.row_settled.tolist(), strict=True
            )
            if loose > settled
        )
        last = rainy[-1]
        found.append(
            Chore(
                "top-up",
                "Top up settled soil to the fill line",
                tuple(dict.fromkeys((rainy[0], last))),
                f"up to {more:.2f} m3 of loose mix where cells were first filled to their line: "
                f"{by_row}",
                "every filled cell",
                "loose soil sinks once it is wet; roots and laterals are bared at the uphill wall",
                source("settling"),
                first_year=True,
            )
        )
        area = float(fill.area[fill.settled > 0].sum())
        found.append(
            Chore(
                "soil-level",
                "Measure how far the soil has sunk, and fill up",
                (spring,),
                f"{area * 0.01:.2f} m3 of settled mix for each 10 mm over all cells",
                "every filled cell",
                "compost in the mix is used up by the years",
                source("practice"),
            )
        )
    lying = float(fill.mulch.sum())
    if lying > 0:
        part = share("mulch_renewed")
        found.append(
            Chore(
                "mulch",
                f"Renew the mulch ({fill.mulch_kind})",
                (spring,),
                f"{part * lying:.2f} m3 once it lies, {100 * part:.0f} % of what was put on",
                "every filled cell, a hand's width off stems",
                "it rots; bare soil dries out and washes away",
                source("practice"),
            )
        )
    return found


def holding_chores(bars: Anchoring, layout: Layout, rainy: Months, frost: Months) -> list[Chore]:
    """Give what bars and clips ask for."""
    if not layout.row.size:
        return []
    first = before(rainy[0])
    count = len(bars.place)
    rows = _ranges(layout.row[bars.place_cell].tolist()) if count else ""
    caution = (
        "Nobody stands below the rows meanwhile. A bar that has moved, a bulge, a crack in the "
        "ground or water where none was: keep everybody off and ask a licensed geotechnical "
        "engineer."
    )
    found = [
        Chore(
            "movement",
            "Look along every row for bulges, gaps, cracks and wet places",
            rainy,
            plural(layout.rows, "row"),
            "all rows, and the ground above and below",
            "a hill that moves shows it first in small things",
            source("terrace"),
            storms=True,
            caution=caution,
        )
    ]
    if not count:
        return found
    found.append(
        Chore(
            "bars",
            "Check every anchor and stake: upright, tight, not lifted",
            rainy[:1],
            plural(count, "bar"),
            f"rows {rows}",
            "the first storms load the soaked soil for the first time",
            source("practice"),
            storms=True,
            caution=caution,
        )
    )
    if frost:
        found.append(
            Chore(
                "bars-thaw",
                "Check every anchor and stake after the frost",
                frost[-1:],
                plural(count, "bar"),
                f"rows {rows}",
                "frost lifts bars, and thawed ground is soft",
                source("thaw"),
            )
        )
    tested = min(count, max(int(share("least_bars")), int(np.ceil(share("tested_bars") * count))))
    load = bars.test_load
    found.append(
        Chore(
            "pull-test",
            "Pull-test bars again in wet ground, others than last year",
            (first,) if len(rainy) > 11 else rainy[:1],
            f"{tested} of {plural(count, 'bar')}" + (f", to {load:.0f} N each" if load else ""),
            f"rows {rows}",
            "steel rusts and ground loosens: what held once is not sure to hold",
            source("practice"),
            caution=caution,
        )
    )
    return found


def drain_chores(drainage: Drainage, rainy: Months) -> list[Chore]:
    """Give what the drains ask for."""
    months = tuple(dict.fromkeys((before(rainy[0]), *rainy)))
    return [
        Chore(
            f"drain-{drain.key}",
            f"Clear the {drain.name}: leaves, soil, growth",
            months,
            f"{drain.length:.1f} m of ditch"
            + (f", {drain.stones:.2f} m3 of stones at its end" if drain.stones else ""),
            f"from its high end to its {drain.end} end",
            "a ditch that is full lets its water down the hill",
            source("terrace"),
            storms=True,
        )
        for drain in drainage.drains
    ]


def pipe_chores(
    irrigation: Irrigation, watering: Watering, frost: Months, spring: int
) -> list[Chore]:
    """Give what the drip network asks for."""
    valves = irrigation.valves
    if not valves:
        return []
    months = [m for m in ALL if watering.program.volume[:, m - 1].sum() > 0] or list(ALL)
    laterals = sum(len(v.carriers) for v in valves)
    emitters = sum(len(v.punches.node) for v in valves)
    middle, end = months[len(months) // 2], months[-1]
    if len(months) == 12:
        start, middle, end = spring, (spring + 3) % 12 + 1, (spring + 6) % 12 + 1
    else:
        start = months[0]
    found = [
        Chore(
            "flush",
            "Open the flush ends, one lateral at a time, until the water runs clear",
            tuple(dict.fromkeys((start, middle, end))),
            plural(laterals, "lateral"),
            "; ".join(f"valve {v.number}: rows {_ranges(list(v.carriers))}" for v in valves),
            "what settles in the tubing plugs emitters",
            source("flushing"),
        ),
        Chore(
            "filter",
            "Rinse the filter screen",
            tuple(months),
            plural(1, "filter"),
            "at the tap",
            "a full filter takes the pressure that the top row needs",
            source("flushing"),
        ),
        Chore(
            "emitters",
            "Walk every row while the water runs: dry stakes, leaks, washed holes",
            tuple(dict.fromkeys((start, middle))),
            plural(emitters, "emitter"),
            "every planted cell",
            "a dry plant dies, a leak soaks the slope",
            source("practice"),
            caution="Shut the water off where the ground moves or water comes out below a row.",
        ),
    ]
    if frost:
        drained = 1000 * sum(v.drained for v in valves)
        found.append(
            Chore(
                "winter",
                "Shut the tap, open valves and flush ends, let the tubing run empty",
                frost[:1],
                f"{drained:.0f} litres run out at the lowest emitters by themselves"
                if drained >= 1
                else "",
                "tap, valves, laterals",
                "water that freezes in them breaks filter, valve and backflow assembly",
                source("practice"),
            )
        )
    if irrigation.assembly and "breaker" not in irrigation.assembly:
        found.append(
            Chore(
                "backflow",
                f"Have the {irrigation.assembly} tested",
                (start,),
                "1 assembly",
                "at the tap",
                "it keeps garden water out of drinking water; many suppliers ask for it every year",
                source("practice"),
            )
        )
    return found


def water_chores(watering: Watering) -> list[Chore]:
    """Give the settings of the controller, month by month."""
    program = watering.program
    found = []
    for m in ALL:
        total = float(program.volume[:, m - 1].sum()) if program.volume.size else 0.0
        if total <= 0:
            continue
        found.append(
            Chore(
                f"controller-{m}",
                "Set the controller for the month",
                (m,),
                f"{1000 * total:.0f} litres in the month",
                plural(len(watering.valves.names), "valve"),
                "plants want little in the cool months and most in the hot ones",
                source("program"),
            )
        )
    return found


def plant_chores(planting: Planting, frost: Months, spring: int) -> list[Chore]:
    """Give what the plants ask for, kind by kind and month by month."""
    there = [k for k in range(len(planting.plants)) if planting.count[k] > 0]
    found = []

    def named(which: list[int]) -> str:
        return "; ".join(f"{planting.plants[k].common} ({int(planting.count[k])})" for k in which)

    for m in ALL:
        picked = [k for k in there if m in planting.harvest_months[k]]
        if picked:
            found.append(
                Chore(
                    f"harvest-{m}", "Harvest", (m,), plural(len(picked), "kind"), named(picked),
                    "what is left rots and draws vermin", source("planting"),
                )
            )  # fmt: skip
        sown = [
            k for k in there
            if planting.plants[k].annual and month_of(planting.windows[k][0]) == m
        ]  # fmt: skip
        if sown:
            found.append(
                Chore(
                    f"sow-{m}", "Sow or set out what lives a year", (m,),
                    plural(int(planting.count[sown].sum()), "plant"), named(sown),
                    "a cell left bare washes out", source("planting"),
                )
            )  # fmt: skip
    woody = [k for k in there if planting.plants[k].life in ("tree", "shrub", "vine")]
    early = [k for k in woody if set(planting.bloom_months[k]) & _around(spring)]
    late = [k for k in woody if k not in early]
    dormant = before(spring, 2)
    if late:
        found.append(
            Chore("prune", "Prune trees and shrubs while they rest", (dormant,),
                  plural(int(planting.count[late].sum()), "plant"), named(late),
                  "light and air come in, and crowns stay off the path", source("practice"))
        )  # fmt: skip
    if early:
        last = max((m for k in early for m in planting.bloom_months[k]
                    if m in _around(spring)), key=lambda m: (m - spring) % 12)  # fmt: skip
        found.append(
            Chore("prune-bloom", "Prune spring bloomers once they have bloomed",
                  (last % 12 + 1,), plural(int(planting.count[early].sum()), "plant"),
                  named(early), "cut before, they do not bloom", source("practice"))
        )  # fmt: skip
    herbs = [k for k in there if planting.plants[k].life in ("perennial", "biennial")]
    if herbs:
        found.append(
            Chore("cut-back", "Cut perennials back, divide what is crowded", (before(spring),),
                  plural(int(planting.count[herbs].sum()), "plant"), named(herbs),
                  "new growth comes from the base", source("practice"))
        )  # fmt: skip
    if there:
        total = int(planting.count[there].sum())
        dead = max(1, int(np.ceil(share("replaced") * total)))
        found.append(
            Chore("replace", "Count the gaps and plant them again", (spring,),
                  f"about {dead} of {plural(total, 'plant')}", "every planted cell",
                  "some die in the first year; an empty cell washes out", source("practice"),
                  first_year=True)
        )  # fmt: skip
        found.append(
            Chore("weed", "Weed, and clear the walking cells", planting.growing, "",
                  plural(planting.walking, "walking cell") if planting.walking else "all cells",
                  "weeds take water and hide holes in the path", source("practice"))
        )  # fmt: skip
    return found


def _around(spring: int) -> set[int]:
    """Give the months of spring bloom: that of the last frost, the one before and the one after."""
    return {before(spring), spring, spring % 12 + 1}
