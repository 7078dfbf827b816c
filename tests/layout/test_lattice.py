"""Counts by rows agree with counts cell by cell."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from outlines import SQUARE, star

from hillwright.layout.erosion import anchor_region
from hillwright.layout.lattice import cell_grid, counts


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), half=st.booleans(), width=st.floats(0.2, 2))
def test_counts_equal_one_box_at_a_time(seed, half, width):
    outline, hole, run = star(seed), star(seed + 1, 5, 1.0), 0.4
    E = anchor_region([outline], [hole], width, run)
    offsets = np.random.default_rng(seed).uniform(-3, 3, (4, 2))
    ground = shapely.Polygon(outline).difference(shapely.Polygon(hole))
    by_box = []
    for du, dv in offsets:
        i, j = np.meshgrid(np.arange(-25, 26), np.arange(-60, 61), indexing="ij")
        u = du + j * width + (i % 2) * (width / 2 if half else 0)
        v = dv + i * run
        by_box.append(shapely.contains(ground, shapely.box(u, v, u + width, v + run)).sum())
    np.testing.assert_array_equal(counts(E, width, run, half, offsets), by_box)
    grids = [cell_grid(E, width, run, half, *offset) for offset in offsets]
    assert [g.inside.sum() for g in grids] == by_box


@pytest.mark.parametrize("half", [False, True])
def test_the_grid_gives_the_places_of_the_lattice(half):
    E = anchor_region([SQUARE], [], 0.6, 0.4)
    g = cell_grid(E, 0.6, 0.4, half, 0.1, 0.15)
    rows, columns = g.inside.shape
    odd = (g.row0 + np.arange(rows)) % 2 == 1
    j = g.column0 + np.arange(columns)
    u = 0.1 + j * 0.6 + (0.3 * odd[:, None] if half else 0.0)
    np.testing.assert_allclose(g.u, np.broadcast_to(u, g.u.shape), atol=1e-12)
    np.testing.assert_allclose(g.v[:, 0], 0.15 + 0.4 * (g.row0 + np.arange(rows)), atol=1e-12)
    assert g.first_shifted == (half and bool(odd[0]))


def test_every_edge_touched_counts_as_inside():
    E = anchor_region([SQUARE], [], 0.6, 0.4)
    offsets = [[0, 0], [0.6, -0.4], [1e-6, 0], [0, 1e-6]]
    np.testing.assert_array_equal(counts(E, 0.6, 0.4, False, offsets), [100, 100, 90, 90])
    assert cell_grid(E, 0.6, 0.4, False, 0.0, 0.0).inside.sum() == 100


def test_a_shift_by_a_whole_cell_changes_nothing():
    E = anchor_region([star(3)], [], 0.5, 0.4)
    base = np.random.default_rng(0).uniform(0, 1, (20, 2))
    for half, step in ((False, [0.5, 0.4]), (True, [0.25, 0.4]), (True, [0.5, 0.8])):
        np.testing.assert_array_equal(
            counts(E, 0.5, 0.4, half, base), counts(E, 0.5, 0.4, half, base + step)
        )


def test_the_mean_over_shifts_is_the_area_of_the_anchors_over_the_cell():
    # Blichfeldt 1914 (averaging); an even scatter of shifts comes within a hundredth of a cell
    E = anchor_region([star(5)], [], 0.5, 0.4)
    u, v = np.meshgrid((np.arange(200) + 0.5) * 0.0025, (np.arange(200) + 0.5) * 0.002)
    each = counts(E, 0.5, 0.4, True, np.column_stack((u.ravel(), v.ravel())))
    assert each.mean() == pytest.approx(E.exact.area / 0.2, abs=0.01)


def test_no_place_gives_no_cell():
    E = anchor_region([SQUARE], [], 7.0, 0.4)
    assert counts(E, 7.0, 0.4, False, [[0, 0], [1, 1]]).tolist() == [0, 0]
    assert cell_grid(E, 7.0, 0.4, False, 0, 0).inside.size == 0
