"""Slope length and steepness, erodibility, cover and soil loss: limits, invariants, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.cover import (
    canopy_cover,
    contour_practice,
    exponential_cover,
    grass_cover,
    mulch_cover,
    terrace_practice,
)
from hillwright.runoff.depression import hollow_storage
from hillwright.runoff.erodibility import (
    SI_K,
    SI_R,
    nomograph,
    organic_correction,
    texture_erodibility,
    very_fine_sand,
)
from hillwright.runoff.lsfactor import (
    PLOT,
    doubts,
    ls_range,
    ls_rusle,
    ls_usle,
    segment_shares,
    steepness,
)
from hillwright.runoff.soilloss import (
    delivery_ratio,
    doubtful_reduction,
    in_words,
    soil_loss,
    soil_loss_us,
    storm_sediment,
)
from hillwright.runoff.states import cover_states, state_loss, state_numbers

FOOT = 0.3048
SLOPE = st.floats(0.01, 1.2)
LENGTH = st.floats(0.0, 400.0)
RATIO = st.floats(0.1, 3)


def test_the_unit_plot_has_the_factor_one():
    # 72.6 ft at 9 %: RUSLE's two branches meet there, within their rounding
    assert ls_rusle(PLOT, math.atan(0.09), 1.0).ls == pytest.approx(1.0, abs=0.01)
    assert steepness(math.atan(0.09)).liu == pytest.approx(1.0, abs=0.01)


@given(length=st.tuples(LENGTH, LENGTH).map(sorted), slope=SLOPE, ratio=RATIO)
def test_a_longer_slope_never_loses_less(length, slope, ratio):
    ls = ls_rusle(length, slope, ratio).ls
    assert ls[0] <= ls[1] * (1 + 1e-9)


@given(slope=SLOPE, ratio=RATIO)
def test_the_short_slope_rule_joins_at_15_feet_and_ends_at_3(slope, ratio):
    at = np.array([2.0, 3.0, 15 - 1e-6, 15.0]) * FOOT
    ls = ls_rusle(at, slope, ratio).ls
    assert ls[2] == pytest.approx(ls[3], rel=1e-5)
    assert ls[0] == ls[1]


@given(slope=SLOPE, ratio=RATIO)
def test_on_log_paper_a_short_steep_slope_is_straight(slope, ratio):
    ls = ls_rusle(np.array([3.0, np.sqrt(45.0), 15.0]) * FOOT, slope, ratio).ls
    assert ls[1] == pytest.approx(np.sqrt(ls[0] * ls[2]))


# notes on the reference table: at 50 % LS (high ratio) 9.13 at 100 ft and 0.58 at 3 ft and less
def test_rows_three_feet_apart_leave_a_sixteenth_of_what_a_hundred_feet_lose():
    ls = ls_rusle(np.array([100.0, 3.0]) * FOOT, math.atan(0.5), 2.0).ls
    assert ls[0] / ls[1] == pytest.approx(9.13 / 0.58, rel=0.01)


@given(length=LENGTH, slope=SLOPE, ratio=RATIO)
def test_the_range_holds_its_best(length, slope, ratio):
    low, best, high = ls_range(length, slope, ratio)
    assert low <= best <= high
    assert best == ls_rusle(length, slope, ratio).ls


def test_below_nine_percent_the_range_is_one_figure():
    assert len(set(map(float, ls_range(30.0, math.atan(0.05))))) == 1


@given(exponent=st.floats(0, 1), segments=st.integers(1, 200))
def test_the_pieces_of_a_slope_make_up_the_whole_and_grow_downhill(exponent, segments):
    shares = segment_shares(exponent, segments)
    assert shares.sum() == pytest.approx(1.0, rel=1e-12)
    assert (np.diff(shares) >= -1e-12).all()


def test_what_the_data_do_not_reach_is_said():
    assert doubts(30.0, math.atan(0.2)) == ()
    assert "one series reaches 55 %" in doubts(30.0, math.atan(0.5))[0]
    assert "measured plots end at 55 %" in doubts(30.0, math.atan(0.58))[0]
    assert "above 60 % no published" in doubts(30.0, math.atan(0.7))[0]
    assert "longer than the tables" in doubts(400.0, math.atan(0.2))[0]
    assert "short-slope cells" in doubts(1.0, math.atan(0.2))[0]


def test_si_and_us_factors_give_the_same_soil():
    us = soil_loss_us(120.0, 0.3, 2.5, 0.4, 0.9)
    assert soil_loss(120.0 * SI_R, 0.3 * SI_K, 2.5, 0.4, 0.9) == pytest.approx(us)
    assert us == pytest.approx(120 * 0.3 * 2.5 * 0.4 * 0.9 * 907.18474 / 4046.8564224)


@given(
    silt=st.floats(0, 0.69),
    sand=st.floats(0, 0.3),
    organic=st.floats(0, 0.2),
    structure=st.floats(1, 4),
    permeability=st.floats(1, 6),
)
def test_erodibility_is_never_negative(silt, sand, organic, structure, permeability):
    assert nomograph(silt, sand, organic, structure, permeability).us >= 0


def test_organic_matter_above_four_percent_counts_as_four():
    assert nomograph(0.4, 0.3, 0.09, 2, 3).us == nomograph(0.4, 0.3, 0.04, 2, 3).us


def test_half_of_a_sandy_soil_s_sand_may_be_very_fine():
    assert very_fine_sand(0.5) == pytest.approx((0.74 * 50 - 0.0062 * 2500) / 100)


@given(cover=st.tuples(st.floats(0, 1), st.floats(0, 1)).map(sorted), fall=st.floats(0.5, 4))
def test_more_cover_never_loses_more(cover, fall):
    for factor in (exponential_cover(cover), grass_cover(cover), canopy_cover(cover, fall)):
        assert factor[1] <= factor[0] + 1e-12


def test_a_canopy_between_two_heights_lies_between_their_factors():
    assert canopy_cover(0.5, 1.5) == pytest.approx((0.75 + 0.65) / 2)


def test_a_slope_between_two_classes_of_mulch_is_in_one_of_them():
    ton_per_acre = 907.18474 / 4046.8564224
    for percent in np.arange(1.0, 50.0, 0.1):
        found = mulch_cover("straw or hay, anchored", 2 * ton_per_acre, math.atan(percent / 100))
        assert 0.06 <= found.factor <= 0.2


def test_a_level_row_earns_half_and_a_steep_one_nothing():
    assert (terrace_practice(2.0, 0.0), terrace_practice(2.0, 0.008)) == (0.5, 1.0)


def test_the_four_states_lose_less_and_less():
    states = cover_states()
    assert [s.name for s in states] == ["bare hill", "just built", "first wet season", "grown in"]
    best = [s.c[1] for s in states]
    assert best == sorted(best, reverse=True)
    for state in states:
        assert list(state.c) == sorted(state.c)
        assert list(state.p) == sorted(state.p)
        low, middle, high = state_numbers(state, "C")
        assert 30 <= low <= middle <= high <= 100


def test_rows_alone_earn_no_lower_curve_number():
    bare, built = cover_states()[:2]
    assert state_numbers(bare, "C") == state_numbers(built, "C")


def test_each_state_loses_less_than_the_one_before_and_lies_in_its_range():
    slope = np.arctan([0.3, 0.5, 0.7])
    k = (0.02, 0.03, 0.04)
    before = np.inf
    for state in cover_states():
        loss = state_loss(state, 1.0, k, 1.0 if state.rows else 30.0, slope)
        assert (loss.low <= loss.best).all()
        assert (loss.best <= loss.high).all()
        assert (loss.best <= before).all()
        before = loss.best


def test_a_range_is_no_wider_than_all_its_ends_at_once():
    bare = cover_states()[0]
    loss = state_loss(bare, 1.0, (0.02, 0.03, 0.04), 30.0, math.atan(0.5))
    ls = ls_range(30.0, math.atan(0.5), bare.rill_ratio)
    assert loss.low > 0.02 * ls.low * bare.c[0] * bare.p[0]
    assert loss.high < 0.04 * ls.high * bare.c[2] * bare.p[2]


@pytest.mark.parametrize(
    ("mass", "said"),
    [
        (0.2, "next to nothing"),
        (16.0, "about 1 bucket"),
        (1100.0, "about 10 wheelbarrows"),
        (12345.0, "about 110 wheelbarrows, or about 18 pickup loads"),
    ],
)
def test_tonnes_are_said_as_a_person_carries_them(mass, said):
    assert in_words(mass) == said


def test_a_reduction_that_no_plot_has_measured_is_doubted():
    assert "more than plots" in doubtful_reduction(100.0, 0.1, rows_and_cover=True)
    assert "less than well-built" in doubtful_reduction(100.0, 60.0, rows_and_cover=True)
    assert doubtful_reduction(100.0, 10.0, rows_and_cover=True) == ""


@given(area=st.floats(1, 1e9))
def test_no_watershed_delivers_more_than_it_loses(area):
    assert 0 < delivery_ratio(area) <= 1


def test_rough_ground_holds_nothing_on_a_steep_slope():
    assert hollow_storage(0.03, math.atan(0.5)) == 0


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: ls_rusle(-1, 0.3), "length: is negative"),
        (lambda: ls_rusle(10, 1.6), "slope: is not an angle of ground"),
        (lambda: ls_rusle(10, 0.3, 9), "rill_ratio: 9 is not within 0 to 5"),
        (lambda: ls_usle(10, -0.1), "slope: is not an angle of ground"),
        (lambda: segment_shares(0.5, 0), "segments: 0 is no number of pieces"),
        (lambda: soil_loss(-1, 0.1, 1, 1), "erosivity: is negative"),
        (lambda: soil_loss(1, 0.1, 1, 5), "cover: 5 is not within 0 to 2"),
        (lambda: soil_loss_us(100, 4.0, 1, 1), "give K in US units"),
        (lambda: storm_sediment(-1, 0.1, 0.3, 1, 1), "runoff: is negative"),
        (lambda: delivery_ratio(0), "area: is zero"),
        (lambda: nomograph(0.7, 0.1, 0.02, 2, 3), "where the equation ends"),
        (lambda: nomograph(0.6, 0.5, 0.02, 2, 3), "more than the whole soil"),
        (lambda: nomograph(0.4, 0.1, 0.02, 5, 3), "give the class, 1 to 4"),
        (lambda: nomograph(0.4, 0.1, 0.02, 2, 7), "give the class, 1 to 6"),
        (lambda: organic_correction(0.3, 0.06), "the table goes from 0 to 4 %"),
        (lambda: texture_erodibility("sandy lome"), "did you mean sandy loam"),
        (lambda: canopy_cover(0.5, 9), "the table goes from 0.5 to 4 m"),
        (lambda: contour_practice(0.4), "take P = 1"),
        (lambda: mulch_cover("hay", 0.4, 0.1), "did you mean straw or hay, anchored"),
        (lambda: mulch_cover("wood chips", 0.1, 0.1), "less than the table has"),
        (lambda: mulch_cover("wood chips", 1.7, 0.3), "the table ends at 20 %"),
        (lambda: terrace_practice(-1), "interval: is negative"),
        (lambda: hollow_storage(-0.1, 0.1), "roughness: is negative"),
    ],
)
def test_each_wrong_input_has_a_message_of_its_own(call, said):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert said in str(caught.value)
