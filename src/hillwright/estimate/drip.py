"""Parts of the drip network in the order."""

from __future__ import annotations

import numpy as np

from hillwright.estimate.model import TakeoffLine
from hillwright.irrigation.model import Irrigation
from hillwright.layout.model import Layout
from hillwright.method import Number, Working


def drip_lines(irrigation: Irrigation, layout: Layout) -> tuple[list[TakeoffLine], list[Working]]:
    """Give a line for each part; stakes, connectors and emitters with the cells they go to."""
    lines = []
    for part in irrigation.parts:
        cells: tuple[tuple[int, int], ...] = ()
        if part.item.startswith(("emitter", "stake", "punched")):
            kind = part.item.removeprefix("emitter, ") if part.item.startswith("emitter") else ""
            cells = _cells(irrigation, layout, kind)
        lines.append(TakeoffLine(part.item, part.count, part.unit, "", cells, part.note))
    emitters = sum(len(v.punches.node) for v in irrigation.valves)
    working = Working(
        "takeoff.emitters",
        "Emitters",
        "n = sum of the emitters of all plants",
        (Number("valves", len(irrigation.valves), "-"),),
        Number("count", emitters, "-"),
        "count of the network (exact)",
    )
    return lines, [working] if lines else []


def _cells(irrigation: Irrigation, layout: Layout, kind: str) -> tuple[tuple[int, int], ...]:
    found = [
        v.punches.cell[[not kind or v.types[int(k)].name == kind for k in v.punches.kind]]
        for v in irrigation.valves
    ]
    which = np.unique(np.concatenate(found))
    return tuple(zip(layout.row[which].tolist(), layout.number[which].tolist(), strict=True))
