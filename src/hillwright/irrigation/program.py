"""The valves and flows of the laid network, as the watering program is set to them."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import frozen
from hillwright.irrigation.model import Irrigation
from hillwright.watering.model import Valves


def valves_of(found: Irrigation, cells: int) -> Valves:
    """Give which valve waters which cell, and how fast, of the network as designed.

    Parameters
    ----------
    found : Irrigation
        The network.
    cells : int
        Of the layout.

    Returns
    -------
    Valves
        Flows as the network was solved at the low supply, so that the minutes are enough on a bad
        day; -1 for a cell that no emitter stands in.
    """
    valve = np.full(cells, -1, np.intp)
    flow, emitters = np.zeros(cells), np.zeros(cells)
    for k, each in enumerate(found.valves):
        outlets, punches = each.network.outlets, each.punches
        at_node = np.zeros(len(each.network.parent))
        np.add.at(at_node, outlets.node, each.low.outlet_flow)
        # several emitters of a cell may hang on one node: each carries its own share
        shared = np.bincount(punches.node, minlength=len(at_node))
        np.add.at(flow, punches.cell, at_node[punches.node] / shared[punches.node])
        np.add.at(emitters, punches.cell, 1.0)
        valve[punches.cell] = k
    names = tuple(f"valve {v.number}: {v.zone}" for v in found.valves)
    return Valves(names, frozen(valve), frozen(flow), frozen(emitters))
