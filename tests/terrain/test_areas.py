import math

import numpy as np
import pytest
from analytic import cone, dome, plane, wavy
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.areas import (
    area_by_offsets,
    area_by_offsets_simpson,
    inclined_area,
    polygon_area,
)
from hillwright.terrain.outlines import ring_of
from hillwright.terrain.surface_area import surface_area, surface_over_disc, tin_area

L_SHAPE = [[0, 0], [8, 0], [8, 3], [3, 3], [3, 7], [0, 7]]
stars = st.lists(st.floats(0.5, 5), min_size=3, max_size=12)


def star(radii):
    angle = 2 * np.pi * np.arange(len(radii)) / len(radii)
    return np.column_stack([np.cos(angle), np.sin(angle)]) * np.array(radii)[:, None]


@given(radii=stars, turn=st.floats(0, 6.28), far=st.floats(-1e6, 1e6))
def test_moving_turning_and_going_round_the_other_way_change_no_area(radii, turn, far):
    xy = star(radii)
    c, s = math.cos(turn), math.sin(turn)
    moved = (xy @ [[c, s], [-s, c]] + far)[::-1]
    one, other = polygon_area(xy), polygon_area(moved)
    assert other.area == pytest.approx(one.area, rel=1e-6)
    assert other.perimeter == pytest.approx(one.perimeter, rel=1e-6)
    # triangles from the middle of the star: the same area by another road
    wedges = sum(
        a * b * math.sin(2 * math.pi / len(radii)) / 2
        for a, b in zip(radii, [*radii[1:], radii[0]], strict=True)
    )
    assert one.area == pytest.approx(wedges, rel=1e-9)


def test_an_outline_may_repeat_its_first_corner():
    one, other = polygon_area(L_SHAPE), polygon_area([*L_SHAPE, L_SHAPE[0]])
    assert one.area == other.area == 36
    assert one.perimeter == other.perimeter == 30


@pytest.mark.parametrize(
    ("xy", "said"),
    [
        ([[0, 0], [1, 1]], "at least 3"),
        ([[0, 0], [1, 1], [0, 0]], "at least 3"),
        ([[0, 0], [1, 1], [2, 2]], "one line"),
        ([[0, 0], [4, 4], [4, 0], [0, 4]], "crosses itself"),
        ([[0, 0], [4, 4], [4, 0], [0, 3]], "crosses itself"),
        ([[0, 0], [4, 0], [2, 0], [2, 3]], "crosses itself"),
        ([[0, 0], [math.nan, 1], [2, 0]], "corner 2"),
        ([0, 0, 1], "pairs of x and y"),
    ],
)
def test_what_is_no_outline_is_refused(xy, said):
    with pytest.raises(OutOfRange, match=said):
        polygon_area(xy)


def test_a_rectangle_may_be_given_by_two_corners():
    np.testing.assert_array_equal(ring_of([0, 0, 2, 1]), [[0, 0], [2, 0], [2, 1], [0, 1]])


@given(p=st.floats(-2, 2), q=st.floats(-2, 2), radii=stars)
def test_a_plane_has_its_plan_area_times_one_factor(p, q, radii):
    xy = star(radii)
    found = surface_area(plane(p, q, 3.0), xy)
    plan = polygon_area(xy)
    assert found.plan_area == pytest.approx(plan.area, rel=1e-9)
    assert found.area_factor == pytest.approx(math.sqrt(1 + p * p + q * q), rel=1e-9)
    assert found.mean_height == pytest.approx(3 + plan.centroid @ [p, q], rel=1e-6, abs=1e-9)


def test_a_notched_outline_counts_no_ground_of_the_notch():
    whole = surface_area(wavy(), [0, 0, 8, 7]).area
    notch = surface_area(wavy(), [3, 3, 8, 7]).area
    assert surface_area(wavy(), L_SHAPE).area == pytest.approx(whole - notch, rel=1e-7)


def test_the_tip_of_a_cone_inside_the_outline_does_not_spoil_its_area():
    steep = math.tan(math.radians(35))
    found = surface_area(cone(steep), [[-5, -4], [6, -5], [4, 5], [-3, 6]])
    assert found.area_factor == pytest.approx(1 / math.cos(math.radians(35)), rel=1e-9)


# closed forms: hemisphere 2 pi R^2 and 2/3 pi R^3
def test_a_hemisphere_upright_at_its_rim_has_its_area_and_volume():
    found = surface_over_disc(dome(20.0), 20.0, base=0.0)
    assert found.area == pytest.approx(2 * math.pi * 400, rel=1e-6)
    assert found.volume == pytest.approx(2 / 3 * math.pi * 8000, rel=1e-6)


@given(radius=st.floats(1, 50), share=st.floats(0.05, 0.95))
def test_a_cap_has_the_area_of_its_height(radius, share):
    found = surface_over_disc(dome(radius), share * radius)
    assert found.area == pytest.approx(2 * math.pi * radius * found.height, rel=1e-6)
    h = found.height
    assert found.volume == pytest.approx(math.pi * h * h * (3 * radius - h) / 3, rel=1e-6)


def test_ground_that_ends_inside_the_outline_is_refused():
    with pytest.raises(OutOfRange, match="surface"):
        surface_over_disc(dome(5.0), 6.0)
    with pytest.raises(OutOfRange, match="surface"):
        surface_area(dome(5.0), [-6, -6, 6, 6])
    with pytest.raises(OutOfRange, match="radius above 0"):
        surface_over_disc(dome(5.0), 0.0)


def test_triangles_come_up_to_a_dome_from_below_with_the_square_of_their_size():
    exact = surface_area(dome(20.0), [-5, -5, 5, 5]).area
    off = []
    for n in (8, 16, 32):
        x = np.linspace(-5, 5, n + 1)
        gx, gy = (g.ravel() for g in np.meshgrid(x, x))
        i = (np.arange(n)[:, None] * (n + 1) + np.arange(n)).ravel()
        triangles = np.concatenate(
            [np.column_stack([i, i + 1, i + n + 2]), np.column_stack([i, i + n + 2, i + n + 1])]
        )
        found = tin_area(np.column_stack([gx, gy, dome(20.0).at(gx, gy)[0]]), triangles)
        assert found.plan_area == pytest.approx(100)
        off.append(exact - found.surface_area)
    assert min(off) > 0
    assert off[0] / off[1] == pytest.approx(4, rel=0.05)
    assert off[1] / off[2] == pytest.approx(4, rel=0.05)


def test_a_triangle_of_points_that_are_not_there_is_refused():
    with pytest.raises(OutOfRange, match="names no point"):
        tin_area(np.zeros((3, 3)), [[0, 1, 3]])


def test_offsets_of_a_trapezoid_and_of_a_parabola_give_their_areas():
    assert area_by_offsets(10.0, [2.0, 6.0]) == 40
    assert area_by_offsets([1.0, 3.0], [0.0, 2.0, 2.0]) == 7
    x = np.linspace(0, 6, 7)
    assert area_by_offsets_simpson(1.0, x * (6 - x)) == pytest.approx(36)  # exact on parabolas


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: area_by_offsets(1.0, [1.0]), "at least 2"),
        (lambda: area_by_offsets(0.0, [1.0, 2.0]), "spacing above 0"),
        (lambda: area_by_offsets(1.0, [1.0, -2.0]), "offset 2"),
        (lambda: area_by_offsets([1.0, 1.0], [1.0, 2.0]), "2 spacings for 2 offsets"),
        (lambda: area_by_offsets_simpson(1.0, [1.0, 2.0, 1.0, 3.0]), "odd number"),
        (lambda: inclined_area(0.0, 3.0, 0.4), "plan_width"),
        (lambda: inclined_area(3.0, 3.0, 1.6), "angle of ground"),
    ],
)
def test_offsets_and_sides_that_measure_nothing_are_refused(ask, said):
    with pytest.raises(OutOfRange, match=said):
        ask()
