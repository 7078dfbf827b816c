"""Pulling and lifts of rows: statics in closed form, and what no crew can do."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.crew.pull import (
    accepted_force,
    accepted_mass,
    drag_force,
    friction_range,
    guideline,
    haulers,
    rolling_force,
    sustained_pull,
)
from hillwright.crew.rowlifts import row_lifts
from hillwright.errors import OutOfRange

G = 9.80665
MINUTE = 60.0


@given(st.floats(0, 1.2), st.floats(0, 1.5))
def test_the_rope_pulls_least_at_the_angle_of_friction(slope, mu):
    least = float(drag_force(10.0, slope, mu, math.atan(mu)))
    for off in (-0.2, 0.2):
        if -math.pi / 4 < math.atan(mu) + off < math.pi / 2 - 0.01:
            assert drag_force(10.0, slope, mu, math.atan(mu) + off) >= least - 1e-9


def test_on_the_angle_of_friction_downhill_a_load_slides_by_itself():
    assert drag_force(10.0, -math.atan(0.4), 0.4) == pytest.approx(0.0, abs=1e-9)
    assert drag_force(10.0, -0.5, 0.2) < 0


def test_a_wheel_on_the_level_asks_for_its_resistance_alone():
    found = rolling_force(100.0, 0.0, 0.05)
    assert found.total == pytest.approx(5 * G)
    assert found.slope == 0


@given(st.floats(0.1, 0.9), st.floats(2.5, 60))
def test_what_more_people_accept_is_less(share, distance):
    one, more = (
        accepted_force("pull", "female", "sustained", 1.0, distance, 1 / MINUTE, p).accepted
        for p in (share, share + 0.05)
    )
    assert more <= one


def test_a_mixed_crew_sustains_less_than_the_filter_of_the_guideline():
    # HSE: 7 kgf to keep moving, 15 kgf to start (INDG143)
    assert guideline("keep") == pytest.approx(7 * G)
    assert guideline("stop or start") == pytest.approx(15 * G)
    assert 5 * G < sustained_pull(20.0, 1 / 300) < 25 * G


def test_carrying_further_is_accepted_with_less():
    near, far = (
        accepted_mass("carry", "male", 1 / MINUTE, 0.75, height=0.8, distance=d).accepted
        for d in (2.0, 8.0)
    )
    assert far < near


@given(st.lists(st.floats(1, 100), min_size=1, max_size=20), st.integers(1, 12), st.integers(1, 12))
def test_every_lift_is_within_the_crew_and_no_row_is_lost(mass, people, most):
    found = row_lifts(mass, 0.6, 0.5, people, 150.0, most)
    for n in range(1, int(found.lift.max(initial=0)) + 1):
        together = found.lift == n
        assert found.pull[together].sum() <= people * 150 * (1 + 1e-6)
        assert 1 <= together.sum() <= most
    alone = found.lift == 0
    assert (found.pull[alone] > people * 150).all()
    assert (np.diff(found.lift[~alone]) >= 0).all()


def test_two_rows_that_the_crew_can_just_drag_go_together():
    each = float(drag_force(10.0, 0.5, 0.4)) * 2 / 4
    assert row_lifts([10.0, 10.0, 10.0], 0.5, 0.4, 4, each).lift.tolist() == [1, 1, 2]


def test_haulers_are_whole_and_a_tackle_saves_some():
    assert haulers(0.0, 100.0) == 0
    assert haulers([100.0, 100.1], 100.0).tolist() == [1, 2]
    assert haulers(900.0, 100.0, 3, 0.9) == 4


def test_friction_of_the_table_is_a_range():
    low, high = friction_range("plastic box or skid on dry grass or soil")
    assert 0 < low < high < 1


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: accepted_force("drag", "male", "initial", 1, 10, 0.01), '"drag" is not known'),
        (lambda: accepted_force("pull", "male", "initial", 1, 10, 1.0), "20 times a minute"),
        (lambda: accepted_mass("lift", "male", 0.01, reach=1.5), "outside the equations"),
        (lambda: accepted_mass("lift", "male", 0.0), "frequency: is zero"),
        (lambda: drag_force(10.0, math.pi / 2, 0.3), "give less than 90 deg"),
        (lambda: drag_force(-1.0, 0.3, 0.3), "load: is negative"),
        (lambda: drag_force(1.0, 0.3, 5.0, -0.7), "pulls the load into the ground"),
        (lambda: haulers(100.0, 0.0), "each: is zero"),
        (lambda: haulers(100.0, 10.0, 1.0, 1.5), "efficiency"),
        (lambda: row_lifts([10.0], 0.5, 0.4, 0, 100.0), "nobody to pull"),
        (lambda: row_lifts([10.0], 0.5, 0.4, 2, 0.0), "each: is zero"),
        (lambda: row_lifts([10.0], 0.5, 0.4, 2, 10.0, 0), "0 rows in a lift"),
    ],
)
def test_what_cannot_be_a_pull_is_refused_in_words(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()
