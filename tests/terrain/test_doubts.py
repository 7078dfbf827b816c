"""What is said of places too steep for cells, and what is not said."""

import numpy as np
import pytest

from hillwright.terrain.stage import make_surface

CELL = (0.6096, 0.4572, 0.0508)


def steep(surface):
    return [w for w in surface.warnings if "steeper than 60 deg" in w]


def hill(bow):
    """Points 2 m apart at 1 in 2; the lower edge bows in by ``bow``, one point is high."""
    x, y = (v.ravel() for v in np.meshgrid(np.arange(0, 10.1, 2), np.arange(0, 10.1, 2)))
    z = 0.5 * y
    low = y == 0
    y = y + np.where(low, bow * x * (10 - x) / 25, 0)
    return np.column_stack([x, y, z + np.where(low & (x == 4), 0.02, 0)])


# a sliver at the edge falls 0.02 m in 0.002 m, which is steeper than any hill and no cliff
@pytest.mark.parametrize("bow", [0.002, 0.005])
def test_points_almost_in_a_line_are_no_cliff(site_of, bow):
    assert steep(make_surface(site_of(hill(bow), sigma=0.02), *CELL, None)) == []


def test_a_wall_is_said_with_its_place_and_its_size(site_of):
    xyz = hill(0.0)
    wall = np.column_stack([np.arange(1, 10, 2.0), np.full(5, 5.0), np.full(5, 2.5)])
    above = wall + np.array([0, 0.1, 1.0])
    far = (xyz[:, 1] > 5)[:, None] * [0, 0, 1.0]
    told = steep(make_surface(site_of(np.vstack([xyz + far, wall, above])), *CELL, None))
    assert len(told) == 1
    assert "in plan) are steeper" in told[0]
    assert "0.00 m2" not in told[0]
