"""What each bar holds: the table, the rules that apply, rust, and a test on the site."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.anchorbars import (
    WAYS,
    BarGround,
    PullTest,
    bar_capacities,
    bars,
    choice,
    yield_strength,
)
from hillwright.stability.broms import broms_sand_load
from hillwright.stability.steel import round_bar

SAND = BarGround(17e3, np.radians(32), 0.26)
CLAY = BarGround(17e3, undrained_strength=25e3)
PULL, SIDE, CODE, STEEL, JOINT = range(5)


def test_the_table_is_that_of_the_standard():
    b = bars()
    assert b.bar.tolist() == [3, 4, 5, 6, 7, 8]
    # ASTM A615: nominal diameters are whole eighths of an inch
    np.testing.assert_allclose(b.diameter, b.bar / 8 * 0.0254, rtol=1e-12)
    np.testing.assert_allclose(b.area, round_bar(b.diameter).area, rtol=0.025)
    np.testing.assert_allclose(b.mass, round_bar(b.diameter).mass, rtol=0.01)
    assert yield_strength("60") == pytest.approx(413.7e6, rel=1e-4)


def test_every_bar_at_every_depth_is_tried():
    found = bar_capacities(SAND)
    assert len(found.bar) == len(bars().bar) * len(choice()["embedments"])
    assert found.capacity.shape == found.required.shape == (len(WAYS), len(found.bar))


@pytest.mark.parametrize("ground", [SAND, CLAY])
def test_the_allowable_load_is_the_least_of_all_ways(ground):
    found = bar_capacities(ground, connection=300.0)
    np.testing.assert_allclose(found.allowable, (found.capacity / found.required).min(axis=0))
    assert found.allowable.max() <= 150.0


@pytest.mark.parametrize("ground", [SAND, CLAY])
def test_deeper_and_thicker_never_holds_less(ground):
    found = bar_capacities(ground)
    n = len(choice()["embedments"])
    held = found.allowable.reshape(-1, n)
    assert (np.diff(held, axis=0) >= -1e-9).all()
    assert (np.diff(held, axis=1) >= -1e-9).all()


@given(share=st.floats(0.1, 1.0), strong=st.booleans())
def test_at_the_load_that_steel_allows_the_bar_just_reaches_its_moment(share, strong):
    """The moment under the steel's load, found by Broms' own formulas, is that of the bar."""
    ground = CLAY if strong else SAND
    found = bar_capacities(ground, share=share, zinc=1.0)  # so much zinc that nothing rusts
    load = found.capacity[STEEL] / found.required[STEEL]
    d, e = found.diameter, choice()["head"] + choice()["loose"]
    if strong:
        f = load / (9 * 25e3 * share * d)
        moment = load * (e + 1.5 * d + f / 2)
    else:
        kp = np.tan(np.pi / 4 + ground.friction / 2) ** 2
        f = np.sqrt(2 * load / (3 * d * kp * 17e3 * share))
        moment = load * (e + f) - 0.5 * d * 17e3 * kp * share * f**3
    plastic = yield_strength("60") * d**3 / 6 / found.required[STEEL]
    np.testing.assert_allclose(moment, plastic, rtol=1e-6)


def test_a_face_has_half_the_resistance_and_loose_soil_counts_for_nothing():
    level, face = bar_capacities(SAND, share=1.0), bar_capacities(SAND)
    np.testing.assert_allclose(face.capacity[SIDE], level.capacity[SIDE] / 2)
    d, length = face.diameter, face.length
    loose, head = choice()["loose"], choice()["head"]
    by_hand = broms_sand_load(length - loose, head + loose, d, SAND.friction, 17e3, 0.5).load
    np.testing.assert_allclose(face.capacity[SIDE], by_hand)


def test_where_two_rules_apply_the_lesser_counts():
    both = bar_capacities(BarGround(17e3, np.radians(32), 0.26, 25e3))
    sand, clay = bar_capacities(SAND), bar_capacities(CLAY)
    for way in (PULL, SIDE):
        np.testing.assert_allclose(
            both.capacity[way], np.minimum(sand.capacity[way], clay.capacity[way])
        )
    # without the code's bearing its formula has nothing to say
    assert np.isinf(sand.capacity[CODE]).all()
    assert np.isfinite(bar_capacities(SAND._replace(lateral_bearing=23e3)).capacity[CODE]).all()


def test_a_test_overrides_the_rules_for_bars_as_thick_and_deep_and_no_others():
    test = PullTest(4000.0, 0.0159, 0.75, wet=True, along_slope=True)  # a No. 5 bar, 30 in
    found, plain = bar_capacities(SAND, test=test), bar_capacities(SAND)
    like = (found.bar >= 5) & (found.length > 0.74)
    assert like.sum() == 4 * 4
    np.testing.assert_allclose(found.capacity[PULL, like], 4000)
    np.testing.assert_allclose(found.capacity[SIDE, like], 4000)
    np.testing.assert_allclose(found.allowable[~like], plain.allowable[~like])
    # the thinnest of them rusts: what the test showed of its bending is no longer all there
    thin = like & (found.bar == 5)
    assert (found.capacity[STEEL, thin] < 4000).all()


def test_a_dry_test_counts_half_and_one_along_the_bar_says_nothing_sideways():
    dry = PullTest(4000.0, 0.0159, 0.75, wet=False, along_slope=False)
    found, plain = bar_capacities(SAND, test=dry), bar_capacities(SAND)
    assert found.capacity[PULL].max() == pytest.approx(2000)
    np.testing.assert_allclose(found.capacity[SIDE], plain.capacity[SIDE])


@given(life=st.tuples(st.floats(0, 100), st.floats(0, 100)).map(sorted))
def test_a_longer_life_never_holds_more(life):
    year = 365.25 * 86400
    young, old = (bar_capacities(SAND, life=t * year).capacity[STEEL] for t in life)
    assert (old <= young * (1 + 1e-12)).all()


def test_a_bar_that_rusts_away_holds_nothing():
    found = bar_capacities(SAND, zinc=0.0, life=1100 * 365.25 * 86400)
    assert found.allowable.max() == 0


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: bar_capacities(BarGround(17e3)), "neither friction nor undrained strength"),
        (lambda: bar_capacities(BarGround(17e3, 0.5)), "nothing says what pullout it gives"),
        (lambda: bar_capacities(BarGround(-17e3, 0.5, 0.2)), "unit_weight: is negative"),
        (lambda: bar_capacities(SAND, grade="50"), "'50' is not known"),
        (lambda: bar_capacities(SAND, embedments=(0.6, -0.1)), "embedments, value 2: is negative"),
        (
            lambda: bar_capacities(SAND, test=PullTest(0.0, 0.0159, 0.75, True, True)),
            "load of the pull test: is zero",
        ),
        (
            lambda: bar_capacities(SAND, test=PullTest(1e3, 0.0, 0.75, True, True)),
            "bar of the pull test, value 1: is zero",
        ),
    ],
)
def test_each_wrong_input_has_its_own_message(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
