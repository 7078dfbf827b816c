import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.runoff.gastorm import green_ampt_explicit, green_ampt_implicit
from hillwright.runoff.greenampt import implicit_step, time_to_ponding

CM, CM_H, H = 0.01, 0.01 / 3600, 3600.0
# Chow, Maidment and Mays 1988, Example 5.4.1: rain of every ten minutes [cm].
EACH = "0 .18 .21 .26 .32 .37 .43 .64 1.14 3.18 1.65 .81 .52 .42 .36 .28 .24 .19 .17"
RAIN = np.cumsum([float(cm) for cm in EACH.split()]) * CM
TIME = np.arange(19) * 600.0
LOAM = (1.09 * CM_H, 11.01 * CM, 0.2472)


def test_the_example_by_explicit_steps_gives_the_worked_excess():
    assert green_ampt_explicit(*LOAM, TIME, RAIN).excess_total / CM == pytest.approx(
        5.8927, abs=1e-3
    )


def test_the_example_by_the_implicit_equation_gives_the_printed_excess():
    found = green_ampt_implicit(*LOAM, TIME, RAIN)
    assert found.excess_total / CM == pytest.approx(5.97, abs=0.01)


def test_steady_rain_by_steps_is_ponding_and_then_the_ponded_equation():
    k, psi, room = LOAM
    rate, end = 5 * CM_H, 2 * H
    ponds = time_to_ponding(k, psi, room, rate)
    args = (ponds.infiltrated, np.array(k), np.array(psi * room), end - ponds.time)
    exact = implicit_step(*(np.asarray(a) for a in args))
    time = np.linspace(0, end, 11)
    assert green_ampt_implicit(*LOAM, time, rate * time).infiltrated[-1] == pytest.approx(
        float(exact), rel=1e-12
    )


rains = st.lists(st.floats(0, 0.05), min_size=1, max_size=20)


@pytest.mark.parametrize("march", [green_ampt_explicit, green_ampt_implicit])
@given(rain=rains, more=st.floats(1, 3), k=st.floats(1e-8, 1e-5), psi=st.floats(0, 0.5))
def test_excess_is_never_more_than_rain_and_grows_with_it(march, rain, more, k, psi):
    fallen = np.concatenate(([0.0], np.cumsum(rain)))
    time = np.arange(len(fallen)) * 600.0
    found = march(k, psi, 0.3, time, fallen)
    assert (found.excess >= -1e-15).all()
    np.testing.assert_allclose(found.excess + found.infiltrated, fallen, rtol=1e-12)
    assert (np.diff(found.infiltrated) >= -1e-15).all()
    assert march(k, psi, 0.3, time, more * fallen).excess_total >= found.excess_total - 1e-9


@pytest.mark.parametrize(
    ("time", "rain", "where", "what"),
    [
        ([0, 600, 500], [0, 1, 2], "time, value 3", "runs backwards"),
        ([0, 600, 600], [0, 1, 2], "time, value 3", "runs backwards"),
        ([0, 600, 700], [0, 0.02, 0.01], "rain, value 3", "falls with time"),
        ([0, 600], [0, 0.1, 0.2], "rain", "3 depths at 2 times"),
        ([0, 600], [0, 25.0], "rain, value 2", "never fell"),
    ],
)
def test_an_event_that_cannot_be_is_refused(time, rain, where, what):
    for march in (green_ampt_explicit, green_ampt_implicit):
        with pytest.raises(OutOfRange, match=what) as refused:
            march(*LOAM, time, rain)
        assert refused.value.problems[0].where.startswith(where)
