import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.greenampt import (
    green_ampt_ponded,
    implicit_step,
    ponded_step,
    time_to_ponding,
)

CM, CM_H, H = 0.01, 0.01 / 3600, 3600.0


# Chow, Maidment and Mays 1988, Example 4.3.1 (from memory): silt loam, 30 % full, 1 hour.
def test_an_hour_under_water_on_silt_loam_is_as_printed():
    found = green_ampt_ponded(0.65 * CM_H, 16.7 * CM, 0.486, 0.3, H)
    assert found.deficit == pytest.approx(0.34, abs=0.001)
    assert found.infiltrated / CM == pytest.approx(3.17, abs=0.01)
    assert found.rate / CM_H == pytest.approx(1.81, abs=0.01)


# The same, Example 4.4.1 (from memory).
def test_steady_rain_stands_after_the_printed_time():
    found = time_to_ponding(0.65 * CM_H, 5.68 * CM, 1, np.array([1, 5]) * CM_H)
    np.testing.assert_allclose(found.time / H, [10.5, 0.17], rtol=0.01)
    np.testing.assert_allclose(found.infiltrated / CM, [10.5, 0.85], rtol=0.01)


def test_soil_that_drinks_faster_than_it_rains_is_never_under_water():
    found = time_to_ponding(1e-5, 0.1, 0.3, [1e-5, 1e-6, 0.0])
    assert np.isinf(found.time).all()


soil = {
    "k": st.floats(1e-8, 1e-4),
    "s": st.floats(0, 0.3),
    "taken": st.floats(0, 0.5),
    "dt": st.floats(1, 1e5),
}


@given(**soil)
def test_the_implicit_step_solves_its_equation(k, s, taken, dt):
    new = float(implicit_step(np.array(taken), np.array(k), np.array(s), np.array(dt)))
    pulled = s * np.log((new + s) / (taken + s)) if s > 1e-15 else 0.0
    assert new - taken - pulled == pytest.approx(k * dt, rel=1e-9, abs=1e-13)


@given(**soil)
def test_two_short_steps_are_one_long_step(k, s, taken, dt):
    a = [np.array(v) for v in (k, s)]
    once = implicit_step(np.array(taken), *a, np.array(dt))
    half = implicit_step(np.array(taken), *a, np.array(dt / 2))
    assert implicit_step(half, *a, np.array(dt / 2)) == pytest.approx(once, rel=1e-9, abs=1e-13)


def test_the_closed_step_is_exact_from_dry_soil_in_a_short_time_and_of_second_order():
    # F = sqrt(2 K S t) as t goes to 0 (both equations)
    k, s = 3e-6, 0.02
    assert ponded_step(0.0, k * 1e-3, s) == pytest.approx(np.sqrt(2 * k * s * 1e-3), rel=1e-3)
    errors = []
    for cuts in (30, 60, 120):
        taken = np.array(0.005)
        for _ in range(cuts):
            taken = taken + ponded_step(taken, k * H / cuts, s)
        exact = implicit_step(np.array(0.005), np.array(k), np.array(s), np.array(H))
        errors.append(abs(float(taken - exact)))
    assert errors[0] / errors[1] > 3.5
    assert errors[1] / errors[2] > 3.5
    assert errors[1] < 1e-6  # a minute at a time: less than a thousandth of a millimetre


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"saturation": 1.2}, "1.2 is not within 0 to 1"),
        ({"effective_porosity": -0.1}, "effective_porosity"),
        ({"conductivity": -1e-6}, "conductivity: is negative"),
        ({"time": np.nan}, "is not a number"),
    ],
)
def test_soil_that_cannot_be_is_refused(change, what):
    good = {"conductivity": 1e-6, "suction": 0.1, "effective_porosity": 0.4}
    with pytest.raises(OutOfRange, match=what):
        green_ampt_ponded(**(good | {"saturation": 0.3, "time": 60.0} | change))
