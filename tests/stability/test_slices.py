"""Slices: cut circles weigh what geometry says; tables give what worked examples print."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.bishop import bishop
from hillwright.stability.circles import Circles
from hillwright.stability.crack import crack_depth
from hillwright.stability.givencircle import on_section
from hillwright.stability.planeslip import plane_slip
from hillwright.stability.section import section
from hillwright.stability.slices import cut
from hillwright.stability.slicetable import bishop_from_slices, ordinary_from_slices

GROUND = [[-20, 0], [10, 0], [30, 10], [50, 10]]
PHI = np.radians(25)


def sliced(count=40, centre=(15.0, 20.0), radius=21.0, **more):
    whole = section(
        more.pop("surface", GROUND),
        more.pop("cohesion", 5e3),
        more.pop("friction", PHI),
        more.pop("unit_weight", 18e3),
        **more,
    )
    seen, circle = on_section(whole, centre, radius)
    return cut(seen, circle, count), circle


def segment_area(circle: Circles) -> float:
    """Give the area between an arc and its chord, by geometry."""
    span = circle.head[0] - circle.foot[0]
    return float(circle.radius[0] ** 2 / 2 * (span - np.sin(span)))


def under_ground(circle: Circles, points) -> float:
    """Give the area between the chord of an arc and the ground over it, by the shoelace rule."""
    left = circle.x[0] + circle.radius[0] * np.sin(circle.foot[0])
    right = circle.x[0] + circle.radius[0] * np.sin(circle.head[0])
    x, z = np.asarray(points, float).T
    inner = x[(x > left) & (x < right)]
    at = np.concatenate([[left], inner, [right]])
    level = np.interp(at, x, z)
    chord = np.interp(at, [left, right], [level[0], level[-1]])
    return float(np.trapezoid(level - chord, at))


@given(x=st.floats(12, 20), z=st.floats(14, 40), below=st.floats(0.5, 6), count=st.integers(30, 60))
def test_slices_weigh_what_the_mass_does(x, z, below, count):
    s, circle = sliced(count, (x, z), z + below)
    exact = segment_area(circle) + under_ground(circle, GROUND)
    assert s.area[0] == pytest.approx(exact, rel=2e-3)
    assert s.weight.sum() == pytest.approx(18e3 * exact, rel=2e-3)


def test_the_error_falls_with_the_square_of_the_number_of_slices():
    exact = bishop(sliced(2000)[0])[0]
    rough, fine = (bishop(sliced(n)[0])[0] - exact for n in (20, 40))
    assert rough / fine == pytest.approx(4, rel=0.3)


def test_slices_break_where_the_arc_meets_a_layer():
    # a few broken slices are as good as hundreds of even ones would be
    soils = {"cohesion": [20e3, 0.0], "friction": [0.0, PHI], "layer_lines": [-0.4]}
    few, many = (bishop(sliced(n, **soils)[0])[0] for n in (30, 1500))
    assert few == pytest.approx(many, rel=2e-3)


def test_layers_of_one_soil_are_that_soil():
    one = sliced()[0]
    same = {"cohesion": [5e3] * 3, "layer_lines": [[[0, 0], [50, 7]], -0.5]}
    many = sliced(**same)[0]
    assert bishop(many)[0] == pytest.approx(bishop(one)[0], rel=1e-3)
    assert many.weight.sum() == pytest.approx(one.weight.sum(), rel=1e-3)


def test_a_load_weighs_as_much_as_the_soil_that_it_stands_for():
    s, _ = sliced(surcharge=[[12.0, 25.0, 4e3]])
    bare, _ = sliced()
    assert s.weight.sum() - bare.weight.sum() == pytest.approx(13 * 4e3, rel=2e-3)


def test_water_fills_the_soil_below_its_line():
    wet, _ = sliced(water_line=GROUND, saturated_unit_weight=20e3)
    dry, _ = sliced()
    assert wet.weight.sum() == pytest.approx(dry.weight.sum() * 20 / 18, rel=1e-9)
    # pore pressure over the bases: the weight of water over them, by the cosine of each base
    assert (wet.uplift * wet.cos).sum() == pytest.approx(9810 * wet.area[0], rel=1e-9)


def test_strength_grows_below_the_top_of_its_soil():
    s, _ = sliced(
        cohesion=[0.0, 10e3], friction=[PHI, 0.0], cohesion_gain=[0, 2e3], layer_lines=[0.0]
    )
    x_length = s.width / s.cos
    clay = (s.tan == 0) & (s.width > 1e-9)
    strength = s.cohesive[clay] / x_length[clay]
    assert strength.min() >= 10e3
    assert strength.max() == pytest.approx(10e3 + 2e3 * 1.0, rel=0.02)  # the arc goes 1 m down


# BYU CE 544, ordinary method of slices, answer sheet: 1.45114
def test_the_pore_pressure_form_matters_more_than_the_geometry():
    angles = np.radians([60, 47, 41, 32, 22, 17, 8, 0, -8, -17, -30])
    table = {
        "weight": [
            *(15303.6, 35401.6, 57408, 98263.36, 81324.16, 75584),
            *(69240.6, 56153.88, 46724.04, 36340.92, 30472.2),
        ],
        "width": [10.9, 10.4, 12, 15.8, 12.4, 12.8, 14.3, 15.1, 17.1, 16.1, 24.3],
        "cohesion": [200, 100, 100, *[400] * 8],
        "friction": np.radians([28, 32, 32, *[27] * 8]),
        "base_angle": angles,
        "water_height": [2.3, 16.1, 26.1, 34.7, 38.4, 39.1, 36.4, 28.8, 20.7, 17.1, 9.5],
        "water_unit_weight": 62.4,
    }
    assert ordinary_from_slices(**table).factor == pytest.approx(1.45114, abs=1e-5)
    assert ordinary_from_slices(**table, pore_form="plain").factor == pytest.approx(
        1.2857, abs=1e-4
    )
    assert bishop_from_slices(**table).factor == pytest.approx(1.6242, abs=1e-4)


def test_one_pass_is_not_the_answer():
    # Caltrans 2025, example 10-4, stops at 0.90; its equation settles elsewhere
    table = {
        "weight": [7.43, 20.81, 32.06, 40.71, 45.64, 42.91],
        "width": 10.0,
        "offset": [5, 15, 25, 35, 45, 55],
        "radius": 60.0,
        "cohesion": 0.2,
        "friction": np.radians(30),
    }
    found = bishop_from_slices(**table, trial=[1.5, 0.8])
    assert found.next_factor == pytest.approx([1.10, 0.90], abs=0.012)
    again = bishop_from_slices(**table, trial=found.factor)
    assert again.next_factor == pytest.approx(found.factor, rel=1e-9)


def test_a_table_and_the_cut_circle_agree():
    s, _ = sliced(water_line=[[-20, -6], [50, 7]])
    real = s.width[0] > 1e-9
    table = {
        "weight": s.weight[0, real],
        "width": s.width[0, real],
        "cohesion": 5e3,
        "friction": PHI,
        "base_angle": np.arcsin(s.sin[0, real]),
        "pore_pressure": s.uplift[0, real] * s.cos[0, real] / s.width[0, real],
    }
    assert bishop_from_slices(**table).factor == pytest.approx(bishop(s)[0], rel=1e-6)


@pytest.mark.parametrize(
    ("change", "where", "words"),
    [
        ({"width": [1, 2]}, "width", "2 values for 3 slices"),
        ({"width": -1.0}, "width", "negative"),
        ({"weight": [[1, 2]]}, "weight", "not a list"),
        ({"base_angle": [0.1, 0.2, 1.6]}, "base_angle", "not an angle"),
        ({"base_angle": None}, "base_angle", "missing"),
        ({"offset": [1, 2, 3], "radius": 9.0}, "base_angle", "beside"),
        ({"base_angle": None, "offset": [1, 2, 10], "radius": 9.0}, "offset", "beyond"),
        ({"pore_pressure": 1.0, "water_height": 1.0}, "pore_pressure", "twice"),
        ({"base_angle": [-0.1, -0.2, -0.3]}, "base_angle", "nothing drives"),
        ({"friction": 1.2}, "friction", "over 50 deg"),
    ],
)
def test_a_table_that_is_none_has_words_of_its_own(change, where, words):
    table = {
        "weight": [1.0, 2.0, 1.0],
        "width": 1.0,
        "cohesion": 1.0,
        "friction": 0.5,
        "base_angle": [0.1, 0.3, 0.5],
    }
    for method in (ordinary_from_slices, bishop_from_slices):
        with pytest.raises(OutOfRange) as told:
            method(**{**table, **change})
        assert where in told.value.problems[0].where
        assert words in told.value.problems[0].what


def test_other_refusals_of_tables():
    table = {"weight": [1.0, 2.0], "width": 1.0, "friction": 0.5, "base_angle": [0.1, 0.3]}
    with pytest.raises(OutOfRange, match="several cohesions"):
        ordinary_from_slices(**table, cohesion=[1.0, 2.0], arc_length=3.0)
    with pytest.raises(OutOfRange, match=r"cos.squared"):
        ordinary_from_slices(**table, cohesion=1.0, pore_form="cosine")
    steep = {**table, "base_angle": [-1.45, 1.2], "weight": [0.5, 9.0]}
    with pytest.raises(OutOfRange, match=r"slice 1.*m_alpha"):
        bishop_from_slices(**steep, cohesion=0.01)


# plane through the toe: closed form for a dry wedge, Baker 2001 prints 1.352
@given(c=st.floats(0, 50e3), phi=st.floats(5, 45), out=st.floats(4, 30), kh=st.floats(0, 0.3))
def test_a_wedge_on_a_plane_has_a_closed_form(c, phi, out, kh):
    p = np.radians(phi)
    found = plane_slip(
        [[-10, 0], [0, 0], [2.5, 10], [40, 10]], c, p, 20e3, [0, 0], [out, 10], kh=kh
    )
    a, w = np.arctan2(10, out), 20e3 * 10 * (out - 2.5) / 2
    resisting = c * np.hypot(10, out) + w * (np.cos(a) - kh * np.sin(a)) * np.tan(p)
    assert found.weight == pytest.approx(w)
    assert found.factor == pytest.approx(resisting / (w * (np.sin(a) + kh * np.cos(a))))


def test_a_plane_seen_from_the_other_side_is_the_same():
    one = plane_slip(GROUND, 5e3, PHI, 18e3, [10, 0], [35, 10], water_line=[[-20, -6], [50, 6]])
    other = plane_slip(
        [[-x, z] for x, z in GROUND],
        5e3,
        PHI,
        18e3,
        [-10, 0],
        [-35, 10],
        water_line=[[20, -6], [-50, 6]],
    )
    assert one.factor == pytest.approx(other.factor, rel=1e-9)


def test_a_crack_with_water_pushes_a_wedge():
    dry = plane_slip(GROUND, 5e3, PHI, 18e3, [10, 0], [33, 8])
    wet = plane_slip(GROUND, 5e3, PHI, 18e3, [10, 0], [33, 8], crack_water=2.0)
    a, thrust = np.arctan2(8, 23), 0.5 * 9810 * 2**2
    assert wet.driving - dry.driving == pytest.approx(thrust * np.cos(a))
    assert dry.resisting - wet.resisting == pytest.approx(thrust * np.sin(a) * np.tan(PHI))


@pytest.mark.parametrize(
    ("foot", "head", "more", "words"),
    [
        ([10, 0], [35, 13], {}, "above the ground"),
        ([20, 2], [35, 10], {}, "below the ground"),
        ([35, 10], [10, 0], {}, "not below the head"),
        ([10, 0], [70, 10], {}, "beyond the ground"),
        ([10, 0], [33, 8], {"crack_water": 3.0}, "above the ground"),
        ([30, 10], [30, 10.05], {}, "upright"),
    ],
)
def test_a_plane_that_is_none_has_words_of_its_own(foot, head, more, words):
    with pytest.raises(OutOfRange, match=words):
        plane_slip(GROUND, 5e3, PHI, 18e3, foot, head, **more)


def test_a_plane_may_not_leave_the_ground():
    hollow = [[0, 0], [10, 0], [20, 1], [30, 10], [50, 10]]
    with pytest.raises(OutOfRange, match="leaves the ground"):
        plane_slip(hollow, 5e3, PHI, 18e3, [10, 0], [30, 10])


# Rankine: clay without friction stands in tension to 2 c / g
@given(c=st.floats(0, 1e5), weight=st.floats(12e3, 25e3))
def test_clay_cracks_to_twice_its_strength_over_its_weight(c, weight):
    found = crack_depth(c, 0.0, weight)
    assert found.active == pytest.approx(1.0)
    assert found.depth == pytest.approx(2 * c / weight)
    assert found.thrust == pytest.approx(9810 * found.depth**2 / 2)


def test_a_load_closes_the_crack():
    assert crack_depth(10e3, 0.0, 20e3, surcharge=5e3).depth == pytest.approx(0.75)
    assert crack_depth(10e3, 0.0, 20e3, surcharge=50e3).depth == 0.0
    assert crack_depth([10e3, 20e3], [0.0, 0.3], 20e3).depth.shape == (2,)
