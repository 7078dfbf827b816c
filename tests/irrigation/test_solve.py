"""The tree solver: exact in continuity, even-handed, and never less flow from more pressure."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from trees import trees

from hillwright.errors import OutOfRange
from hillwright.irrigation.careful import descend
from hillwright.irrigation.chains import Chains
from hillwright.irrigation.combs import comb, comb_network
from hillwright.irrigation.losses import PowerLaw
from hillwright.irrigation.network import Network, Outlets
from hillwright.irrigation.solve import _eliminate, prepare, solve

HEADS = st.floats(1.0, 40.0)


@settings(max_examples=60, deadline=None)
@given(net=trees(), head=HEADS)
def test_what_comes_into_a_node_leaves_it(net, head):
    found = solve(prepare(net), head)
    assert found.continuity < 1e-9
    assert found.energy < 1e-6
    assert (found.outlet_flow >= 0).all()
    assert (np.diff(found.head[[0]]) == 0).all()


@settings(max_examples=60, deadline=None)
@given(net=trees(), head=HEADS, more=st.floats(0.1, 20.0))
def test_more_pressure_at_the_source_gives_no_emitter_less(net, head, more):
    made = prepare(net)
    low, high = solve(made, head), solve(made, head + more)
    assert (high.outlet_flow >= low.outlet_flow * (1 - 1e-9) - 1e-15).all()


@settings(max_examples=40, deadline=None)
@given(net=trees(), head=HEADS)
def test_heads_fall_along_the_flow_and_each_emitter_keeps_its_law(net, head):
    found = solve(prepare(net), head)
    assert (found.head[1:] <= found.head[net.parent[1:]] + 1e-9).all()
    o = net.outlets
    share = np.maximum(found.outlet_pressure, 0) / o.onset
    law = o.nominal * np.where(share < 1, share**o.below, np.maximum(share, 1) ** o.above)
    assert found.outlet_flow == pytest.approx(law, rel=1e-4, abs=1e-13)


@settings(max_examples=30, deadline=None)
@given(net=trees(), head=HEADS, seed=st.integers(0, 1000))
def test_the_numbering_of_the_nodes_changes_nothing(net, head, seed):
    n = len(net.parent)
    # any order in which parents come first: sort by depth, shuffled within it
    depth = np.zeros(n, int)
    for i in range(1, n):
        depth[i] = depth[net.parent[i]] + 1
    order = np.lexsort((np.random.default_rng(seed).random(n), depth))
    new = np.argsort(order)
    other = Network(
        np.array([-1, *(new[net.parent[i]] for i in order[1:])]),
        *(a[order] for a in (net.elevation, net.length, net.bore, net.roughness, net.minor)),
        dataclasses.replace(net.outlets, node=new[net.outlets.node]),
    )
    one, two = solve(prepare(net), head), solve(prepare(other), head)
    assert two.outlet_flow == pytest.approx(one.outlet_flow, rel=1e-6, abs=1e-13)


@settings(max_examples=25, deadline=None)
@given(net=trees(), head=HEADS)
def test_the_slow_road_arrives_where_the_quick_one_does(net, head):
    made = prepare(net)
    quick = solve(made, head)
    heads = descend(made.chains, made.loss, made.laws.at, made.at, made.height, head, _eliminate)
    assert heads == pytest.approx(quick.head[made.chains.order], abs=1e-5)


def symmetric(rows, emitters, exponent):
    """A manifold with the same lateral to the left and to the right at each node."""
    parts = comb(rows, emitters, 0.4, 0.0136, 0.026, 0.6, 0.3, 5.0)
    half = comb_network(parts, rows, 1 / 3.6e6, exponent)
    n, first = len(half.parent), 1 + rows
    again = np.arange(first, n)
    up = half.parent[again]
    parent = np.concatenate([half.parent, np.where(up < first, up, up + n - first)])

    def both(a):
        return np.concatenate([a, a[again]])

    return Network(
        parent,
        *(both(a) for a in (half.elevation, half.length, half.bore, half.roughness, half.minor)),
        Outlets.power(np.arange(first, len(parent)), 1 / 3.6e6, exponent),
    )


@pytest.mark.parametrize("exponent", [0.05, 0.5, 1.0])
def test_left_and_right_of_the_header_get_the_same(exponent):
    found = solve(prepare(symmetric(4, 7, exponent)), 12.0)
    left, right = found.outlet_flow.reshape(2, -1)
    assert left == pytest.approx(right, rel=1e-12)


def test_without_friction_pressure_is_height_alone():
    parts = comb(5, 3, 0.5, 1.0, 1.0, 0.6, 0.3, 1.0)  # a metre of bore
    found = solve(prepare(comb_network(parts, 5, 1 / 3.6e6, 0.5)), 10.0)
    assert found.outlet_pressure == pytest.approx(np.repeat(10 + 0.3 * np.arange(5), 3), abs=1e-9)


# one pipe and one emitter by Hazen-Williams: H = r q^1.852 + (q/k)^2, solved by bisection
def test_one_pipe_and_one_emitter_are_solved_as_by_hand():
    net = Network(
        np.array([-1, 0]), np.zeros(2), np.array([0, 50.0]), np.full(2, 0.01), np.zeros(2),
        np.zeros(2), Outlets.power(np.array([1]), 60 / 3.6e6, 0.5),
    )  # fmt: skip
    loss = PowerLaw.hazen_williams(net.length[1:], net.bore[1:], 150.0, net.minor[1:])
    low, high = 0.0, 1.0
    for _ in range(200):
        q = (low + high) / 2
        over = loss(np.array([q]))[0][0] + (q / (60 / 3.6e6)) ** 2 > 20
        low, high = (low, q) if over else (q, high)
    assert solve(prepare(net, loss), 20.0).outlet_flow[0] == pytest.approx(q, rel=1e-10)


def test_an_emitter_above_the_water_gives_nothing_and_the_others_their_share():
    net = Network(
        np.array([-1, 0, 1]), np.array([0, 0, 8.0]), np.array([0, 5.0, 9.0]), np.full(3, 0.0136),
        np.full(3, 1.5e-6), np.zeros(3), Outlets.power(np.array([1, 2]), 1 / 3.6e6, 0.5),
    )  # fmt: skip
    found = solve(prepare(net), 5.0)
    assert found.outlet_flow[1] == 0
    assert found.pressure[2] == pytest.approx(-3.0, abs=0.01)
    assert found.outlet_flow[0] == pytest.approx(math.sqrt(5) / 3.6e6, rel=1e-3)


def test_no_path_crosses_more_than_log2_n_levels():
    rng = np.random.default_rng(1)
    n = 2000
    parent = np.array([-1, *(int(rng.integers(0, i)) for i in range(1, n))])
    assert len(Chains.of(parent).levels) <= math.log2(n)


def test_sums_and_sweeps_are_those_of_a_plain_walk():
    rng = np.random.default_rng(2)
    n = 200
    parent = np.array([-1, *(int(rng.integers(max(0, i - 7), i)) for i in range(1, n))])
    chains = Chains.of(parent)
    own, drop = rng.random(n), rng.random(n)
    total, head = own.copy(), np.zeros(n)
    for i in range(n - 1, 0, -1):
        total[parent[i]] += total[i]
    for i in range(1, n):
        head[i] = head[parent[i]] - drop[i]
    assert chains.summed(chains.gathered(own)) == pytest.approx(total[chains.order], rel=1e-12)
    assert chains.swept(0.0, chains.gathered(drop)) == pytest.approx(head[chains.order], rel=1e-12)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"bore": np.array([0.01, 0.0, 0.01])}, "bore 1"),
        ({"length": np.array([0.0, 1.0, np.nan])}, "length 2"),
        ({"parent": np.array([-1, 2, 0])}, "node 1"),
        ({"outlets": Outlets.power(np.array([0]), 1e-6, 0.5)}, "no node but the source"),
        ({"outlets": Outlets.power(np.array([1]), 1e-6, 1.5)}, "outside 0 to 1"),
        ({"outlets": Outlets.power(np.empty(0, int), 1e-6, 0.5)}, "no emitter"),
    ],
)
def test_a_network_that_cannot_be_is_refused_by_name(change, said):
    good = Network(
        np.array([-1, 0, 1]), np.zeros(3), np.ones(3), np.full(3, 0.01), np.zeros(3), np.zeros(3),
        Outlets.power(np.array([1, 2]), 1e-6, 0.5),
    )  # fmt: skip
    with pytest.raises(OutOfRange, match=said):
        solve(prepare(dataclasses.replace(good, **change)), 10.0)
