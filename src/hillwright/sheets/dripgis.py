"""The drip network for a map program: every pipe, emitter and fitting with its figures."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from hillwright.irrigation.model import Valve

if TYPE_CHECKING:
    from hillwright.plan import Plan

Layer = tuple[str, Any, dict[str, Any]]


def drip_layers(plan: Plan, place: Callable[[Any], Any]) -> dict[str, Layer]:
    """Give the layers of pipes, emitters and fittings; ``place`` gives the survey's coordinates."""
    valves = plan.irrigation.valves
    return {
        "drip_pipes": _pipes(valves, place),
        "drip_emitters": _emitters(plan, valves, place),
        "drip_valves": _fittings(plan, valves, place),
    }


def _pipes(valves: tuple[Valve, ...], place: Callable[[Any], Any]) -> Layer:
    shapes: list[Any] = []
    fields: dict[str, list[Any]] = {
        k: [] for k in ("valve", "part", "row", "bore_mm", "length_m", "flow_L_h", "velocity_m_s")
    }
    for v in valves:
        at, parent = place(v.at), v.network.parent
        for k in range(1, len(parent)):
            shapes.append(shapely.LineString([at[parent[k]], at[k]]))
            figures = (
                v.number,
                "small tubing" if v.part[k] == "small" else v.part[k],
                int(v.row[k]),
                1e3 * float(v.network.bore[k]),
                float(v.walked[k]),
                3.6e6 * float(v.low.flow[k]),
                float(v.low.velocity[k]),
            )
            for name, figure in zip(fields, figures, strict=True):
                fields[name].append(figure)
    return "LineString Z", shapes, _arrays(fields)


def _emitters(plan: Plan, valves: tuple[Valve, ...], place: Callable[[Any], Any]) -> Layer:
    shapes: list[Any] = []
    fields: dict[str, list[Any]] = {
        k: []
        for k in (
            "valve", "row", "cell", "lateral_row", "side", "hole_at_m", "emitter", "tube_m",
            "pressure_kPa", "gives_L_h",
        )
    }  # fmt: skip
    for v in valves:
        p, at = v.punches, place(v.at)
        for k, node in enumerate(p.node.tolist()):
            shapes.append(shapely.Point(at[node][:2]))
            figures = (
                v.number,
                int(plan.layout.row[p.cell[k]]),
                int(plan.layout.number[p.cell[k]]),
                int(p.lateral[k]),
                p.side[k],
                float(p.distance[k]),
                v.types[int(p.kind[k])].name,
                float(p.tube[k]),
                9.78861 * float(v.low.outlet_pressure[k]),
                3.6e6 * float(v.low.outlet_flow[k]),
            )
            for name, figure in zip(fields, figures, strict=True):
                fields[name].append(figure)
    return "Point", shapes, _arrays(fields)


def _fittings(plan: Plan, valves: tuple[Valve, ...], place: Callable[[Any], Any]) -> Layer:
    """Give tap, valves, take-offs and air relief as points."""
    if not valves:
        return "Point", [], _arrays({"what": [], "valve": [], "row": []})
    rows: list[tuple[Any, str, int, int]] = [(plan.irrigation.tap, "tap", 0, 0)]
    for v in valves:
        header = [k for k, part in enumerate(v.part) if part == "header"]
        rows.append((plan.irrigation.tap, "control valve", v.number, 0))
        top = max(header, key=lambda k: float(v.at[k, 2]))
        rows.append((v.at[top], "air and vacuum relief", v.number, 0))
        taken: dict[int, int] = {}
        for k, part in enumerate(v.part):
            if part == "lateral" and v.part[int(v.network.parent[k])] == "header":
                taken[int(v.row[k])] = int(v.network.parent[k])
        rows += [(v.at[n], "take-off with check valve", v.number, r) for r, n in taken.items()]
    at = place(np.array([xyz for xyz, *_ in rows]))
    return (
        "Point",
        [shapely.Point(xyz[:2]) for xyz in at],
        _arrays(
            {
                "what": [what for _, what, _, _ in rows],
                "valve": [n for _, _, n, _ in rows],
                "row": [r for *_, r in rows],
            }
        ),
    )


def _arrays(fields: dict[str, list[Any]]) -> dict[str, Any]:
    """Keep words as they are, whole numbers whole, and the rest as figures."""
    kinds = {"valve": np.int64, "row": np.int64, "cell": np.int64, "lateral_row": np.int64}
    words = {"part", "side", "emitter", "what"}
    return {
        k: list(v) if k in words else np.array(v, dtype=kinds.get(k, np.float64))
        for k, v in fields.items()
    }
