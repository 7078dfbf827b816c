import numpy as np
import pytest
from analytic import dome, plane, wavy
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.cutfill import prism_cut_fill, prism_volume, section_cut_fill
from hillwright.terrain.overlay import cut_fill_between, tin_difference, tin_to_surface
from hillwright.terrain.volumes import (
    average_end_area,
    earthwork,
    end_area_rules,
    grid_volume,
    level_prismoid,
    prismoidal,
)

sizes = st.floats(0, 1000)
depths = st.floats(-3, 3)
TRIANGLE = [[0, 0], [6, 0], [0, 4]]
PYRAMID = [[0, 0, 50], [10, 0, 50], [10, 10, 44], [0, 10, 44], [5, 5, 50]]


@given(a1=sizes, a2=sizes, length=sizes)
def test_average_end_areas_never_understate_what_tapers(a1, a2, length):
    found = end_area_rules(a1, a2, length)
    assert found.aea >= found.frustum_rule - 1e-6
    assert found.prismoidal == pytest.approx(found.frustum_rule, rel=1e-9, abs=1e-9)
    assert found.aea <= 1.5 * found.frustum_rule + 1e-6  # the worst case is a pyramid
    middle = prismoidal(a1, (a1 + a2) / 2, a2, length)
    assert middle == pytest.approx(average_end_area(a1, a2, length), rel=1e-12, abs=1e-9)


@given(length=sizes, s=st.floats(0, 4), b=st.floats(0, 30), h1=st.floats(0, 9), h2=st.floats(0, 9))
def test_the_prismoidal_correction_gives_the_mid_section_formula(length, s, b, h1, h2):
    found = level_prismoid(length, s, b, h1, h2)
    h = (h1 + h2) / 2
    exact = prismoidal(found.a1, (b + s * h) * h, found.a2, length)
    assert found.prismoidal == pytest.approx(exact, rel=1e-9, abs=1e-6)


def test_a_cut_that_dies_out_ends_in_a_pyramid():
    found = earthwork([0, 10, 30], [0, 6, 0], [2, 2, 2])
    np.testing.assert_allclose(found.cuts, [20, 40])
    np.testing.assert_allclose(found.fills, [20, 40])
    assert found.net_fill_needed == 0


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: average_end_area(1, -1, 1), "a2"),
        (lambda: prismoidal(1, 1, 1, -3), "length"),
        (lambda: earthwork([0], [1], [1]), "at least 2"),
        (lambda: earthwork([0, 5, 5], [1, 1, 1], [0, 0, 0]), "station 3"),
        (lambda: earthwork([0, 5], [1, 1, 1], [0, 0]), "cut_area"),
        (lambda: grid_volume([[1, 2]], 1.0, 0.0), "at least 2 rows"),
        (lambda: grid_volume([[1, 2], [3, np.nan]], 1.0, 0.0), "row 2, place 2"),
        (lambda: grid_volume([[1, 2], [3, 4]], 0.0, 0.0), "spacing above 0"),
        (lambda: grid_volume([[1, 2], [3, 4]], 1.0, [0.0, 1.0]), "formation"),
        (lambda: prism_volume([[0, 0], [1, 1], [2, 2]], [1, 1, 1]), "one line"),
        (lambda: prism_cut_fill(TRIANGLE, [1, 1]), "three depths"),
        (lambda: section_cut_fill([[0, 0], [5, 1]], [[1, 0], [5, 0]]), "grade"),
        (lambda: section_cut_fill([[0, 0], [0, 1]], [[0, 0], [5, 0]]), "point 2"),
        (lambda: tin_difference([[0, 0, 1], [1, 1, 1], [2, 2, 1]], PYRAMID), "one line"),
        (lambda: tin_difference(PYRAMID, np.add(PYRAMID, [50, 0, 0])), "no place in common"),
        (lambda: tin_to_surface(PYRAMID, plane(0, 0), [[0, 1, 9]]), "indices 0 to 4"),
        (lambda: cut_fill_between(dome(3.0), plane(0, 0), [0, 0, 9, 9]), "surface"),
    ],
)
def test_what_encloses_no_earth_is_refused(ask, said):
    with pytest.raises(OutOfRange, match=said):
        ask()


def test_the_grid_rule_counts_corners_once_edges_twice_and_the_middle_four_times():
    z = np.array([[1.0, 2, 4], [8, 16, 32], [64, 128, 256]])
    weights = np.array([[1, 2, 1], [2, 4, 2], [1, 2, 1]])
    found = grid_volume(z, 3.0, 0.5, 2.0)
    assert found.volume == pytest.approx(6 / 4 * (weights * (z - 0.5)).sum())
    assert found.cut - found.fill == pytest.approx(found.volume)


@given(d=st.tuples(depths, depths, depths))
def test_splitting_a_triangle_loses_no_earth(d):
    found = prism_cut_fill(TRIANGLE, d)
    assert found.net_cut == pytest.approx(prism_volume(TRIANGLE, d), abs=1e-9)
    assert found.plan_area == pytest.approx(12)
    other = prism_cut_fill(TRIANGLE, [-v for v in d])
    assert other.cut == pytest.approx(found.fill, abs=1e-9)
    # by brute force on a fine grid of the triangle
    n = 60
    u, v = np.meshgrid((np.arange(n) + 0.5) / n, (np.arange(n) + 0.5) / n)
    u, v = u * (1 - v), v
    w = (1 - (np.arange(n) + 0.5) / n)[:, None] * np.ones(n) * 24 / n**2
    z = d[0] + u * (d[1] - d[0]) + v * (d[2] - d[0])
    assert found.cut == pytest.approx((np.maximum(z, 0) * w).sum(), abs=0.02)


def test_ground_just_touching_grade_is_neither_cut_nor_fill():
    assert prism_cut_fill(TRIANGLE, [0, 0, 0]).volume == 0
    assert prism_cut_fill(TRIANGLE, [0, 0, -2]).cut == 0
    assert prism_cut_fill(TRIANGLE, [0, 3, -3]).plan_area == pytest.approx(12)


def test_many_triangles_are_one_sum():
    many = np.array([TRIANGLE, np.add(TRIANGLE, 9), np.add(TRIANGLE, 20)])
    found = prism_cut_fill(many, [[1, 1, 1], [1, 1, -2], [-1, -1, -1]])
    assert found.cut == pytest.approx(12 + 32 / 9)
    assert found.fill == pytest.approx(12 + 32 / 9)


@given(p=depths, q=depths, z=depths)
def test_between_planes_a_wedge_is_exact_however_it_is_turned(p, q, z):
    square = [[0, 0], [6, 0], [6, 6], [0, 6]]
    found = cut_fill_between(plane(p, q, z), plane(0, 0), square)
    two = np.array([[square[0], square[1], square[2]], [square[0], square[2], square[3]]], float)
    corner = z + two @ [p, q]
    exact = prism_cut_fill(two, corner)
    assert found.cut == pytest.approx(exact.cut, rel=1e-6, abs=1e-9)
    assert found.fill == pytest.approx(exact.fill, rel=1e-6, abs=1e-9)


# spherical cap of height 3 on a dome of radius 20: pi h^2 (3R - h) / 3
def test_a_cap_cut_off_a_dome_has_its_closed_form():
    found = cut_fill_between(dome(20.0), plane(0, 0, 17.0), [-12, -12, 12, 12])
    assert found.cut == pytest.approx(np.pi * 9 * 57 / 3, rel=1e-7)


def test_a_wavy_ground_gives_what_it_takes():
    whole = [0, 0, 6 * np.pi, 6 * np.pi]
    found = cut_fill_between(wavy(), plane(0, 0), whole)
    assert found.cut == pytest.approx(found.fill, rel=1e-6)
    # integral of |sin x||cos y| over whole waves: each averages 2/pi
    assert found.volume == pytest.approx(0.5 * (2 / np.pi) ** 2 * (6 * np.pi) ** 2, rel=1e-6)


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_two_triangulations_give_the_same_earth_both_ways(seed):
    rng = np.random.default_rng(seed)
    corners = [[0, 0], [9, 0], [9, 9], [0, 9]]
    a, b = (
        np.column_stack([np.concatenate([corners, rng.uniform(0, 9, (6, 2))]), rng.normal(size=10)])
        for _ in range(2)
    )
    one, other = tin_difference(a, b), tin_difference(b, a)
    assert one.plan_area == pytest.approx(81)
    assert one.cut == pytest.approx(other.fill, rel=1e-9)
    assert one.fill == pytest.approx(other.cut, rel=1e-9)
    level = tin_to_surface(a, plane(0, 0)).net_cut - tin_to_surface(b, plane(0, 0)).net_cut
    assert one.net_cut == pytest.approx(level, rel=1e-6, abs=1e-9)


def test_triangles_may_be_named_instead_of_found():
    fan = [[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]]
    assert tin_to_surface(PYRAMID, plane(0, -0.6, 50), fan).cut == pytest.approx(100)
    found = tin_difference(PYRAMID, PYRAMID[:4], fan)
    assert found.cut == pytest.approx(100)
    assert found.fill == 0


def test_a_section_is_cut_where_grade_bends_between_its_points():
    found = section_cut_fill([[0, 0], [10, 0]], [[-1, 1], [5, -1], [11, 1]])
    # grade is below ground from x = 2 to 8: a triangle 6 wide and 1 deep
    assert found.cut == pytest.approx(3)
    assert found.fill == pytest.approx(2 * 2 * (2 / 3) / 2)
    np.testing.assert_allclose(found.crossings, [2, 8])
