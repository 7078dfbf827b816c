"""The lifting equation: edges, invariants, and what it refuses; printed examples are checks."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.crew.buckets import bucket_mass, fill_line, line_height
from hillwright.crew.composite import composite_index, composite_lift
from hillwright.crew.grip import broken_conditions, grip_class, meaning
from hillwright.crew.lifting import (
    frequency_multiplier,
    lift_duration,
    lift_energy,
    lift_frequency,
    lift_limit,
    lifting_index,
)
from hillwright.crew.teamlift import (
    carried_in_a_day,
    extra_multiplier,
    guideline_reduction,
    team_capacity,
)
from hillwright.errors import OutOfRange

reaches = st.floats(0.0, 0.63)
heights = st.floats(0.0, 1.75)
paces = st.floats(0.0, 0.3)
MINUTE = 60.0


def test_the_best_of_lifts_is_the_load_constant():
    assert lift_limit(0.25, 0.75, 0.25, coupling="good").limit == pytest.approx(23.0)
    best = lift_limit(10 * 0.0254, 30 * 0.0254, 10 * 0.0254, coupling="good", units="us")
    assert best.limit == pytest.approx(51 * 0.45359237)


@pytest.mark.parametrize(
    "beyond",
    [
        {"reach": 0.64},
        {"height": 1.76},
        {"travel": 1.76},
        {"twist": math.radians(136)},
        {"frequency": 16 / 60},
    ],
)
def test_beyond_an_end_of_the_equation_no_lift_is_recommended(beyond):
    usual = {"reach": 0.3, "height": 0.8, "travel": 0.4}
    found = lift_limit(**(usual | beyond))
    assert found.limit == 0
    with pytest.raises(OutOfRange, match="no such lift is recommended"):
        lifting_index(1.0, found.limit)


@given(reaches, heights, st.floats(0, 1.75), st.floats(0, 2.3), paces)
def test_no_multiplier_is_above_one_and_the_limit_is_their_product(h, v, d, a, f):
    found = lift_limit(h, v, d, a, f, "long", "poor")
    parts = np.array(found[2:])
    assert ((parts >= 0) & (parts <= 1 + 1e-12)).all()
    assert found.limit == pytest.approx(23 * np.prod(parts))


@given(paces, paces, st.sampled_from(["short", "moderate", "long"]), heights)
def test_a_faster_or_longer_job_never_allows_more(f, more, duration, v):
    slow, fast = (frequency_multiplier(x, duration, v) for x in (f, f + more))
    assert fast <= slow + 1e-12
    assert frequency_multiplier(f, "long", v) <= frequency_multiplier(f, duration, v) + 1e-12


@given(reaches, heights, st.floats(0, 1), paces)
def test_arrays_give_what_single_lifts_give(h, v, d, f):
    one = lift_limit(h, v, d, 0.1, f).limit
    many = lift_limit([h, 0.3], [v, 0.5], d, 0.1, f).limit
    assert many[0] == pytest.approx(one)


def test_between_a_number_and_the_first_zero_of_the_table_nothing_is_recommended():
    f = np.array([12.0, 12.5, 13.0]) / MINUTE
    assert frequency_multiplier(f, "short", 0.5).tolist() == [0.37, 0.0, 0.0]


def test_the_frequency_goes_by_the_origin_and_the_grip_by_the_end_that_is_looked_at():
    low = lift_limit(0.3, 1.0, 0.6, frequency=9 / MINUTE, duration="long", origin_height=0.5)
    high = lift_limit(0.3, 1.0, 0.6, frequency=9 / MINUTE, duration="long", origin_height=0.8)
    assert (low.limit, high.frequency) == (0.0, 0.15)
    assert low.coupling == 1.0  # fair, above 75 cm


TASKS = st.tuples(st.floats(1, 25), st.floats(5, 23), st.floats(0.1, 3))


@given(st.lists(TASKS, min_size=1, max_size=4))
def test_a_job_of_several_lifts_is_at_least_as_hard_as_its_hardest(tasks):
    kg, limit, f = (np.array(column) for column in zip(*tasks, strict=True))
    found = composite_index(kg, limit, f / MINUTE, "short", 0.8)
    assert found.composite >= found.own.max() - 1e-12
    if len(tasks) == 1:
        assert found.composite == pytest.approx(found.own[0])


def test_tasks_of_one_index_go_by_the_higher_frequency():
    found = composite_index([10, 10], [10 / 0.94, 10 / 0.91], [1 / MINUTE, 2 / MINUTE])
    assert found.own == pytest.approx([1, 1])
    assert found.order.tolist() == [1, 0]


def test_recovery_as_long_as_the_work_keeps_sessions_apart():
    day = [30, 30, 45, 20, 40]
    kinds = ("lift", "light", "lift", "light", "lift")
    found = lift_duration(np.array(day) * MINUTE, kinds)
    assert found.longest == 85 * MINUTE  # 45 and 40 add up, 30 stands alone
    assert found.duration == "moderate"


def test_a_bucket_over_its_limit_is_filled_to_the_limit():
    line = fill_line(12.0, 1100.0, 0.0189, 1.0)
    assert line.mass == pytest.approx(12.0)
    assert fill_line(30.0, 400.0, 0.0189, 1.0).share == 1.0
    assert fill_line(0.5, 1100.0, 0.0189, 1.0).share == 0.0
    assert bucket_mass(1100.0, 0.0189).mass == pytest.approx(21.79)


@given(st.floats(0, 1), st.floats(0.1, 0.5), st.floats(0.1, 0.4), st.floats(0.1, 0.4))
def test_a_bucket_filled_to_its_line_holds_the_share(share, tall, base, rim):
    h = float(line_height(share, tall, base, rim))
    at = base + (rim - base) * h / tall
    volume = h * (base**2 + base * at + at**2)
    whole = tall * (base**2 + base * rim + rim**2)
    assert volume / whole == pytest.approx(share, abs=1e-6)


def test_teams_lift_less_than_the_sum_of_their_people():
    assert team_capacity(2, 15.0) == pytest.approx(20.0, abs=0.01)
    assert team_capacity(5, 10.0) == pytest.approx(25.0)
    assert extra_multiplier(8 * 3600.0, one_hand=True) == pytest.approx(0.6)
    assert carried_in_a_day(15.0) == pytest.approx(8000)
    assert guideline_reduction(1 / MINUTE, math.radians(95)) == pytest.approx(0.56)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: lift_limit(-0.1, 0.7, 0.3), "reach: is negative"),
        (lambda: lift_limit(0.3, 0.7, 0.3, duration="all day"), '"all day" is not known'),
        (lambda: lift_limit(0.3, 0.7, 0.3, coupling="god"), "did you mean good"),
        (lambda: lift_limit(math.nan, 0.7, 0.3), "reach: is not a number"),
        (lambda: lift_frequency(10 / MINUTE, 1200.0), "longer than the sample"),
        (lambda: lift_duration([60.0], ("lift", "light")), "has 2 words for 1 times"),
        (lambda: lift_duration([9 * 3600.0], ("lift",)), "more than 8 hours of lifting"),
        (lambda: lift_energy(0.0), "capacity: is zero"),
        (lambda: composite_index([10], [10, 12], [0.01]), "give one of each for every task"),
        (lambda: composite_index([10], [10], [0.5]), "no lift is recommended"),
        (lambda: composite_lift([10, 5], 0.3, 0.7, 0.3, 0.01, coupling=("good",)), "has 1 words"),
        (lambda: team_capacity(0, 10.0), "a team of nobody"),
        (lambda: extra_multiplier(13 * 3600.0), "give at most 12 h"),
        (lambda: carried_in_a_day(30.0), "carry in relays"),
        (lambda: fill_line(10.0, 0.0, 0.01), "density: is zero"),
    ],
)
def test_what_cannot_be_a_lift_is_refused_in_words(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()


@pytest.mark.parametrize(
    ("given", "grip"),
    [
        ({"thing": "container", "handles": True}, "good"),
        ({"thing": "container", "fingers": True}, "fair"),
        ({"thing": "container"}, "poor"),
        ({"thing": "container", "optimal": False, "handles": True}, "poor"),
        ({"thing": "loose object", "handles": True}, "good"),
        ({"thing": "loose object", "fingers": True}, "fair"),
        ({"thing": "loose object", "bulky": True, "handles": True}, "poor"),
    ],
)
def test_the_grip_follows_the_decision_tree(given, grip):
    assert grip_class(**given) == grip


def test_an_index_has_the_sources_words_and_a_hillside_breaks_its_conditions():
    assert meaning(0.9) == "design goal"
    assert "nearly all" in meaning(math.inf)
    mild, hot = broken_conditions(0.2, 22.0), broken_conditions(0.6, 33.0)
    assert set(mild) < set(hot)
    assert any("friction" in c for c in hot)
    assert any("temperature" in c for c in hot)
