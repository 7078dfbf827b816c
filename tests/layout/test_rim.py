"""Boxes that the rim of an area meets: what exact geometry says, one by one."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from hillwright.layout import squares
from hillwright.layout.branch import search
from hillwright.layout.erosion import anchor_region
from hillwright.layout.rim import Rim
from hillwright.layout.squares import Lattice

SIDE = st.sampled_from([0.0, 0.003, 0.05, 0.4])


def area(rng):
    """Give two parts, one with a hole and edges along both axes."""
    turn = np.sort(rng.uniform(0, 2 * np.pi, 9))
    round_ = np.stack([np.cos(turn), np.sin(turn)], axis=1) * rng.uniform(1, 2, (9, 1))
    hole = shapely.box(6.5, -0.5, 7.5, 0.75)
    return shapely.union(shapely.Polygon(round_).buffer(0), shapely.box(5, -1, 9, 1) - hole)


@given(st.integers(0, 10_000), SIDE, SIDE)
def test_a_box_meets_the_rim_or_not_as_exact_geometry_says(seed, wide, high):
    rng = np.random.default_rng(seed)
    whole = area(rng)
    frames = rng.uniform((-2, -2), (9, 2), (30, 2))
    frame = rng.integers(0, 30, 400)
    half = np.array([wide, high])
    centre = frames[frame] + rng.uniform(-0.5, 0.5, (400, 2))
    # some that touch an edge, or end at a corner
    centre[:40] = np.round(centre[:40] * 4) / 4
    rim = Rim.of(whole, frames, half + 0.65)
    met, unsure = rim.meets(frame, centre, half)
    exact = shapely.intersects(shapely.boundary(whole), squares.boxes(centre, half))
    assert (met[~unsure] == exact[~unsure]).all()
    assert not unsure[40:].any()


@pytest.mark.parametrize("half_offset", [False, True])
@pytest.mark.parametrize("fixed", [(1, 1), (0, 1), (1, 0)])
def test_a_search_ends_the_same_whichever_way_its_boxes_are_looked_at(
    monkeypatch, half_offset, fixed
):
    ring = np.array([[0, 0], [7.3, 0.4], [8.1, 4.9], [3.9, 5.6], [-0.4, 4.4]])
    hole = np.array([[3, 2], [3.7, 2], [3.7, 2.7], [3, 2.7]])
    E = anchor_region([ring], [hole], 0.6, 0.45)
    half = np.array([0.3, 0.225]) * fixed
    asked = E, Lattice(0.6, 0.45, half_offset), np.zeros((1, 2)), half, 0
    plain = search(*asked)
    monkeypatch.setattr(squares, "MANY", 0)
    other = search(*asked)
    assert plain.bound == other.bound
    assert plain.searched == other.searched
    np.testing.assert_array_equal(plain.whole, other.whole)
    np.testing.assert_array_equal(plain.offsets, other.offsets)
