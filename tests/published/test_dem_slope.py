"""Slope and aspect of a real hillside against general-purpose libraries.

The ground is the elevation model of the Jacksboro fault that matplotlib ships as sample data
(jacksboro_fault_dem.npz: 344 by 403 heights in whole metres, 3 arc-seconds apart). Sobel's kernel
in scipy.ndimage has Horn's weights times eight; numpy.gradient takes central differences.
"""

import numpy as np
import pytest
from matplotlib import cbook
from scipy import ndimage

from hillwright.terrain.heightfield import HeightField
from hillwright.terrain.horn import horn


@pytest.fixture(scope="module")
def dem():
    """Give heights, north row first [m], and the spacing of columns and rows [m]."""
    with cbook.get_sample_data("jacksboro_fault_dem.npz") as data:
        z = data["elevation"].astype(float)
        # the file's ymin and ymax are swapped; the spacing is what counts here
        middle = np.radians((float(data["ymin"]) + float(data["ymax"])) / 2)
        degree = 111_200.0
        return z, degree * float(data["dx"]) * np.cos(middle), degree * float(data["dy"])


def test_horn_slope_and_aspect_agree_with_sobels_kernel_everywhere(dem):
    z, dx, dy = dem
    got = horn(z, dx, dy)
    east = (ndimage.sobel(z, axis=1) / (8 * dx))[1:-1, 1:-1]
    south = (ndimage.sobel(z, axis=0) / (8 * dy))[1:-1, 1:-1]
    np.testing.assert_allclose(got.slope, np.arctan(np.hypot(east, south)), atol=1e-12)
    assert 30 < np.degrees(got.slope.max()) < 40  # steep ground: the test is not one of plains
    flat = np.hypot(east, south) == 0
    np.testing.assert_array_equal(np.isnan(got.aspect), flat)
    # downhill: x goes east, the rows go south
    facing = np.arctan2(-east, south) % (2 * np.pi)
    turn = (got.aspect - facing + np.pi) % (2 * np.pi) - np.pi
    assert np.abs(turn[~flat]).max() < 1e-9


def test_the_field_has_the_gradient_of_central_differences_and_of_its_own_surface(dem):
    z = dem[0][::-1]  # rows go north
    step = 80.0  # one spacing both ways: the shape of the hill is stretched, the test is not
    field = HeightField(0.0, 0.0, step, z)
    p, q = field.gradient()
    along_y, along_x = np.gradient(z, step, edge_order=2)
    np.testing.assert_allclose(p, along_x, atol=1e-12)
    np.testing.assert_allclose(q, along_y, atol=1e-12)


def test_between_the_nodes_the_field_is_nearly_as_good_as_a_spline_through_all(dem):
    # leave out every other row and column; scipy's cubic spline looks at all the rest at once, the
    # field at sixteen heights, and misses the same places by little more
    z = dem[0][::-1][:343, :403]
    field = HeightField(0.0, 0.0, 2.0, z[::2, ::2])
    y, x = np.mgrid[41:301:2, 41:361:2].astype(float)
    truth = z[41:301:2, 41:361:2]
    missed = field.at(x, y)[0] - truth
    spline = ndimage.map_coordinates(z[::2, ::2], [y / 2, x / 2], order=3, mode="mirror") - truth
    assert np.sqrt(np.mean(missed**2)) < 1.1 * np.sqrt(np.mean(spline**2))
    assert np.corrcoef(missed.ravel(), spline.ravel())[0, 1] > 0.9
