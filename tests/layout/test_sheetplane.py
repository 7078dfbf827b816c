"""The sheet is the plan seen through the net, and back."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from outlines import SQUARE, star

from hillwright.errors import OutOfRange
from hillwright.layout.model import Net
from hillwright.layout.sheetplane import pull_back, pull_back_ring

ACROSS, DOWN = 0.6, 0.4


def bent_net(bend=0.02, lines=13, columns=16, line0=4, column0=7):
    """A net that shears and stretches in plan as on curved ground; v runs downhill (to -y)."""
    i, j = np.meshgrid(np.arange(lines) - line0, np.arange(columns) - column0, indexing="ij")
    u, v = j * ACROSS, i * DOWN
    x = u * 0.95 + bend * u * v
    y = -v * 0.8 + bend * u**2
    return Net(np.stack([x, y, 0 * x], axis=-1), line0, column0, ACROSS, DOWN)


def forward(net, uv):
    """Where bilinear meshes put sheet positions in plan."""
    j, i = uv[:, 0] / net.across + net.column0, uv[:, 1] / net.down + net.line0
    j0 = np.clip(np.floor(j).astype(int), 0, net.nodes.shape[1] - 2)
    i0 = np.clip(np.floor(i).astype(int), 0, net.nodes.shape[0] - 2)
    s, t, p = (j - j0)[:, None], (i - i0)[:, None], net.nodes[..., :2]
    upper = p[i0, j0] * (1 - s) + p[i0, j0 + 1] * s
    lower = p[i0 + 1, j0] * (1 - s) + p[i0 + 1, j0 + 1] * s
    return upper * (1 - t) + lower * t


@settings(max_examples=30, deadline=None)
@given(bend=st.floats(-0.04, 0.04), seed=st.integers(0, 10**6))
def test_there_and_back_is_where_it_was(bend, seed):
    net = bent_net(bend)
    uv = np.random.default_rng(seed).uniform((-4.2, -1.6), (4.8, 3.2), (50, 2))
    np.testing.assert_allclose(pull_back(net, forward(net, uv)), uv, atol=1e-11)


def test_crossings_of_the_net_come_back_as_whole_steps():
    net = bent_net()
    i, j = np.indices(net.nodes.shape[:2])
    want = np.column_stack(((j.ravel() - 7) * ACROSS, (i.ravel() - 4) * DOWN))
    got = pull_back(net, net.nodes[..., :2].reshape(-1, 2))
    np.testing.assert_allclose(got, want, atol=1e-12)


def test_off_the_net_there_is_no_answer():
    net = bent_net()
    got = pull_back(net, [[100.0, 0.0], [0.0, 0.0], [np.nan, 0.0]])
    assert np.isnan(got[[0, 2]]).all()
    np.testing.assert_allclose(got[1], [0, 0], atol=1e-12)
    empty = Net(np.full((3, 3, 3), np.nan), 0, 0, ACROSS, DOWN)
    assert np.isnan(pull_back(empty, [[0.0, 0.0]])).all()
    assert pull_back(net, np.empty((0, 2))).shape == (0, 2)


def test_a_hole_in_the_net_has_no_sheet():
    net = bent_net()
    nodes = net.nodes.copy()
    nodes[6, 9] = np.nan
    holed = Net(nodes, 4, 7, ACROSS, DOWN)
    middle = net.nodes[6, 9, :2]
    assert np.isnan(pull_back(holed, middle)).all()
    ring = SQUARE * 0.7 - np.array([1.8, 2.2])
    whole, cut = pull_back_ring(net, ring, 0.1), pull_back_ring(holed, ring, 0.1)
    assert (len(whole.holes), len(cut.holes)) == (0, 1)
    assert whole.outside == pytest.approx(0, abs=1e-12)
    assert shapely.Polygon(cut.holes[0]).area == pytest.approx(4 * ACROSS * DOWN, rel=1e-9)
    assert cut.outside > 0


def test_on_a_flat_net_a_ring_keeps_its_shape():
    slope = math.radians(35)
    i, j = np.meshgrid(np.arange(20), np.arange(20), indexing="ij")
    nodes = np.stack([j * ACROSS, -i * DOWN * math.cos(slope), -i * DOWN * math.sin(slope)], -1)
    net = Net(nodes, 0, 0, ACROSS, DOWN)
    ring = star(3, size=2.0) + np.array([5.0, -3.0])
    found = pull_back_ring(net, ring, 0.1)
    image = shapely.Polygon(found.rings[0])
    want = shapely.Polygon(ring * [1, -1 / math.cos(slope)])
    assert shapely.symmetric_difference(image, want).area < 1e-9
    assert found.outside == pytest.approx(0, abs=1e-12)


def test_what_the_net_does_not_reach_is_cut_away_and_reported():
    net = bent_net(0.0)
    # the net covers x from -3.99 to 4.56 and y from -2.56 to 1.28
    ring = np.array([[0.0, -2.0], [8.0, -2.0], [8.0, 1.0], [0.0, 1.0]])
    found = pull_back_ring(net, ring, 0.2)
    assert len(found.rings) == 1
    assert found.outside == pytest.approx((8 - 4.56) * 3, rel=1e-9)
    assert found.rings[0].max(axis=0) == pytest.approx([4.8, 2.5], abs=1e-9)
    assert found.rings[0].min(axis=0) == pytest.approx([0, -1.25], abs=1e-9)
    away = pull_back_ring(net, ring + 50, 0.2)
    assert away.rings == away.holes == ()
    assert away.outside == pytest.approx(24)


def test_a_ring_that_leaves_the_net_and_comes_back_has_two_parts():
    net = bent_net(0.0)
    fork = [[-3, 0], [-3, 9], [3, 9], [3, 0], [2, 0], [2, 8], [-2, 8], [-2, 0]]
    assert len(pull_back_ring(net, np.array(fork, float), 0.2).rings) == 2


@settings(max_examples=20, deadline=None)
@given(bend=st.floats(-0.03, 0.03), seed=st.integers(0, 10**6))
def test_images_are_simple_and_hold_the_images_of_what_the_ring_holds(bend, seed):
    net, ring = bent_net(bend), star(seed, size=3.0) * [1, 0.5]
    found = pull_back_ring(net, ring, 0.05)
    image = shapely.union_all([shapely.Polygon(r) for r in found.rings])
    assert all(shapely.Polygon(r).is_valid for r in found.rings)
    xy = np.random.default_rng(seed).uniform(-3, 3, (200, 2)) * [1, 0.5]
    edge = shapely.Polygon(ring).exterior
    clear = shapely.distance(edge, shapely.points(xy)) > 0.01
    uv = pull_back(net, xy)
    on = clear & np.isfinite(uv).all(axis=1)
    inside = shapely.contains_xy(shapely.Polygon(ring), xy[on, 0], xy[on, 1])
    np.testing.assert_array_equal(shapely.contains_xy(image, uv[on, 0], uv[on, 1]), inside)


def test_a_ring_or_a_step_that_makes_no_sense_is_refused():
    with pytest.raises(OutOfRange, match="crosses itself"):
        pull_back_ring(bent_net(), SQUARE[[0, 2, 1, 3]], 0.1)
    with pytest.raises(OutOfRange, match="step"):
        pull_back_ring(bent_net(), SQUARE, 0.0)
