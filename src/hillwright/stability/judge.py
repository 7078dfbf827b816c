"""The verdict: why to stop, and what must be done for the grid to hold."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from hillwright.data import table
from hillwright.layout.model import Layout
from hillwright.stability.anchoring import Held
from hillwright.stability.load import HillLoad
from hillwright.stability.model import CheckRow, Reason
from hillwright.stability.slopechecks import bare_today, least
from hillwright.stability.thresholds import checklist, stop_reasons
from hillwright.terrain.model import Surface
from hillwright.wording import factor_text

ENGINEER = "a licensed geotechnical engineer"
_PRACTICE = "common practice, no source"


def site_reasons(answers: Mapping[str, str]) -> tuple[Reason, ...]:
    """Give why the site itself says to stop or to ask somebody."""
    return stop_reasons(answers)


def hill_reasons(
    surface: Surface,
    layout: Layout,
    hill: HillLoad,
    checks: tuple[CheckRow, ...],
    chance: float,
) -> tuple[Reason, ...]:
    """Give why the hill says to stop or to ask somebody: factors, chance, slope, size of work."""
    cell = layout.cell
    heights = surface.fall_line[:, 2]
    volume = float(hill.cells.depth.sum()) * cell.width * cell.run
    found = stop_reasons(
        {question.key: "no" for question in checklist()},
        wall_height=cell.depth,
        fill_volume=volume,
        fill_depth=hill.fill_depth,
        slope=surface.slope_mean,
        slope_height=float(np.ptp(heights)) if len(heights) else None,
        static=max(least(checks, shaken=False), 0.0),
        seismic=max(least(checks, shaken=True), 0.0) if hill.kh > 0 else None,
    )
    found = (*found, *_chance(chance))
    if hill.known:
        return found
    what = "nobody has said what the soil is; it is drawn as loose fine sand"
    return (Reason(what, "stop", ENGINEER, _PRACTICE), *found)


def _chance(chance: float) -> tuple[Reason, ...]:
    """Hold the chance that the weakest place slides, soaked, against what is tolerated."""
    for row in table("stability_limits")["chance"]:
        if chance > row["over"]:
            condition = row["what"].format(
                found=f"{100 * chance:.0f}", limit=f"{100 * row['over']:g}"
            )
            return (Reason(condition, row["verdict"], row["who"], row["source"]),)
    return ()


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
    if hill.soaked_height < hill.depth * (1 - 1e-9):
        share = 100 * hill.soaked_height / hill.depth
        said.append(
            f"Soaked is taken as water in {share:.0f} % of the soil's depth (soil.soaked), and "
            "none that joins it from the cells: be sure that the hill drains so, or leave that "
            "key out."
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
