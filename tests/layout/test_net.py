import math

import numpy as np
import pytest
from hills import Hill, cone, cylinder, plane, smooth_hills, sphere, translation
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.layout.bond import cells_of
from hillwright.layout.lines import geodesic, square_to
from hillwright.layout.measure import cell_shear, cell_twist
from hillwright.layout.net import lay_net

ACROSS, DOWN = 0.6, 0.45


def cross_net(hill, start=(0.0, 0.0), heading=(1.0, 0.0), counts=(6, 6, 5, 7)):
    """Net from two straight lines that cross square at ``start``: left, right, up, down."""
    left, right, up, down = counts
    start = np.array([*start, 0.0])
    heading = np.array(heading)
    square = square_to(hill, start, heading)
    top = np.concatenate(
        (
            geodesic(hill, start, -heading, ACROSS, left)[:0:-1],
            geodesic(hill, start, heading, ACROSS, right),
        )
    )
    spine_down = geodesic(hill, start, square, DOWN, down)
    spine_up = geodesic(hill, start, -square, DOWN, up)
    return lay_net(hill, top, left, spine_down, spine_up, ACROSS, DOWN)


@settings(max_examples=40)
@given(hill=smooth_hills)
def test_every_edge_keeps_its_length_and_every_crossing_lies_on_the_ground(hill):
    nodes = cross_net(hill).nodes
    assert np.isfinite(nodes).all()
    rows = np.linalg.norm(np.diff(nodes, axis=1), axis=2)
    runs = np.linalg.norm(np.diff(nodes, axis=0), axis=2)
    assert np.abs(rows - ACROSS).max() < 1e-12
    assert np.abs(runs - DOWN).max() < 1e-12
    assert np.abs(hill.at(nodes[..., 0], nodes[..., 1])[0] - nodes[..., 2]).max() < 1e-12


@settings(max_examples=20)
@given(hill=smooth_hills)
def test_a_mirrored_hill_gives_the_mirrored_net(hill):
    nodes = cross_net(hill, heading=(1.0, 0.1)).nodes
    mirrored = cross_net(Hill(hill.function, flip=True), heading=(1.0, -0.1)).nodes[:, ::-1]
    assert np.allclose(mirrored * [-1, 1, 1], nodes, rtol=0, atol=1e-10)


@settings(max_examples=20)
@given(hill=smooth_hills, turn=st.floats(-3, 3), x=st.floats(-50, 50), y=st.floats(-50, 50))
def test_a_hill_turned_and_moved_in_plan_gives_the_net_turned_and_moved(hill, turn, x, y):
    nodes = cross_net(hill).nodes
    c, s = math.cos(turn), math.sin(turn)
    moved = cross_net(Hill(hill.function, turn=turn, shift=(x, y)), (x, y), (c, s)).nodes
    expected = nodes @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]]) + [x, y, 0]
    assert np.allclose(moved, expected, rtol=0, atol=1e-9)


@given(p=st.floats(-1, 1), q=st.floats(0.1, 1), bearing=st.floats(-1, 1))
@settings(max_examples=20)
def test_a_plane_gives_a_perfect_flat_grid(p, q, bearing):
    net = cross_net(plane(p, q), heading=(math.cos(bearing), math.sin(bearing)))
    corners, _, _ = cells_of(net, half_offset=False)
    assert cell_shear(corners).max() < 1e-12
    assert cell_twist(corners).max() < 1e-12


# Closed form: z = f(x) + g(y) carries the net (x_i, y_j) of equal chords on its two profiles,
# and every cell is a plane parallelogram (Encyclopedia of Mathematics, Translation surface).
@pytest.mark.parametrize("curved", [(-1 / 15, -1 / 40), (1 / 20, -1 / 20)])
def test_translation_surfaces_are_met_to_the_precision_of_the_solver(curved):
    nodes = cross_net(translation(*curved), counts=(15, 15, 15, 15)).nodes
    row, column = nodes[15], nodes[:, 15]
    exact = row[None] + column[:, None] - row[15]
    assert np.abs(nodes - exact).max() < 1e-12
    corners = np.stack((nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]), axis=2)
    assert cell_twist(corners.reshape(-1, 4, 3)).max() < 1e-12


def test_no_shear_on_a_cylinder():
    corners, _, _ = cells_of(cross_net(cylinder(10.0), (0, -1), counts=(4, 4, 8, 10)), False)
    assert cell_shear(corners).max() < 1e-7


def test_next_to_no_shear_on_a_cone_from_straight_lines():
    corners, _, _ = cells_of(cross_net(cone(0.7), (0, -12), counts=(8, 8, 5, 8)), False)
    assert math.degrees(cell_shear(corners).max()) < 0.05  # second order in the edge


def test_a_net_that_leaves_the_ground_is_cut_there_and_all_that_hangs_on_it():
    net = cross_net(sphere(5.0), counts=(9, 9, 0, 12))
    lost = np.isnan(net.nodes[..., 0])
    assert lost.any()
    assert not lost[:5, 6:13].any()
    right, left = lost[1:, 10:], lost[1:, 8::-1]
    for quarter in (right, left):
        assert (quarter[1:, 1:] >= (quarter[:-1, 1:] | quarter[1:, :-1])).all()


def test_a_net_that_locks_is_cut_there_and_never_folds_back():
    net = cross_net(sphere(1.2), heading=(1.0, 0.0), counts=(4, 4, 0, 4))
    nodes = net.nodes
    steps = np.diff(nodes[..., 0], axis=1)
    assert np.isnan(nodes).any()
    assert (steps[np.isfinite(steps)] > -ACROSS).all()


def test_the_spine_must_start_on_the_top_row():
    hill = plane(0, 0.5)
    top = geodesic(hill, np.zeros(3), np.array([1.0, 0.0]), ACROSS, 3)
    spine = geodesic(hill, np.array([0.1, 0, 0]), np.array([0.0, -1.0]), DOWN, 3)
    with pytest.raises(ValueError, match="must start at top"):
        lay_net(hill, top, 0, spine, None, ACROSS, DOWN)
