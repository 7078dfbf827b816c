"""Climbing, rest, heat and norms: limits, branches, and what no table covers."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.crew.energy import (
    lcda,
    minetti,
    naismith,
    paced,
    pandolf,
    rest_time,
    terrain_factor,
    tobler,
)
from hillwright.crew.heat import band, celsius, fahrenheit, heat_index, wbgt, wbgt_estimate
from hillwright.crew.heatwork import (
    capacity_dunne,
    capacity_hothaps,
    heat_limits,
    new_hand_share,
    screening_limit,
    work_class,
    work_rest,
)
from hillwright.crew.norms import (
    barrow_norm,
    hand_dig,
    hand_fill,
    hand_transport,
    hand_trim,
    labour_constant,
    labour_norm,
    practice_band,
)
from hillwright.errors import OutOfRange


@given(st.floats(40, 120), st.floats(0, 40), st.floats(0, 2), st.floats(0, 0.5), st.floats(0, 20))
def test_more_load_never_costs_less(body, load, speed, slope, more):
    one, two = (pandolf(body, x, speed, slope, 1.2, 1.3) for x in (load, load + more))
    assert two >= one - 1e-9


def test_standing_costs_what_each_equation_says():
    assert pandolf(70.0, 0.0, 0.0) == pytest.approx(105.0)
    assert lcda(0.0) == pytest.approx(1.44)
    assert minetti(0.0) == pytest.approx(2.5)


def test_the_load_part_alone_is_raised():
    bare = float(pandolf(75.0, 0.0, 0.5, 0.3))
    assert pandolf(75.0, 0.0, 0.5, 0.3, 1.0, 2.0) == pytest.approx(bare)
    one = float(pandolf(75.0, 20.0, 0.5, 0.3)) - bare
    assert float(pandolf(75.0, 20.0, 0.5, 0.3, 1.0, 2.0)) - bare == pytest.approx(2 * one)


def test_the_two_equations_of_walking_uphill_agree_within_a_third():
    # 20 % grade, 1 m/s, no load: Minetti adds standing to its cost
    g = math.atan(0.2)
    steady = float(minetti(g)) * 1.0 + 1.44
    assert float(lcda(1.0, g)) == pytest.approx(steady, rel=0.33)


def test_downhill_is_fastest_at_a_gentle_fall():
    s = np.arctan(np.linspace(-0.3, 0.3, 61))
    v = tobler(s)
    assert s[int(np.argmax(v))] == pytest.approx(math.atan(-0.05))
    assert tobler(0.0, off_path=True) == pytest.approx(0.6 * tobler(0.0))
    assert naismith(0.0, 0.0) == 0.0


@given(st.floats(60, 1000), st.floats(60, 1000))
def test_a_paced_round_costs_the_limit_or_less(work, stand):
    t, m = [40.0, 60.0], [work, stand]
    limit, rest = 216.0, 105.0
    length = float(paced(t, m, limit, rest))
    mean = (40 * work + 60 * stand + (length - 100) * rest) / length
    assert length >= 100 - 1e-9
    assert mean <= limit * (1 + 1e-9)
    if length > 100 + 1e-6:
        assert mean == pytest.approx(limit)


def test_no_rest_is_owed_for_light_work():
    assert rest_time(3600.0, 200.0) == 0.0
    assert rest_time(3600.0, 500.0) > 0.0


@given(st.floats(-10, 50), st.floats(0, 1))
def test_the_heat_index_is_continuous_but_for_its_own_branches(t, h):
    found = float(heat_index(t, h))
    assert math.isfinite(found)
    assert fahrenheit(celsius(found)) == pytest.approx(found)


def test_a_heat_band_is_none_on_a_cool_day_and_danger_on_a_wet_hot_one():
    assert band(float(celsius(75.0))) == ""
    assert band(float(celsius(110.0))) == "danger"


@given(st.floats(15, 45), st.floats(0, 5), st.sampled_from(["light", "moderate", "heavy"]))
def test_more_heat_never_leaves_more_work(t, more, intensity):
    for capacity in (capacity_dunne, capacity_hothaps):
        assert capacity(t + more, intensity) <= capacity(t, intensity) + 1e-12
        assert 0 <= capacity(t, intensity) <= 1


def test_work_rest_goes_from_all_of_the_hour_to_ten_minutes():
    cool, hot = work_rest(celsius(70.0)), work_rest(celsius(95.0))
    assert (cool.category, cool.work, cool.rest) == (0, 3600, 0)
    assert (hot.category, hot.work, hot.rest) == (5, 600, 3000)
    assert work_rest(celsius(80.0), "light").work == 3600


def test_harder_work_is_stopped_at_less_heat():
    limits = heat_limits(np.array([200.0, 500.0]))
    assert limits.exposure[1] < limits.exposure[0]
    assert (limits.alert < limits.exposure).all()
    assert screening_limit(0.2, "moderate") > screening_limit(0.9, "moderate")
    assert screening_limit(0.5, "heavy", used_to_heat=False) < screening_limit(0.5, "heavy")


def test_in_saturated_air_the_estimate_of_wbgt_rises_with_humidity():
    assert wbgt_estimate(30.0, 0.9) > wbgt_estimate(30.0, 0.3)
    assert wbgt(25.0, 30.0, sun=False) == pytest.approx(26.5)
    assert [new_hand_share(d) for d in (1, 5, 9)] == [0.2, 1.0, 1.0]


def test_norms_slow_down_with_distance_and_depth():
    d = np.array([1.0, 10.0, 20.0, 50.0, 80.0])
    assert (np.diff(hand_transport(d)) <= 0).all()
    assert hand_dig("trench", "clay or heavy soil", 1.0) > hand_dig(
        "trench", "clay or heavy soil", 4.0
    )
    assert hand_trim("sand", 0.01) > hand_trim("sand", 0.1)
    assert hand_fill("hoggin", 0.05) < hand_fill("hoggin", 0.4)
    assert barrow_norm(30.0) == labour_norm("wheelbarrow haul 20-40 m")
    assert barrow_norm(100.0) == 0.0
    assert labour_constant("excavate soft soil").labour == pytest.approx(0.5 * 8 * 3600)
    low, high = practice_band()
    assert low < 1 / 3600 * 1.0 < high  # a cubic metre an hour lies between


def test_a_work_belongs_to_the_nearest_class_and_a_heavier_person_to_a_lighter_one():
    assert [work_class(w) for w in (100, 180, 300, 415, 900)] == [
        "rest",
        "light",
        "moderate",
        "heavy",
        "very heavy",
    ]
    assert work_class(415.0, 100.0) == "moderate"


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: pandolf(0.0, 10.0, 1.0), "body: is zero"),
        (lambda: pandolf(70.0, 10.0, 1.0, -0.2), "give uphill slopes"),
        (lambda: naismith(10.0, 1.0, 0.0), "speed: is zero"),
        (lambda: rest_time(60.0, 500.0, 100.0, 105.0), "is no higher than rest"),
        (lambda: paced([1.0], [100.0], 90.0, 100.0), "is no higher than rest"),
        (lambda: terrain_factor("lava"), '"lava" is not known'),
        (lambda: heat_index(30.0, 60.0), "give a share"),
        (lambda: wbgt(25.0, 30.0), "is needed in the sun"),
        (lambda: heat_limits(0.0), "power: is zero"),
        (lambda: work_rest(30.0, "hard"), '"hard" is not known'),
        (lambda: new_hand_share(0), "is before the first"),
        (lambda: screening_limit(1.0, "heavy"), "needs monitoring"),
        (lambda: hand_dig("pit", "gravel", 5.0), "deeper than the table goes"),
        (lambda: hand_dig("pit", "gravl", 1.0), "did you mean gravel"),
        (lambda: hand_trim("sand", 0.5), "more than trimming"),
        (lambda: hand_fill("hoggin", 0.0), "layer: is zero"),
        (lambda: hand_transport(-1.0), "distance: is negative"),
        (lambda: labour_constant("dig"), '"dig" is not known'),
        (lambda: work_class(0.0), "power: is zero"),
        (lambda: labour_norm("flying"), '"flying" is not known'),
    ],
)
def test_what_no_table_covers_is_refused_in_words(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()
