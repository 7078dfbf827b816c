"""The working of every figure that somebody may act on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from hillwright.irrigation.emitterlaw import compensating_flow, emitter_flow
from hillwright.irrigation.model import Landing, Needs, Valve
from hillwright.irrigation.supply import Supply, backflow_assembly, losses
from hillwright.irrigation.trials import comb_flow
from hillwright.irrigation.uniformity import emission_uniformity, statistical_uniformity
from hillwright.irrigation.water import application_rate, drained_volume, velocity
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.watering.intake import cycle_and_soak

_COUNT = "count of the plan (exact)"


def workings(
    valves: Sequence[Valve],
    supply: Supply,
    assembly: str,
    needs: Needs,
    layout: Layout,
    landings: Sequence[Landing],
) -> tuple[Working, ...]:
    """Give the workings of all valves, and of what lies before them."""
    found: list[Working] = []
    for v in valves:
        found += _valve(v)
    for landing in landings:
        found += _landing(landing, layout)
    most = max(valves, key=lambda v: v.flow)
    lost = losses(supply, most.flow, assembly)
    left = supply.low - sum(part.head for part in lost)
    found.append(
        Working(
            "irrigation.available",
            "Pressure left for the tubing",
            "static pressure - what stands between the service and the tubing",
            (
                Number("static pressure", supply.low, "m.head"),
                *(Number(part.part, part.head, "m.head") for part in lost),
            ),
            Number("pressure", left, "m.head"),
            "tables of this program; losses of parts are common practice, no source",
            "at low supply and the largest valve's flow",
        )
    )
    top = float(layout.corners[needs.cell].mean(axis=1)[:, 2].max()) + layout.cell.depth
    found.append(
        Working.of(
            "irrigation.backflow",
            backflow_assembly,
            {"highest_outlet": top, "breaker": supply.elevation, "wanted": supply.assembly},
            assembly,
        )
    )
    found.append(
        Working(
            "irrigation.cells",
            "Cells that are watered",
            "n = cells with a plant",
            (),
            Number("count", len(needs.cell), "-"),
            _COUNT,
            needs.said,
        )
    )
    return tuple(found)


def _landing(found: Landing, layout: Layout) -> list[Working]:
    """Give how fast water lands where it lands fastest, and what the soil makes of it."""
    name, wide = f"irrigation.valve{found.valve}", layout.cell.width
    where = f"row {layout.row[found.cell]} cell {layout.number[found.cell]}"
    rule = found.rule or "no printed rule for so gentle a slope"
    given: dict[str, float | int | str]
    given = {"flow": found.flow, "emitter_spacing": wide, "row_spacing": found.ground / wide}
    rate = _of(
        f"{name}.rate", application_rate, given, found.rate, unit="m/s.small",
        note=f"all emitters of {where} over its ground; ground {100 * found.slope:.0f} %; {rule}",
    )  # fmt: skip
    rate = replace(rate, given=tuple(_drip(n) for n in rate.given))
    if not found.texture:
        return [rate]
    held: dict[str, float | int | str]
    held = {"rate": found.spot, "intake": found.intake, "accumulation": found.stands}
    soak = Working.of(
        f"{name}.intake", cycle_and_soak, held, found.longest, unit="s.min",
        note=f"longest run before water stands deeper than {found.texture} may let it on its top",
    )  # fmt: skip
    units = {"rate": "m/s.small", "intake": "m/s.small", "accumulation": "m.water"}
    return [rate, replace(soak, given=tuple(replace(n, unit=units[n.name]) for n in soak.given))]


def _drip(n: Number) -> Number:
    return replace(n, unit="m3/s.drip") if n.name == "flow" else n


# what the inputs of a method read best in
_READ = {
    **dict.fromkeys(("head", "onset"), "m.head"),
    **dict.fromkeys(("nominal", "k", "q_min", "q_avg"), "m3/s.drip"),
    "flow": "m3/s.pipe",
    "bore": "m.small",
}


def _of(
    figure: str,
    function: Callable[..., Any],
    given: dict[str, float | int | str],
    result: float,
    unit: str = "",
    note: str = "",
) -> Working:
    """Give a method's working with pressures and flows as a gauge and a can read them."""
    found = Working.of(figure, function, given, result, unit=unit, note=note)
    read = tuple(replace(n, unit=_READ.get(n.name, "")) for n in found.given)
    return replace(found, given=read)


def _valve(v: Valve) -> list[Working]:
    name = f"irrigation.valve{v.number}"
    worst = int(np.argmin(v.low.outlet_pressure))
    t = v.types[int(v.punches.kind[worst])]
    h = float(v.low.outlet_pressure[worst])
    q = float(v.low.outlet_flow[worst])
    share = v.low.outlet_flow / v.network.outlets.nominal
    many = len(v.punches.node) / max(len(v.plants), 1)
    fast = int(np.argmax(v.low.velocity))
    solved = f"solved in {v.low.rounds} rounds; flows close to {v.low.continuity:.0e} at every node"
    law = compensating_flow if t.compensating else emitter_flow
    given: dict[str, float | int | str]
    if t.compensating:
        given = {"head": h, "nominal": t.nominal, "onset": t.at, "x": t.exponent, "below": 0.5}
    else:
        given = {"head": h, "k": t.nominal / t.at**t.exponent, "x": t.exponent}
    m = comb_flow.method  # type: ignore[attr-defined]
    us = statistical_uniformity.method  # type: ignore[attr-defined]
    return [
        Working(
            f"{name}.flow",
            "Flow of the valve",
            m.equation,
            (
                Number("pressure behind the regulator", v.source[0], "m.head"),
                Number("emitters", len(v.punches.node), "-"),
                Number("nominal flow of all", v.flow, "m3/s.pipe"),
            ),
            Number("flow", float(v.low.flow[0]), "m3/s.pipe"),
            m.source,
            solved,
        ),
        _of(
            f"{name}.weakest",
            law,
            given,
            q,
            unit="m3/s.drip",
            note="the emitter with the least pressure",
        ),
        _of(
            f"{name}.uniformity",
            emission_uniformity,
            {
                "cv": t.variation,
                "emitters_per_plant": max(many, 1.0),
                "q_min": float(share.min()) * t.nominal,
                "q_avg": float(share.mean()) * t.nominal,
            },
            v.uniformity,
            unit="%",
        ),
        Working(
            f"{name}.statistical",
            us.title,
            us.equation,
            (
                Number("emitters", len(share), "-"),
                Number("cv", t.variation, "-"),
                Number("emitters_per_plant", many, "-"),
            ),
            Number("uniformity", v.statistical, "%"),
            us.source,
            method=us.id,
        ),
        Working(
            f"{name}.pressure",
            "Least pressure at an emitter",
            "Darcy-Weisbach by regime; beside it Hazen-Williams, C 150",
            (Number("by Hazen-Williams", v.beside, "m.head"),),
            Number("pressure", float(v.low.outlet_pressure.min()), "m.head"),
            "EPANET 2.2 User Manual (Rossman et al. 2020), Table 3.1 and ch. 12",
            "at low supply; Hazen-Williams is unsafe in drip tubing and only printed to compare",
        ),
        _of(
            f"{name}.velocity",
            velocity,
            {"flow": float(v.low.flow[fast]), "bore": float(v.network.bore[fast])},
            float(v.low.velocity[fast]),
            note="the fastest link",
        ),
        Working.of(
            f"{name}.drained",
            drained_volume,
            {"length": float(v.walked.sum()), "bore": "each its own"},
            v.drained,
            unit="m3.water",
            note="above the lowest emitter; check valves keep it",
        ),
        Working(
            f"{name}.run",
            "Run of the valve on the peak day",
            "all plants get their need and least is wasted, over all run times of 5 minutes",
            (Number("need of its plants", v.demand, "m3.water"),),
            Number("time", v.run, "s.min"),
            "own search, all choices tried",
        ),
        Working(
            f"{name}.routes",
            "Cost of routes against their bound",
            "cheapest blocks of rows with one lateral each, over all stations of the header",
            (Number("bound", v.bound, "-"),),
            Number("cost", v.cost, "-"),
            "own dynamic program; prices of the catalogue",
            f"at most {100 * (v.cost / v.bound - 1):.0f} % over any way of hanging single plants",
        ),
        Working(
            f"{name}.pipe",
            "Cost of header and laterals against their bound",
            "one size to a link, against the split-pipe program",
            (Number("bound", v.pipe_bound, "-"),),
            Number("cost", v.pipe_cost, "-"),
            "Karmeli, Gadish and Meyers 1968 (bound)",
        ),
    ]
