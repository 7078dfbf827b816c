"""The verdict: why to stop, and what must be done for the grid to hold."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.stability.anchorbars import required_factors
from hillwright.stability.anchoring import Held
from hillwright.stability.gridchecks import PEOPLE
from hillwright.stability.load import HillLoad
from hillwright.stability.model import CheckRow, Reason
from hillwright.stability.slopechecks import bare_today, least
from hillwright.stability.thresholds import checklist, stop_reasons
from hillwright.stability.toe import Toe
from hillwright.terrain.model import Surface
from hillwright.wording import factor_text, plural

ENGINEER = "a licensed geotechnical engineer"
_PRACTICE = "common practice, no source"


def site_reasons(answers: Mapping[str, str]) -> tuple[Reason, ...]:
    """Give why the site itself says to stop or to ask somebody."""
    return stop_reasons(answers)


def hill_reasons(
    surface: Surface, layout: Layout, hill: HillLoad, checks: tuple[CheckRow, ...]
) -> tuple[Reason, ...]:
    """Give why the hill, its factors or the size of the work say to stop or to ask somebody."""
    cell = layout.cell
    heights = surface.fall_line[:, 2]
    volume = float(hill.cells.depth.sum()) * cell.width * cell.run
    found = stop_reasons(
        {question.key: "no" for question in checklist()},
        wall_height=cell.depth,
        fill_volume=volume,
        fill_depth=hill.fill_depth,
        slope_height=float(np.ptp(heights)) if len(heights) else None,
        static=max(least(checks, shaken=False), 0.0),
        seismic=max(least(checks, shaken=True), 0.0) if hill.kh > 0 else None,
    )
    if hill.known:
        return found
    what = "nobody has said what the soil is; it is drawn as loose fine sand"
    return (Reason(what, "stop", ENGINEER, _PRACTICE), *found)


def warnings(hill: HillLoad, checks: tuple[CheckRow, ...]) -> tuple[str, ...]:
    """Say what a reader of the factors must know beside them."""
    said = []
    today = bare_today(checks)
    if today < 1:
        said.append(
            "By the strengths that were taken the bare hill would slide as found (factor "
            f"{factor_text(today)}). It stands, so its soil is stronger than that: have it tested "
            "before anything is decided by these factors."
        )
    if not hill.depth_known:
        said.append(
            f"The depth of soil that could slide is not given: {hill.depth:.3f} m is taken, and "
            "slip circles may go deeper. Dig, and write soil.depth."
        )
    return tuple(said)


def grid_reasons(held: Held) -> tuple[Reason, ...]:
    """Give why what the cells hang from says to stop."""
    if not held.trouble:
        return ()
    return (Reason(held.trouble, "stop", ENGINEER, "the factors of data/bars.toml"),)


def measures(
    layout: Layout, holding: Holding, held: Held, toe: Toe | None, checks: tuple[CheckRow, ...]
) -> tuple[str, ...]:
    """Name what must be done for the grid to hold, in the order of the work."""
    found = held.anchoring
    if held.chosen is None:
        return ()
    said = []
    bar = f"No. {found.bar} bars driven {found.length:.3f} m deep"
    if found.test_load:
        said.append(_test(holding, held, bar))
    rows = sorted({int(r) for r in found.staked_rows})
    first = int(found.count[layout.row == 1].sum())
    said.append(
        f"Hang row 1 from {plural(first, 'anchor')}: {bar}, square to the slope, "
        f"{found.spacing:.3f} m apart or wider."
    )
    if rows:
        stakes = int(found.count[layout.row > 1].sum())
        said.append(
            f"Drive {plural(stakes, 'stake')} of the same bars at the upper edges of cells in "
            f"{plural(len(rows), 'further row')} ({_ranges(rows)}), as the plan shows; no clip "
            "then carries more than half of what breaks it."
        )
    if toe is not None and toe.slides:
        said.append(
            "The bottom row would not hold itself if its clips let go: it has stakes of its own."
        )
    said.append("Stake each row before the next one is filled; fill from the bottom row up.")
    if any(PEOPLE in row.what and not row.passed for row in checks):
        said.append(
            f"Nobody stands on rows that hang and are not filled and staked: {holding.people} "
            "people pull harder than clips and bars may carry. Work from a board or ladder tied "
            "to an anchor of its own."
        )
    return (*said, *_wall(holding, checks))


def _test(holding: Holding, held: Held, bar: str) -> str:
    found, need = held.anchoring, required_factors()["pull test"]
    tested = "the test that was made is not enough" if holding.tested_pull else "not tested yet"
    return (
        f"Before anything is hung, pull-test {bar} down the slope in soaked ground, five or more "
        f"over the site ({tested}): none may move below {found.test_load:.0f} N, {need:g} times "
        f"what each must hold. The rules alone credit one with {found.by_rule:.0f} N. Where one "
        "moves sooner, write its load as holding.tested_pull and plan again."
    )


def _wall(holding: Holding, checks: tuple[CheckRow, ...]) -> tuple[str, ...]:
    if holding.wall_strength is None:
        return (
            "Ask the maker of the cells, or load one, whether its downhill wall stands soaked "
            "soil to the rim (the working gives the pressure): its strength is not known "
            "(holding.wall_thickness, holding.wall_strength).",
        )
    if any(row.what.startswith("downhill wall") and not row.passed for row in checks):
        return ("The downhill wall of a cell is too weak for soaked soil: a stiffer cell.",)
    return ()


def _ranges(rows: list[int]) -> str:
    parts: list[list[int]] = []
    for row in rows:
        if parts and row == parts[-1][-1] + 1:
            parts[-1].append(row)
        else:
            parts.append([row])
    return ", ".join(f"{p[0]} to {p[-1]}" if len(p) > 1 else str(p[0]) for p in parts)
