"""The tables, filled from the rooms."""

from __future__ import annotations

from typing import Any

import numpy as np

from hillwright.document import tables as t
from hillwright.document.base import plain, read
from hillwright.irrigation.model import Irrigation, Valve
from hillwright.planting.model import USE_WORDS
from hillwright.rooms import Rooms
from hillwright.terrain.heightfield import HeightField

SOAKED = 2  # place in FILLINGS of the stability room


def tables(rooms: Rooms) -> t.Tables:
    """Give the large arrays of a plan."""
    setout, held, bars = rooms.setout, rooms.stability.map, rooms.stability.anchoring
    names = setout.line_name or tuple(f"R{r}" for r in setout.row.tolist())
    pipes, emitters = _drip(rooms.irrigation)
    return t.Tables(
        cells=_cells(rooms),
        rows=_rows(rooms),
        lines=read(t.LineTable, setout, name=names),
        stakes=t.StakeTable(
            name=list(setout.stake_name), at_m=plain(setout.stake), note=list(setout.stake_note)
        ),
        bars=t.BarTable(at_m=plain(bars.place), cell=plain(bars.place_cell)),
        pipes=pipes,
        emitters=emitters,
        slope=read(
            t.SlopeTable,
            held,
            at_m=held.xy,
            found=held.bare[0],
            soaked=held.bare[1],
            cells_soaked=held.filled[1],
        ),
        ground=_ground(rooms),
    )


def _rows(rooms: Rooms) -> t.RowTable:
    fill, row = rooms.fill, rooms.layout.row
    return read(
        t.RowTable,
        fill,
        cells=[int((row == r).sum()) for r in fill.row],
        soil_settled_m3=fill.row_settled,
        soil_loose_m3=fill.row_loose,
        mulch_m3=fill.row_mulch,
        soaked_kg=fill.row_saturated,
    )


def _cells(rooms: Rooms) -> t.CellTable:
    layout, fill, planting = rooms.layout, rooms.fill, rooms.planting
    bars, watering, n = rooms.stability.anchoring, rooms.watering, len(rooms.layout.row)
    leaves = rooms.runoff.leaves
    return read(
        t.CellTable,
        layout,
        void_m=layout.gap,
        use=[USE_WORDS[u] for u in planting.use.tolist()],
        plant=planting.plant,
        hydrozone=planting.hydrozone,
        valve=watering.valves.valve,
        mix=[fill.mixes[m].name for m in fill.mix.tolist()],
        soil_settled_m3=fill.settled,
        soil_loose_m3=fill.loose,
        mulch_m3=fill.mulch,
        lip_m=fill.lip,
        soaked_kg=fill.saturated,
        sun_s=planting.sun,
        water_m3=watering.demand.daily,
        water_peak_m3=watering.demand.peak,
        pull_n=bars.pull[SOAKED],
        held_n=bars.held,
        bars=bars.count,
        leaves_m3=leaves.sum(axis=0) if leaves.size else np.zeros(n),
    )


def _drip(irrigation: Irrigation) -> tuple[t.PipeTable, t.EmitterTable]:
    pipes = {key: list[Any]() for key in t.PipeTable.model_fields}
    emitters = {key: list[Any]() for key in t.EmitterTable.model_fields}
    for valve in irrigation.valves:
        base = len(pipes["valve"])
        for key, column in _pipes(valve, base).items():
            pipes[key] += column
        for key, column in _emitters(valve, base).items():
            emitters[key] += column
    return t.PipeTable(**pipes), t.EmitterTable(**emitters)


def _pipes(valve: Valve, base: int) -> dict[str, list[Any]]:
    parent = valve.network.parent
    return {
        "valve": [valve.number] * len(parent),
        "parent": plain(np.where(parent < 0, -1, parent + base)),
        "at_m": plain(valve.at),
        "part": list(valve.part),
        "length_m": plain(valve.walked),
        "bore_m": plain(valve.network.bore),
        "head_m": plain(valve.low.pressure),
        "flow_m3_s": plain(valve.low.flow),
    }


def _emitters(valve: Valve, base: int) -> dict[str, list[Any]]:
    p = valve.punches
    # the solution's emitters are in the order of the network's outlets
    flow = dict(zip(valve.network.outlets.node.tolist(), valve.low.outlet_flow, strict=True))
    return {
        "valve": [valve.number] * len(p.cell),
        "node": plain(p.node + base),
        "cell": plain(p.cell),
        "kind": [valve.types[k].name for k in p.kind.tolist()],
        "row": plain(p.lateral),
        "side": list(p.side),
        "distance_m": plain(p.distance),
        "flow_m3_s": [plain(flow.get(n)) for n in p.node.tolist()],
    }


def _ground(rooms: Rooms) -> t.GroundTable:
    surveyed, graded = rooms.surface.ground, rooms.surface.graded
    if not isinstance(surveyed, HeightField) or not isinstance(graded, HeightField):
        raise TypeError("the ground of a plan is a field of heights")
    ny, nx = graded.heights.shape
    known = rooms.surface.supported
    heights = (np.where(known, field.heights, np.nan) for field in (surveyed, graded))
    return t.GroundTable(
        x_m=plain(graded.x0 + graded.step * np.arange(nx)),
        y_m=plain(graded.y0 + graded.step * np.arange(ny)),
        **dict(zip(("surveyed_m", "graded_m"), map(plain, heights), strict=True)),
    )
