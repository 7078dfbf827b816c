"""The working of each figure of the stability room."""

from __future__ import annotations

import numpy as np

from hillwright.job.ground import Holding
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.stability.anchorbars import factor_sources, required_factors
from hillwright.stability.anchoring import Held
from hillwright.stability.anchors import anchor_count
from hillwright.stability.cellwall import cell_wall
from hillwright.stability.criticalcircle import critical_circle
from hillwright.stability.infinite import infinite_slope, wetted_slope
from hillwright.stability.infinite_limits import (
    critical_depth,
    critical_water_height,
    yield_coefficient,
)
from hillwright.stability.load import GROWN, HillLoad
from hillwright.stability.model import FILLINGS, Anchoring, CheckRow, SlipCircle, SlopeMap
from hillwright.stability.probability import infinite_slope_sampled
from hillwright.stability.sliding import cell_pull
from hillwright.stability.toe import Toe, downhill_wall, fill_friction
from hillwright.stability.wall import low_wall


def workings(
    layout: Layout,
    hill: HillLoad,
    holding: Holding,
    found: SlopeMap,
    circles: tuple[SlipCircle, ...],
    held: Held,
    friction: float,
    bottom: Toe | None,
    checks: tuple[CheckRow, ...],
) -> tuple[Working, ...]:
    """Give the working of each figure that a person may act on."""
    rows = [*_layer(hill, found), *_chances(hill, found), *_circles(hill, circles)]
    if held.chosen is not None:
        rows += _cells(layout, hill, held.anchoring, friction)
        rows += _bars(layout, held)
        rows += _walls(layout, hill, held.anchoring, friction, bottom)
        rows += _test(held.anchoring)
    return (*rows, *(_check(row) for row in checks if np.isfinite(row.demand)))


def _check(row: CheckRow) -> Working:
    """Give a check of the grid: what it has over what is asked of it."""
    name = row.what.replace(":", "").replace(",", "").replace(" ", "_")
    given = (
        Number("capacity", row.capacity, row.unit),
        Number("demand", row.demand, row.unit),
        Number("required", row.required, "-"),
    )
    title = f"Factor: {row.what}"
    factor = Number("factor", row.factor, "-")
    figure = f"stability.check.{name}"
    return Working(figure, title, "capacity / demand", given, factor, row.source, row.note)


def _test(found: Anchoring) -> tuple[Working, ...]:
    """Give the load that a pull test must show, where there must be one."""
    if not found.test_load:
        return ()
    heads = found.count > 0
    most = float((found.held[heads] / found.count[heads]).max())
    need = required_factors()["pull test"]
    return (
        Working(
            "stability.pull_test",
            "Load that no tested bar may move at",
            "T = factor x most on one bar; more where rust takes from the bar, in steps of 50 N up",
            (Number("most on one bar", most, "N"), Number("factor", need, "-")),
            Number("load", found.test_load, "N"),
            factor_sources()["pull test"],
            f"No. {found.bar} bar, {found.length:.4f} m in soaked ground; with this load written "
            "as holding.tested_pull the plan lays the same bars",
        ),
    )


def _soil(hill: HillLoad, slope: float) -> dict[str, float | int | str]:
    soil = hill.soil
    return {
        "slope": slope,
        "depth": hill.depth,
        "cohesion": soil.cohesion.best,
        "friction": soil.friction.best,
        "unit_weight": soil.moist.best,
        "saturated_weight": soil.saturated.best,
    }


def _layer(hill: HillLoad, found: SlopeMap) -> list[Working]:
    soil, rows = hill.soil, []
    where = f"{soil.name}: {soil.source} ({soil.status})"
    for name, factors, wet, loaded, kh in (
        ("bare.found", found.bare[0], False, False, 0.0),
        ("bare.soaked", found.bare[1], True, False, 0.0),
        ("cells.soaked", found.filled[1], True, True, 0.0),
        ("cells.shaken", found.filled[2], True, True, hill.kh),
        ("cells.rooted", found.rooted, True, True, 0.0),
    ):
        if name == "cells.shaken" and not hill.kh:
            continue
        i = int(np.argmin(factors))
        slope = float(found.slope[i])
        q = float(hill.surcharges(found.slope[i])[1]) if loaded and found.loaded[i] else 0.0
        given = _soil(hill, slope) | {
            "water_height": hill.soaked_height if wet else min(hill.water_found, hill.depth),
            "surcharge": q,
            "kh": kh,
        }
        if q:
            given["water_above"] = float(hill.head_in_cells(found.slope[i]))
        note = f"least over {len(factors)} places of the outline; {where}"
        if name == "cells.rooted":
            given["root_cohesion"] = hill.root_cohesion
            kind = f"roots of {hill.root_kind}, {GROWN:g} years old" if hill.root_kind else ""
            reach = kind or f"no roots of the table reach {hill.depth:.3f} m"
            note = f"a bonus, never counted to pass a check: {reach}; {note}"
        value = float(factors[i])
        rows.append(Working.of(f"stability.slope.{name}", infinite_slope, given, value, note=note))
    i = int(np.argmin(found.wetted))
    slope = float(found.slope[i])
    given = {
        "slope": slope,
        "wetting_depth": hill.depth,
        "water_ratio": 0.0,
        "cohesion": soil.cohesion.best,
        "friction": soil.friction.best,
        "saturated_weight": soil.saturated.best,
        "surcharge": float(hill.surcharges(found.slope[i])[1]) if found.loaded[i] else 0.0,
    }
    value = float(found.wetted[i])
    rows.append(Working.of("stability.slope.cells.wetted", wetted_slope, given, value))
    return rows


def _chances(hill: HillLoad, found: SlopeMap) -> list[Working]:
    soil, i = hill.soil, found.weakest
    at = _soil(hill, float(found.slope[i]))
    q = float(hill.surcharges(found.slope[i])[1]) if found.loaded[i] else 0.0
    head = float(hill.head_in_cells(found.slope[i])) if found.loaded[i] else 0.0
    c, phi, moist, full = soil.cohesion, soil.friction, soil.moist, soil.saturated
    low, high = np.degrees([phi.low, phi.high])
    spread = (
        f"cohesion {c.low:.0f} Pa to {c.high:.0f} Pa ({c.rule}); friction {low:.1f} deg to "
        f"{high:.1f} deg ({phi.rule}); moist {moist.low:.0f} N/m3 to {moist.high:.0f} N/m3, "
        f"saturated {full.low:.0f} N/m3 to {full.high:.0f} N/m3 ({moist.rule})"
    )
    chance = Working.of(
        "stability.slope.chance",
        infinite_slope_sampled,
        at | {"water_height": hill.soaked_height, "surcharge": q, "water_above": head},
        float(found.chance[i]),
        output="probability",
        unit="%",
        note=f"soaked, with cells, at the weakest place; {spread}",
    )
    bare = {k: v for k, v in at.items() if k != "depth"}
    ratio = hill.soaked_height / hill.depth
    spreads = [
        Working.of(
            f"stability.slope.{output}",
            infinite_slope_sampled,
            at | {"water_height": hill.soaked_height, "surcharge": q, "water_above": head},
            float(getattr(found, output)[i]),
            output=output,
            note=f"soaked, with cells, at the weakest place; {spread}",
        )
        for output in ("p10", "p50", "p90")
    ]
    return [
        chance,
        *spreads,
        Working.of(
            "stability.slope.critical_depth",
            critical_depth,
            bare | {"water_ratio": ratio},
            float(found.critical_depth[i]),
            note="soaked bare soil deeper than this slides at the weakest place",
        ),
        Working.of(
            "stability.slope.critical_water",
            critical_water_height,
            at | {"surcharge": q},
            float(found.critical_water[i]),
            output="height",
            note="water that stands higher over the sliding plane moves the weakest place",
        ),
        Working.of(
            "stability.slope.yield",
            yield_coefficient,
            at | {"water_height": hill.soaked_height, "surcharge": q, "water_above": head},
            float(found.yields_at[i]),
            note="below 0: the weakest place slides soaked without any shaking",
        ),
    ]


def _circles(hill: HillLoad, circles: tuple[SlipCircle, ...]) -> list[Working]:
    soil, rows = hill.soil, []
    for circle in circles:
        state = circle.state.replace(", with ", " ").replace(" ", "-")
        for method, factor in zip(circle.methods, circle.factors, strict=True):
            if not np.isfinite(factor):
                continue
            given: dict[str, float | int | str] = {
                "surface": f"section {circle.name}, {len(circle.line)} points of the ground",
                "water_line": _level(circle, hill),
                "cohesion": soil.cohesion.best,
                "friction": soil.friction.best,
                "unit_weight": soil.moist.best,
                "saturated_unit_weight": soil.saturated.best,
                "kh": hill.kh if "earthquake" in circle.state else 0.0,
                "surcharge": circle.surcharge,
                "water_unit_weight": circle.water_weight,
            }
            base = (
                f"no circle crosses {hill.depth:.3f} m, where the firm ground begins"
                if hill.depth_known
                else "circles may go as deep as they like: the depth of the soil is not known"
            )
            at = ", ".join(f"{v:.3f} m" for v in circle.centre)
            note = (
                f"{circle.state}{', with cells' if circle.loaded else ', bare'}; centre {at} along "
                f"the section and high, radius {circle.radius:.3f} m; {circle.tried:,} circles "
                f"tried; {base}; level ground is carried on beyond both ends of the section"
            )
            name = f"stability.circle.{circle.name}.{state}.{method}"
            value = float(factor)
            rows.append(Working.of(name, critical_circle, given, value, output=method, note=note))
    return rows


def _level(circle: SlipCircle, hill: HillLoad) -> str:
    """Say where the water of a circle stands."""
    if not circle.loaded:
        met = hill.groundwater
        return "none" if met is None else f"{met:.3f} m below the ground"
    over = f", and {circle.head:.3f} m over it in the cells" if circle.head else ""
    return f"{hill.soaked_height:.3f} m over the base of {hill.depth:.3f} m of soil{over}"


def _cells(layout: Layout, hill: HillLoad, found: Anchoring, friction: float) -> list[Working]:
    cell, inside, rows = layout.cell, hill.cells, []
    for k, name in enumerate(("empty", "dry", "soaked", "shaken")):
        if name == "shaken" and not hill.kh:
            continue
        i = int(np.argmax(found.pull[k]))
        given: dict[str, float | int | str] = {
            "slope": float(found.slope[i]),
            "width": cell.width,
            "run": cell.run,
            "fill_depth": float(inside.depth[i]) if k else 0.0,
            "fill_weight": float((inside.soaked if k > 1 else inside.dry)[i]),
            "interface_friction": friction,
            "cell_mass": cell.mass,
            "water_height": float(inside.depth[i]) if k > 1 else 0.0,
            "kh": hill.kh if k == 3 else 0.0,
        }
        note = f"row {layout.row[i]}, cell {layout.number[i]}, which pulls hardest {FILLINGS[k]}"
        per_metre = float(found.pull[k, i]) / cell.width
        for output, value in (("net", float(found.pull[k, i])), ("per_metre", per_metre)):
            figure = f"stability.pull.{name}" + (".metre" if output == "per_metre" else "")
            rows.append(Working.of(figure, cell_pull, given, value, output=output, note=note))
    weight = float(found.weight[2].sum())
    rows.append(
        Working(
            "stability.weight",
            "Weight that the hill carries, soaked",
            "sum over the cells of fill and box",
            (Number("cells", len(layout.row), "-"),),
            Number("weight", weight, "N"),
            "counted from this plan",
        )
    )
    return rows


def _bars(layout: Layout, held: Held) -> list[Working]:
    found, chosen = held.anchoring, held.chosen
    assert chosen is not None
    heads = np.flatnonzero(found.hangs)
    i = heads[int(np.argmax(found.held[heads] / found.count[heads]))]
    width = layout.cell.width
    given: dict[str, float | int | str] = {
        "force_per_metre": float(found.held[i]) / width,
        "width": width,
        "allowable": chosen.allowable,
    }
    made = anchor_count(float(found.held[i]) / width, width, chosen.allowable)
    note = (
        f"at row {layout.row[i]}, cell {layout.number[i]}, whose bars carry most; No. {found.bar} "
        f"bars, {found.length:.3f} m deep"
    )
    count = int(max(made.anchors, found.count[i]))
    rows = [
        Working.of(
            "stability.bars.at_cell", anchor_count, given, count, output="anchors", note=note
        ),
        Working(
            "stability.bars",
            "Anchors and stakes",
            "sum of the bars of all cells that hang from bars of their own",
            (Number("cells with bars", len(heads), "-"),),
            Number("bars", int(found.count.sum()), "-"),
            "counted from this plan",
        ),
    ]
    return rows


def _walls(
    layout: Layout, hill: HillLoad, found: Anchoring, friction: float, bottom: Toe | None
) -> list[Working]:
    cell, slope, rows = layout.cell, float(found.slope.max()), []
    if not hill.cells.at_wall:
        return []
    inside = downhill_wall(cell, hill, slope)
    given: dict[str, float | int | str] = {
        "width": cell.width,
        "run": cell.run,
        "depth": hill.cells.at_wall,
        "slope": slope,
        "unit_weight": hill.mix_soaked,
        "friction": fill_friction(),
        "water_height": hill.cells.at_wall,
    }
    for output in ("pressure", "moment"):
        value = float(getattr(inside, output))
        note = "steepest cell, soaked to the rim"
        figure = f"stability.wall.{output}"
        rows.append(Working.of(figure, cell_wall, given, value, output=output, note=note))
    if bottom is not None and bottom.wall is not None:
        given = {
            "height": hill.cells.at_wall,
            "base": cell.run,
            "block_weight": hill.mix_dry,
            "retained_weight": hill.mix_soaked,
            "retained_friction": fill_friction(),
            "base_friction": friction,
            "backfill": bottom.slope,
            "tilt": bottom.slope,
        }
        for output in ("sliding", "overturning"):
            value = float(getattr(bottom.wall, output))
            note = "bottom row by itself, as if its clips had let go"
            figure = f"stability.toe.{output}"
            rows.append(Working.of(figure, low_wall, given, value, output=output, note=note))
    return rows
