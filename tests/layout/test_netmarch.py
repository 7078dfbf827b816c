import math

import pytest
from hills import cone, plane, sphere, translation, waves

from hillwright.errors import OutOfRange
from hillwright.layout.netexists import net_existence
from hillwright.layout.netmarch import marching_error, net_on_surface
from hillwright.layout.nettheory import sphere_shear


# notes on terrain: largest node error 0.018 (h/R)^2 R, clean second order
def test_marching_is_second_order_on_a_dome_of_any_size():
    found = marching_error(30.0, 21.0, 21.0, [8, 16])
    assert found.order == pytest.approx(2, abs=0.02)
    assert found.max_node_error[1] == pytest.approx(0.018 * (21 / 16 / 30) ** 2 * 30, rel=0.05)


def test_curvature_by_the_corner_angles_agrees_with_curvature_integrated():
    for hill in (sphere(20.0), translation(1 / 30, -1 / 40), waves(0.5, 0.3, 5.0, 0.2)):
        coarse, fine = (
            net_on_surface(hill, (0.5, -4.0), 4.0 / n, 5.0 / n, n, n, n, 0, 0.2) for n in (8, 16)
        )
        off = [abs(f.angle_change - f.total_curvature) for f in (coarse, fine)]
        assert off[1] < 0.3 * off[0] + 1e-9
        assert off[1] < 1e-3


def test_far_shear_tends_to_the_shear_of_the_dome():
    found = net_on_surface(sphere(30.0), (0, 0), 0.1, 0.1, 100, 100)
    middle = 2 * 30 * math.asin(0.05 / 30) * 99.5  # arc to the middle of the last cell
    assert found.far_shear == pytest.approx(float(sphere_shear(30, middle, middle).shear), rel=1e-4)


def test_cells_that_leave_the_ground_are_counted_as_lost():
    found = net_on_surface(sphere(5.0), (0, 0), 0.5, 0.5, 14, 14)
    assert found.lost > 0
    assert found.cells + found.lost == 14 * 14
    assert math.isnan(found.angle_change)


def test_a_contour_row_runs_to_the_side_of_its_heading():
    right = net_on_surface(cone(0.7), (0, -10), 0.5, 0.5, 6, 2, row="contour")
    left = net_on_surface(cone(0.7), (0, -10), 0.5, 0.5, 6, 2, heading=math.pi, row="contour")
    assert right.row_end[0] == pytest.approx(-left.row_end[0])
    assert right.row_end[0] > 0
    assert right.row_end[2] == pytest.approx(-7.0)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"start": (0, 50)}, "start: the surface has no height"),
        ({"start": (0, 29.99)}, "no whole cell"),
        ({"across": 0.0}, "across: 0 m is no edge"),
        ({"cells_right": 0}, "make no net"),
        ({"cells_up": -1}, "make no net"),
        ({"cells_right": 5000, "cells_down": 5000}, "too many"),
        ({"row": "level"}, "'level' is not known"),
        ({"row": "contour"}, "the ground is level there"),
    ],
)
def test_impossible_nets_are_refused(change, message):
    given = {"start": (0, 0), "across": 0.5, "down": 0.5, "cells_right": 2, "cells_down": 2}
    with pytest.raises(OutOfRange, match=message):
        net_on_surface(sphere(30.0), **{**given, **change})


def test_a_patch_over_the_rim_of_the_dome_is_refused():
    with pytest.raises(OutOfRange, match="equator"):
        marching_error(1.0, 1.6, 0.5, [4])
    with pytest.raises(OutOfRange, match="0 cells"):
        marching_error(1.0, 0.7, 0.7, [0])


def test_flat_ground_uses_none_of_the_limit_and_a_rough_one_more_than_all():
    square = [[0, 0], [10, 0], [10, 10], [0, 10]]
    assert net_existence(plane(0.1, 0.5), square).share == pytest.approx(0, abs=1e-12)
    rough = net_existence(waves(0.5, 3.0, 1.5, 0.2), square, 1e-3)
    assert not rough.sure
    assert rough.share > 1
