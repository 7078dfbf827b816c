"""What must be done for the grid to hold, in words and in the order of the work."""

from __future__ import annotations

import math

from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import required_factors
from hillwright.stability.anchoring import Held
from hillwright.stability.gridchecks import AFTER, PEOPLE, people_allowed
from hillwright.stability.load import HillLoad
from hillwright.stability.model import CheckRow
from hillwright.stability.toe import Toe
from hillwright.stability.walking import WayToWalk, way_to_walk
from hillwright.wording import plural


def measures(
    layout: Layout,
    holding: Holding,
    hill: HillLoad,
    held: Held,
    toe: Toe | None,
    checks: tuple[CheckRow, ...],
    walked: tuple[int, ...] = (),
) -> tuple[str, ...]:
    """Name what must be done; each check of the grid that fails has its measure here.

    ``walked`` are the rows with walking cells, where people stand once the cells are filled.
    """
    found = held.anchoring
    if held.chosen is None:
        return ()
    # four decimals: a figure that is whole in inches
    bar = f"No. {found.bar} bars driven {found.length:.4f} m deep"
    said = [_test(holding, held, bar)] if found.test_load else []
    said += _bars(layout, held, bar)
    if toe is not None and toe.slides:
        said.append(
            "The bottom row would not hold itself if its clips let go: it has stakes of its own."
        )
    if toe is not None and toe.sinks:
        said.append(
            "The ground under the bottom row, soaked and at its weakest, carries too little or "
            "the row tips: set it on a level bench cut into firm ground, as wide as a cell, and "
            "have that ground looked at."
        )
    said.append(
        "Every row hangs and is staked before soil goes in. Fill from the top row down, and let "
        "nobody stand straight below."
    )
    said += _people(layout, holding, held, checks, walked)
    if hill.kh > 0:
        said.append(
            f"The pull of soaked cells with an earthquake of {hill.kh:g} is held by clips and bars "
            "(at three quarters, as the required factors are). The bottom row by itself and the "
            "cells' walls are checked at rest only."
        )
    return (*said, *_wall(holding, checks))


def _bars(layout: Layout, held: Held, bar: str) -> list[str]:
    found = held.anchoring
    rows = sorted({int(r) for r in found.staked_rows})
    first = int(found.count[layout.row == 1].sum())
    said = [
        f"Hang row 1 from {plural(first, 'anchor')}: {bar}, square to the slope. At a cell with "
        "one bar it stands at the middle of the upper edge; two stand a quarter of the edge from "
        "its ends, three a sixth from its ends and at the middle."
    ]
    if rows:
        stakes = int(found.count[layout.row > 1].sum())
        said.append(
            f"Drive {plural(stakes, 'stake')} of the same bars at the upper edges of cells in "
            f"{plural(len(rows), 'further row')} ({_ranges(rows)}), as the plan shows; no clip "
            "then carries more than half of what breaks it."
        )
    return said


def _test(holding: Holding, held: Held, bar: str) -> str:
    found, need = held.anchoring, required_factors()["pull test"]
    tested = "the test that was made is not enough" if holding.tested_pull else "not tested yet"
    return (
        f"Before anything is hung, pull-test {bar} down the slope in soaked ground, five or more "
        f"over the site ({tested}): none may move below {found.test_load:.0f} N, {need:g} times "
        f"what each must hold and more where rust takes from it. The rules alone credit one with "
        f"{found.by_rule:.0f} N. Write the load at which the first one moves as "
        "holding.tested_pull and plan again."
    )


def _people(
    layout: Layout, holding: Holding, held: Held, checks: tuple[CheckRow, ...],
    walked: tuple[int, ...],
) -> list[str]:  # fmt: skip
    found = held.anchoring
    assert held.chosen is not None
    fails = {when: any(when in r.what and not r.passed for r in checks) for when in (PEOPLE, AFTER)}
    said = []
    board = math.ceil(2 * found.person / 50) * 50
    instead = (
        f"Work from a board or ladder on a line of its own, tied above the cells to what holds "
        f"{board:.0f} N for each person on it"
    )
    if fails[PEOPLE]:
        said.append(
            f"Nobody stands on rows that hang empty: {plural(holding.people, 'person', 'people')} "
            f"would pull harder than clips and bars may carry. {instead}."
        )
    if fails[AFTER]:
        many = people_allowed(layout, holding, found, held.chosen.allowable, walked)
        who = f"no more than {plural(many, 'person', 'people')} at once" if many else "nobody"
        said.append(
            f"On filled rows too: {who} on one row, to plant, to weed or to pick. {instead}."
        )
        if walked:
            rows = f"{plural(len(walked), 'row')} ({_ranges(list(walked))})"
            said.append(
                f"The planting has walking cells in {rows}: let no more than "
                f"{plural(many, 'person', 'people')} stand on any one of them at once."
                if many
                else f"The planting has walking cells in {rows}, and these rows carry nobody: keep "
                f"off them and work from the board. {_way(layout, holding, held, walked)}"
            )
    return said


def _way(layout: Layout, holding: Holding, held: Held, walked: tuple[int, ...]) -> str:
    """Say what it would take to walk there."""
    way = way_to_walk(layout, holding, held, walked)
    if way is None:
        return "Neither closer bars nor stronger clips would hold one person there."
    who = plural(way.people, "person", "people")
    bars = (
        f"{way.total} No. {way.bar} bars {way.length:.4f} m deep in row 1 and "
        f"{plural(way.rows, 'further row')} ({_compared(way)})"
    )
    test = f", if a wet pull test shows {way.test:.0f} N" if way.test else ""
    key = f"holding.walkers = {way.people}"
    if not way.clip:
        return f"For {who} at once on a row it takes {bars}{test}: write {key}."
    return (
        f"For {who} at once on a row it takes clips that hold {way.clip:.0f} N each (those of the "
        f"job hold {holding.clip_strength:.0f} N), and {bars}{test}: have the clips shown to hold "
        f"that, then write it as holding.clip_strength, with {key}."
    )


def _compared(way: WayToWalk) -> str:
    if not way.more:
        return "as many as now"
    return f"{abs(way.more)} {'more' if way.more > 0 else 'fewer'} than now"


def _wall(holding: Holding, checks: tuple[CheckRow, ...]) -> tuple[str, ...]:
    if holding.wall_strength is None:
        return (
            "Ask the maker of the cells, or load one, whether its downhill wall stands soaked "
            "soil to the rim (the working gives the pressure): its strength is not known "
            "(holding.wall_thickness, holding.wall_strength).",
        )
    if any(row.what.startswith("downhill wall") and not row.passed for row in checks):
        return ("The downhill wall of a cell is too weak for soaked soil: use a stiffer cell.",)
    return ()


def _ranges(rows: list[int]) -> str:
    parts: list[list[int]] = []
    for row in rows:
        if parts and row == parts[-1][-1] + 1:
            parts[-1].append(row)
        else:
            parts.append([row])
    return ", ".join(f"{p[0]} to {p[-1]}" if len(p) > 1 else str(p[0]) for p in parts)
