"""How soil gets up, in the hours of the work plan."""

import pytest
from hillwork import amounts, crew

from hillwright.crew.brigade import brigade_pace
from hillwright.crew.planning import plan_work, prove_work
from hillwright.crew.wayup import Line, WayUp, brigade_day, on_this_hill
from hillwright.crew.works import Measured, adjusted

LINE = Line(9, 2.0, 1.0, 3.0, 5.0, 36, 6 * 3600.0, 3000.0, 600.0)
WAY = WayUp("bucket brigade", 3.0, 8, LINE)


def test_the_way_of_this_hill_replaces_the_table_and_no_timing_of_its_own():
    table = adjusted(())
    found = on_this_hill(table, WAY, 1.0, 6)["fill"]
    assert (found.hours, found.least, found.most) == (3.0, 3, 6)
    assert "bucket brigade" in found.source
    timed = adjusted([Measured("fill", 2.0, 4, 3600.0)])
    assert on_this_hill(timed, WAY, 1.0, 6)["fill"].hours == pytest.approx(2.0)
    assert on_this_hill(table, None, 1.0, 6) == table


def test_heat_slows_heavy_work_and_no_other():
    table = adjusted(())
    found = on_this_hill(table, None, 0.5, 6)
    for name, work in found.items():
        assert work.hours == pytest.approx(table[name].hours * (2 if work.heavy else 1))


def test_a_day_of_the_brigade_is_told_with_the_proof_only():
    q = amounts(3, 5, way=WAY)
    assert plan_work(crew(5), q).brigade is None
    day = prove_work(crew(5), q, effort=0.1).brigade
    assert day is not None
    assert day == brigade_day(LINE)


def test_the_simulated_day_is_near_its_closed_form_and_never_above():
    day = brigade_day(LINE)
    closed = brigade_pace(9, 2.0, 1.0, 3.0, 5.0, 36, 9 * 2.0)
    assert day.steady == closed.buckets_per_hour
    assert 0.7 * day.steady < day.per_hour < 1.01 * day.steady  # drawn times: 1 % of luck
    assert day.buckets == pytest.approx(day.per_hour * 5, rel=0.02)  # ten minutes of each hour rest


def test_a_slower_way_takes_longer():
    slow = WayUp("carried buckets", 6.0, 8, None)
    quick = WayUp("carried buckets", 1.0, 8, None)
    assert (
        plan_work(crew(5), amounts(way=quick)).makespan
        < plan_work(crew(5), amounts(way=slow)).makespan
    )
