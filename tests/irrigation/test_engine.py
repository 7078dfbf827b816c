"""The same networks through the public EPANET engine: flows within 0.01 % at every emitter."""

from __future__ import annotations

import numpy as np
import pytest
from engine import run

from hillwright.irrigation.combs import comb, comb_network
from hillwright.irrigation.network import Network, Outlets
from hillwright.irrigation.solve import WATER_20C, prepare, solve
from hillwright.sheets.inp import inp


def network(rows, emitters, drop, exponent=0.5, fall=0.0, manifold=0.04, spacing=0.3):
    parts = comb(rows, emitters, spacing, 0.0136, manifold, 0.6, drop, 10.0, fall)
    return comb_network(parts, rows, 2 / 3.6e6 / 10**exponent, exponent)


def hold(net, source_head, tmp_path):
    """Solve, write, run the engine, and give the worst relative difference of an emitter flow."""
    found = solve(prepare(net), source_head)
    path = tmp_path / "net.inp"
    path.write_text(inp(net, found, "test", WATER_20C))
    heads, flows = run(path, len(net.parent))
    # what leaves at a node: its own link less the links behind it
    leaves = flows.copy()
    np.add.at(leaves, net.parent[1:], -flows[1:])
    mine = np.bincount(net.outlets.node, found.outlet_flow, len(net.parent))
    at = mine > 0
    assert np.abs(heads - found.head).max() < 2e-3
    return float(np.abs(leaves[at] / mine[at] - 1).max())


@pytest.mark.parametrize(
    ("rows", "emitters", "drop", "exponent", "manifold", "head"),
    [
        (1, 10, 0.0, 0.5, 0.0136, 15),
        (5, 20, 0.0, 0.5, 0.0208, 12),  # flat
        (12, 25, 0.45, 0.5, 0.026, 15),  # steep, downhill
        (12, 25, -0.45, 0.5, 0.026, 15),  # steep, uphill
        (12, 25, 0.45, 1.0, 0.026, 15),  # laminar emitters
        (12, 25, -0.45, 0.05, 0.026, 15),  # nearly compensating
        (100, 100, 0.05, 0.5, 0.1, 20),  # 10,000 emitters
        (100, 100, 0.05, 0.05, 0.1, 20),
    ],
)
def test_the_public_engine_gives_the_same_flow_at_every_emitter(
    rows, emitters, drop, exponent, manifold, head, tmp_path
):
    assert hold(network(rows, emitters, drop, exponent, 0.01, manifold), head, tmp_path) < 1e-4


def test_small_tubing_to_every_emitter_is_told_the_same(tmp_path):
    base = network(6, 10, 0.4)
    n = len(base.parent)
    at = base.outlets.node
    m = len(at)

    def both(values, more):
        return np.concatenate([values, np.full(m, more)])

    whips = Network(
        np.concatenate([base.parent, at]),
        np.concatenate([base.elevation, base.elevation[at] + 0.2]),
        both(base.length, 0.6),
        both(base.bore, 0.0043),
        both(base.roughness, 1.5e-6),
        both(base.minor, 1.5),
        Outlets.power(np.arange(n, n + m), 1.2 / 3.6e6, 0.5),
    )
    assert hold(whips, 14.0, tmp_path) < 1e-4


def test_compensating_emitters_over_and_under_their_onset_are_told_the_same(tmp_path):
    base = network(10, 8, -0.9)
    mixed = Network(
        base.parent,
        base.elevation,
        base.length,
        base.bore,
        base.roughness,
        base.minor,
        Outlets.compensating(base.outlets.node, 2 / 3.6e6, 7.0),
    )
    found = solve(prepare(mixed), 10.0)
    assert 0 < (found.outlet_pressure < 7.0).sum() < 80
    assert hold(mixed, 10.0, tmp_path) < 1e-4
