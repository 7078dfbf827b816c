"""The watering program is set to the emitters that are laid."""

from __future__ import annotations

import numpy as np
import pytest
from slopes import hill

from hillwright.irrigation.asked import water_plants
from hillwright.irrigation.program import valves_of
from hillwright.job.drip import DripText, SupplyText


def test_every_drop_of_a_valve_is_some_cells():
    layout = hill(6, 5)
    found = water_plants(layout, None, SupplyText(), DripText(), (), (), 0.1)
    valves = valves_of(found, len(layout.row))
    assert len(valves.names) == len(found.valves) > 0
    for k, valve in enumerate(found.valves):
        mine = valves.valve == k
        # what the emitters give in the solved network, not what is printed on them
        solved = float(valve.low.outlet_flow.sum())
        assert valves.flow[mine].sum() == pytest.approx(solved, rel=1e-9)
        assert solved != pytest.approx(valve.flow, rel=1e-6)
        assert valves.emitters[mine].sum() == len(valve.network.outlets.node)
        assert set(np.flatnonzero(mine)) == set(valve.punches.cell.tolist())
    assert (valves.flow[valves.valve < 0] == 0).all()
