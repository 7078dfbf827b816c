"""Waterings are shared out over all windows: one that fits is found wherever there is one."""

from __future__ import annotations

import itertools

from hypothesis import example, given, settings
from hypothesis import strategies as st

from hillwright.watering.clock import Run, place_runs

MINUTE = 60.0
HOUR = 3600.0
NIGHT_AND_NOON = ((22 * HOUR, 8 * HOUR), (12 * HOUR, 13 * HOUR))


def shortest(runs: list[Run]) -> float:
    """Give the least time of runs in one stretch: every order of every cycle is tried."""
    best = float("inf")
    cycles = [i for i, r in enumerate(runs) for _ in range(r.cycles)]
    for order in set(itertools.permutations(cycles)):
        now, ready = 0.0, {}
        for i in order:
            begins = max(now, ready.get(runs[i].valve, 0.0))
            now = begins + runs[i].each
            ready[runs[i].valve] = now + runs[i].soak
        best = min(best, now)
    return best if runs else 0.0


def some_way_fits(rooms: list[float], runs: list[Run]) -> bool:
    return any(
        all(
            shortest([r for r, k in zip(runs, where, strict=True) if k == j]) <= room
            for j, room in enumerate(rooms)
        )
        for where in itertools.product(range(len(rooms)), repeat=len(runs))
    )


RUNS = st.lists(
    st.builds(
        lambda hour, cycles, each, soak: (hour, cycles, each * MINUTE, soak * MINUTE),
        st.sampled_from([22, 23, 2, 12, 12.5]),
        st.integers(1, 2),
        st.integers(5, 40),
        st.sampled_from([0, 10, 30]),
    ),
    min_size=1,
    max_size=3,
)


@settings(max_examples=60, deadline=None)
@given(runs=RUNS, night=st.integers(30, 120), noon=st.integers(10, 60))
@example(runs=[(12, 2, 600, 1800), (12, 1, 300, 0)], night=60, noon=10)
def test_a_program_that_fits_is_found_where_brute_force_finds_one(runs, night, noon):
    windows = (
        (22 * HOUR, 22 * HOUR + night * MINUTE),
        (12 * HOUR, 12 * HOUR + noon * MINUTE),
    )
    asked = [Run(v, h * HOUR, *rest) for v, (h, *rest) in enumerate(runs)]
    day = place_runs(windows, asked)
    assert (day.over == 0) == some_way_fits([night * MINUTE, noon * MINUTE], asked)
    if day.over:
        return
    cycles = []
    for run in day.runs:
        own = asked[run.valve]
        assert len(run.opens) == own.cycles
        for a, b in itertools.pairwise(run.opens):
            assert b - a >= own.each + own.soak - 1e-6
        cycles += [(at, at + own.each) for at in run.opens]
    cycles.sort()
    assert all(a[1] <= b[0] + 1e-6 for a, b in itertools.pairwise(cycles))
    for a, b in cycles:
        assert any(w[0] - 1 <= a and b <= w[1] + 1.5 for w in windows)


def test_a_watering_too_long_for_noon_moves_into_the_night():
    # 7 cycles of 10 min with 30 min of rest: 4.2 h, where noon has one hour
    day = place_runs(
        NIGHT_AND_NOON,
        [Run(0, at * HOUR, 7, 10 * MINUTE, 30 * MINUTE) for at in (8, 12)]
        + [Run(1, 12 * HOUR, 1, 5 * MINUTE, 0.0)],
    )
    assert day.over == 0
    noon = [r for r in day.runs if 12 * HOUR <= r.opens[0] < 13 * HOUR]
    assert [r.valve for r in noon] == [1]


def test_what_fits_stays_where_it_wishes_to_be():
    day = place_runs(NIGHT_AND_NOON, [Run(0, at * HOUR, 1, 300.0, 0.0) for at in (6, 12)])
    assert sorted(r.opens[0] % 86400 for r in day.runs) == [6 * HOUR, 12 * HOUR]
