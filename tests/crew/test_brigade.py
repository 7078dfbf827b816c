"""The simulated brigade against the closed form of the same line."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.crew.brigade import brigade_pace
from hillwright.crew.brigadesim import simulate_brigade
from hillwright.errors import OutOfRange

LINE = {
    "people": 8,
    "turn": 3.0,
    "hand_over": 2.0,
    "load": 4.0,
    "pour": 3.0,
    "buckets": 20,
    "empties_return": 30.0,
}
times = st.floats(0.5, 8)


@st.composite
def lines(draw):
    n = draw(st.integers(1, 7))
    return {
        "people": n,
        "turn": np.array(draw(st.lists(times, min_size=n, max_size=n))),
        "hand_over": np.array(draw(st.lists(times, min_size=n - 1, max_size=n - 1))),
        "load": draw(times),
        "pour": draw(times),
        "buckets": draw(st.integers(1, 12)),
        "empties_return": draw(st.floats(0, 60)),
    }


@settings(max_examples=30)
@given(lines())
def test_without_variation_the_line_keeps_the_pace_of_its_slowest_circuit(line):
    pace = brigade_pace(**line)
    day = simulate_brigade(**line, day=400 * pace.cycle)
    # a train of buckets may come at once: the count is off by no more than one train
    assert day.buckets * pace.cycle == pytest.approx(
        400 * pace.cycle, abs=(2 * line["buckets"] + line["people"] + 2) * pace.cycle
    )


def test_times_that_vary_slow_the_line_and_nothing_speeds_it():
    closed = brigade_pace(**LINE)
    steady, varied = (simulate_brigade(**LINE, day=6 * 3600, spread=s) for s in (0.0, 0.4))
    assert steady.buckets_per_hour == pytest.approx(closed.buckets_per_hour, rel=1e-9)
    assert varied.buckets_per_hour < closed.buckets_per_hour


def test_the_slowest_person_is_the_bottleneck():
    turn = np.full(8, 3.0)
    turn[4] = 9.0
    line = {**LINE, "turn": turn}
    assert brigade_pace(**line).bottleneck == 5
    assert simulate_brigade(**line, day=3600).bottleneck == 5


def test_too_few_buckets_are_the_bottleneck():
    line = {**LINE, "buckets": 2}
    assert brigade_pace(**line).bottleneck == 0
    assert simulate_brigade(**line, day=3600).bottleneck == 0


def test_a_rest_takes_its_share_of_the_day():
    whole = simulate_brigade(**LINE, day=5 * 3600)
    rested = simulate_brigade(**LINE, day=5 * 3600, work=50 * 60, rest=10 * 60)
    assert rested.buckets / whole.buckets == pytest.approx(50 / 60, rel=0.01)
    assert rested.buckets_per_hour == pytest.approx(whole.buckets_per_hour, rel=0.01)


def test_the_same_seed_gives_the_same_day():
    a, b = (simulate_brigade(**LINE, day=3600, spread=0.3, seed=4) for _ in range(2))
    assert a.buckets == b.buckets
    assert a.busy.tolist() == b.busy.tolist()


@pytest.mark.parametrize(
    ("what", "change"),
    [
        ("0 people make no line", {"people": 0}),
        ("0 buckets carry nothing", {"buckets": 0}),
        ("negative", {"load": -1.0}),
        ("has 3 times beside 8 people", {"turn": [1.0, 2.0, 3.0]}),
        (
            "all zero",
            {"turn": 0.0, "hand_over": 0.0, "load": 0.0, "pour": 0.0, "empties_return": 0},
        ),
        ("negative", {"empties_return": -1.0}),
    ],
)
def test_each_wrong_line_has_its_own_message(what, change):
    with pytest.raises(OutOfRange, match=what):
        brigade_pace(**{**LINE, **change})
    with pytest.raises(OutOfRange, match=what):
        simulate_brigade(**{**LINE, **change}, day=3600)


@pytest.mark.parametrize(
    ("what", "change"),
    [("is no time", {"day": 0.0}), ("is no time", {"work": 0.0}), ("negative", {"spread": -0.1})],
)
def test_a_day_that_is_none_is_told(what, change):
    with pytest.raises(OutOfRange, match=what):
        simulate_brigade(**{**LINE, "day": 3600.0, **change})
