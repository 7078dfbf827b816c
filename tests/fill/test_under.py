"""Soil in dips and over humps, against closed forms of grounds that are known."""

import math

import numpy as np
import pytest
from boxes import RUN, WIDTH, box
from hypothesis import given
from hypothesis import strategies as st

from hillwright.fill.cellvolume import cell_soil
from hillwright.fill.under import under_cells


class Shifted:
    """The plane of a cell, lower or higher by a constant height, with an optional bowl."""

    def __init__(self, cell, shift=0.0, bowl=0.0):
        n = np.cross(cell[0, 2] - cell[0, 0], cell[0, 3] - cell[0, 1])
        self.n, self.m, self.shift, self.bowl = n, cell[0].mean(axis=0), shift, bowl

    def at(self, x, y):
        dx, dy = x - self.m[0], y - self.m[1]
        z = self.m[2] - (dx * self.n[0] + dy * self.n[1]) / self.n[2] + self.shift
        return z + self.bowl * (dx**2 + dy**2), 0 * x, 0 * x


@given(slope=st.floats(0, 0.8), depth=st.floats(0.001, 0.05))
def test_ground_that_lies_lower_takes_its_depth_times_the_floor(slope, depth):
    cell = box(slope)
    found = under_cells(cell, Shifted(cell, -depth), 0.15)
    assert found.dips[0] == pytest.approx(WIDTH * RUN * depth * math.cos(slope))
    assert found.humps[0] == 0.0


@given(slope=st.floats(0, 0.8), height=st.floats(0.001, 0.05))
def test_ground_that_stands_in_the_cell_takes_its_room(slope, height):
    cell = box(slope)
    found = under_cells(cell, Shifted(cell, height), 0.15)
    assert found.humps[0] == pytest.approx(WIDTH * RUN * height * math.cos(slope))
    assert found.dips[0] == 0.0


def test_a_bowl_under_a_level_cell_takes_what_its_paraboloid_holds():
    cell, k = box(0.0), 0.2
    # integral of k (x^2 + y^2) over the floor
    exact = k * WIDTH * RUN * (WIDTH**2 + RUN**2) / 12
    found = under_cells(cell, Shifted(cell, 0.0, -k), 0.15)
    assert found.dips[0] == pytest.approx(exact, rel=0.02)


def test_a_hump_never_displaces_more_than_the_soil():
    cell = box(0.4)
    found = under_cells(cell, Shifted(cell, 5.0), 0.15)
    assert found.humps[0] == pytest.approx(cell_soil(cell, 0.15).volume[0])


def test_nothing_runs_under_a_cell_that_stays_empty():
    cell = box(0.4)
    found = under_cells(cell, Shifted(cell, -0.1), 0.0)
    assert (found.dips[0], found.humps[0]) == (0.0, 0.0)


def test_where_the_ground_is_not_known_it_is_taken_as_flat_and_told():
    class Nowhere:
        def at(self, x, y):
            return np.full_like(x, np.nan), x, x

    found = under_cells(box(0.4), Nowhere(), 0.15)
    assert (found.dips[0], found.humps[0], found.unknown[0]) == (0.0, 0.0, 1.0)
