"""The search: published minima, every family, invariants, and circles that may not be."""

import pickle
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability import polyline, trial
from hillwright.stability.critical import critical_on
from hillwright.stability.criticalcircle import critical_circle
from hillwright.stability.given import WATER
from hillwright.stability.givencircle import factors_on
from hillwright.stability.section import Anchors, mirrored, section
from hillwright.stability.skin import skin
from hillwright.stability.taylor import stability_number

few = settings(max_examples=12)  # each is several searches
FT, PSF, PCF = 0.3048, 47.88025898, 157.0874606
cohesions = st.floats(2e3, 40e3)
frictions = st.floats(5, 35).map(np.radians)


def simple(c=10e3, phi=0.35, slope=2.0, height=8.0, **more):
    """Make a simple slope of H:V ``slope`` with level ground above and below."""
    run, far = slope * height, 3 * height
    ground = [[-far, 0], [0, 0], [run, height], [run + far, height]]
    return section(ground, c, phi, more.pop("unit_weight", 18e3), **more)


def taller_ground():
    """Give a rough hillside, as a survey finds it; invented."""
    x = np.linspace(0, 40, 81)
    z = 12 / (1 + np.exp(-(x - 20) / 4)) + 0.3 * np.sin(1.7 * x) + 0.02 * x
    return np.column_stack([x, z])


# ACADS EX1(a): consensus 1.00, converged searches 0.985 and 0.984 (Giam and Donald 1989)
def test_a_coarse_search_is_as_good_as_a_fine_one():
    one = section([[20, 25], [30, 25], [50, 35], [70, 35]], 3e3, np.radians(19.6), 20e3, base=20.0)
    coarse, fine = (critical_on(one, trials=n) for n in (1000, 20000))
    assert coarse.factors == pytest.approx([0.9852, 0.9842], abs=2e-4)
    assert coarse.factors == pytest.approx(fine.factors, rel=1e-4)
    assert fine.tried > coarse.tried > 1000


# Duncan and Wright 2005, Fig. 14.3: toe circle 1.123, base circle 1.135; one hides the other
def test_minima_on_the_toe_and_on_the_base_are_told_apart():
    ground = np.array([[0, 30], [90, 30], [130, 80], [240, 80]]) * FT
    found = critical_circle(ground, 1000 * PSF, 0.0, 100 * PCF, base=0.0)
    assert found.bishop == pytest.approx(1.1234, abs=5e-4)
    assert found.toe == pytest.approx(1.1234, abs=5e-4)
    assert found.base == pytest.approx(1.1350, abs=5e-4)
    assert found.centre / FT == pytest.approx([102.5, 102], abs=1.5)


# Duncan and Wright 2005, Fig. 14.4: deep 1.40, skin tan 30 * 38/15
def test_the_skin_of_sand_does_not_hide_the_deep_circle():
    ground = np.array([[0, 20], [40, 20], [78, 35], [130, 35]]) * FT
    found = critical_circle(
        ground,
        np.array([0, 450]) * PSF,
        np.radians([30, 0]),
        120 * PCF,
        layer_lines=[20 * FT],
        base=0.0,
    )
    assert found.bishop == pytest.approx(1.4085, abs=1e-3)
    assert found.skin == pytest.approx(np.tan(np.radians(30)) * 38 / 15)
    assert found.depth > 5 * FT
    assert found.layers.shape == (1,)


def test_circles_stay_above_the_base():
    firm = [[-30, -4], [10, -1], [40, -3]]
    found = critical_on(simple(phi=0.0, base=firm))
    below = found.arc[:, 1] - polyline.height(np.array(firm), found.arc[:, 0])
    assert below.min() > -1e-4
    assert below.min() < 0.05  # clay goes as deep as it may
    assert {f.family for f in found.families} >= {"base", "toe", "free"}


@few
@given(c=cohesions, phi=frictions, slope=st.floats(1, 4), water=st.floats(0, 0.9))
def test_the_search_finds_no_more_than_any_circle_has(c, phi, slope, water):
    level = [[-24, 0], [0, 0], [8 * slope, 8 * water], [8 * slope + 24, 8 * water]]
    one = simple(c, phi, slope, water_line=level)
    least = critical_on(one).factor("bishop")
    rng = np.random.default_rng(5)
    space = trial.of(one)
    at = np.column_stack(
        [
            rng.uniform(space.left, space.crest, 4000),
            rng.uniform(space.toe, space.right, 4000),
            rng.uniform(0.02, 1, 4000),
        ]
    )
    circles, _ = trial.place(space, at, np.full(4000, trial.FREE, np.intp))
    others = trial.rate(space, circles, trial.named("bishop"), 40)
    assert least <= others.min() * (1 + 1e-3)


@few
@given(c=cohesions, phi=frictions, slope=st.floats(1.5, 4))
def test_the_circle_that_is_told_has_the_factor_that_is_told(c, phi, slope):
    one = simple(c, phi, slope, kh=0.1, crack_depth=0.5)
    found = critical_on(one, ("spencer", "bishop"))
    again = factors_on(one, found.centre, found.radius, count=40)
    assert again.bishop == pytest.approx(found.factor("bishop"), rel=1e-3)
    assert again.foot == pytest.approx(found.foot, abs=1e-6)
    assert found.head[1] == pytest.approx(polyline.height(one.ground, found.head[:1])[0])
    assert found.arc[-2, 1] == pytest.approx(found.head[1] - 0.5)  # the crack is drawn
    assert found.weight == pytest.approx(again.weight, rel=1e-3)


@few
@given(c=cohesions, phi=frictions, slope=st.floats(1, 4), dx=st.floats(-99, 99))
def test_a_mirrored_or_moved_slope_has_the_same_circle(c, phi, slope, dx):
    one = (
        simple(c, phi, slope, layer_lines=[-1.0], base=-6.0, kh=0.05) if c > 1e4 else simple(c, phi)
    )
    found, other = critical_on(one), critical_on(mirrored(one))
    assert np.array_equal(found.factors, other.factors)
    assert np.array_equal(found.arc * [-1, 1], other.arc)
    moved = simple(c, phi)
    shifted = section(moved.ground + np.array([dx, -dx]), c, phi, 18e3)
    assert critical_on(shifted).factors == pytest.approx(critical_on(moved).factors, rel=1e-4)


@few
@given(c=cohesions, phi=frictions, slope=st.floats(1.5, 4), less=st.floats(0.2, 0.6))
def test_a_steeper_slope_is_less_safe(c, phi, slope, less):
    flat, steep = (critical_on(simple(c, phi, s)).factors for s in (slope, slope - less))
    assert (steep < flat).all()


@few
@given(c=cohesions, phi=frictions, levels=st.tuples(st.floats(0, 7), st.floats(0, 7)).map(sorted))
def test_more_water_never_makes_a_slope_safer(c, phi, levels):
    drier, wetter = (
        critical_on(simple(c, phi, water_line=[[-24, 0], [0, 0], [16, z], [40, z]])).factors
        for z in levels
    )
    assert (wetter <= drier * (1 + 1e-4)).all()


@few
@given(c=cohesions, phi=frictions, more=st.floats(500, 9e3), kh=st.floats(0.02, 0.2))
def test_strength_helps_and_an_earthquake_does_not(c, phi, more, kh):
    base = critical_on(simple(c, phi)).factors
    assert (critical_on(simple(c + more, phi)).factors > base).all()
    assert (critical_on(simple(c, phi, kh=kh)).factors < base).all()


def test_a_load_behind_the_crest_makes_a_slope_less_safe():
    loaded = critical_on(simple(surcharge=[[16, 24, 12e3]]))
    assert (loaded.factors < critical_on(simple()).factors).all()


def test_anchors_make_the_worst_circle_safer_and_the_side_is_told():
    one = simple(c=3e3)
    bars = Anchors(
        np.array([[8.0, 4.0], [12.0, 6.0]]),
        np.radians([10.0, 10.0]),
        np.array([12.0, 12.0]),
        np.array([15e3, 15e3]),
    )
    bare, held = critical_on(one), critical_on(replace(one, anchors=bars))
    pulled = critical_on(replace(one, anchors=replace(bars, resisting=False)))
    assert (held.factors > bare.factors).all()
    assert (pulled.factors > bare.factors).all()
    assert (bare.anchors, held.anchors, pulled.anchors) == ("none", "resisting", "driving")
    flipped = critical_on(mirrored(replace(one, anchors=bars)))
    assert np.array_equal(flipped.factors, held.factors)


def test_both_sides_of_a_ridge_are_searched():
    ridge = [[-30, 0], [0, 0], [24, 8], [28, 8], [38, 1], [70, 1]]
    found = critical_on(section(ridge, 5e3, 0.4, 18e3))
    assert found.foot[0] > found.head[0] > 20  # the steep side is on the right
    other = critical_on(section([[-x, z] for x, z in ridge], 5e3, 0.4, 18e3))
    assert np.array_equal(found.factors, other.factors)


def test_a_surveyed_hillside_is_searched_as_well_as_a_drawn_one():
    one = section(taller_ground(), 4e3, np.radians(28), 18e3)
    found = critical_on(one)
    assert found.factors == pytest.approx(critical_on(one, trials=15000).factors, rel=5e-3)
    assert not found.at_edge


def test_ground_that_ends_too_soon_is_told():
    assert critical_on(simple(c=40e3, phi=0.0)).at_edge
    assert not critical_on(simple()).at_edge


def test_the_search_is_the_same_every_time_and_its_result_travels():
    one, other = critical_on(simple()), critical_on(simple())
    assert np.array_equal(one.arc, other.arc)
    assert one.families == other.families
    back = pickle.loads(pickle.dumps(one))
    assert np.array_equal(back.arc, one.arc)
    with pytest.raises(ValueError, match="read-only"):
        one.arc[0, 0] = 0.0


@given(phi=st.floats(5, 45).map(np.radians), slope=st.floats(0.8, 5), ru=st.floats(0, 0.4))
def test_the_skin_is_an_infinite_slope_without_cohesion(phi, slope, ru):
    b = np.arctan(1 / slope)
    assert skin(simple(0.0, phi, slope)) == pytest.approx(np.tan(phi) * slope)
    wet = skin(simple(0.0, phi, slope, pore_pressure_ratio=ru))
    exact = max(np.cos(b) ** 2 - ru, 0) * np.tan(phi) / (np.sin(b) * np.cos(b))
    assert wet == pytest.approx(exact)
    assert skin(simple(1e3, phi, slope)) == np.inf


def test_the_skin_sees_only_the_soil_that_comes_to_the_surface():
    below = simple([5e3, 0.0], [0.4, 0.5], layer_lines=[[[-24, -1], [0, -1], [16, 7], [40, 7]]])
    assert skin(below) == np.inf
    out = simple([5e3, 0.0], [0.4, 0.5], layer_lines=[4.0])
    assert skin(out) == pytest.approx(2 * np.tan(0.5))
    level = [[-24, 0], [0, 0], [16, 8], [40, 8]]
    wet = skin(simple(0.0, 0.5, water_line=level))
    b = np.arctan(0.5)
    assert wet == pytest.approx((1 - WATER / 18e3 / np.cos(b) ** 2) * np.tan(0.5) * 2)


# Taylor 1937: c / (F g H) of a simple slope without friction does not depend on its size
@few
@given(height=st.floats(2, 30), c=st.floats(5e3, 50e3), slope=st.floats(45, 70).map(np.radians))
def test_a_slope_without_friction_has_one_stability_number(height, c, slope):
    found = critical_circle(simple(c, 0.0, 1 / np.tan(slope), height).ground, c, 0.0, 18e3)
    number = stability_number(slope, 0.0)
    assert c / (found.toe * 18e3 * height) == pytest.approx(number, rel=5e-3)


def test_friction_alone_holds_a_flatter_slope():
    assert stability_number(np.radians(20), np.radians(25)) == 0.0
    with pytest.raises(OutOfRange, match="80 deg"):
        stability_number(np.radians(85), 0.0)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"methods": ()}, "names none"),
        ({"methods": ("bishops",)}, "did you mean bishop"),
        ({"trials": 10}, "see too little"),
        ({"least_depth": 50.0}, "not a depth"),
        ({"least_depth": -1.0}, "not a depth"),
    ],
)
def test_what_no_search_can_do_has_words_of_its_own(change, words):
    with pytest.raises(OutOfRange, match=words):
        critical_on(simple(), **change)


def test_a_section_with_no_room_for_a_circle_is_refused():
    with pytest.raises(OutOfRange, match="no circle"):
        critical_on(section([[0, 0], [10, 5]], 5e3, 0.4, 18e3, base=[[0, 0], [10, 5]]))
