"""The work plan: nobody in two places, nothing before its time, more hands never slower."""

import datetime
import itertools

import numpy as np
import pytest
from hillwork import amounts, crew, hours, person
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.crew.assign import spells
from hillwright.crew.planning import plan_work, prove_work
from hillwright.crew.tasks import blocks, learning, tasks_of
from hillwright.crew.workdays import calendar
from hillwright.crew.works import Measured, adjusted, unnamed, works
from hillwright.errors import OutOfRange


@pytest.fixture(scope="module")
def plan():
    return plan_work(crew(5), amounts())


def manned(plan):
    """Check that each seat of each task is held all the while, by one who may and is there."""
    for i, task in enumerate(plan.tasks):
        held = np.zeros(int(plan.finish[i] - plan.start[i]), int)
        for s in plan.stints:
            if s.task == i:
                held[s.start - plan.start[i] : s.finish - plan.start[i]] += 1
                assert s.kind in plan.crew.people[s.person].may
                assert plan.calendar.present[s.person, s.start : s.finish].all()
        assert (held == sum(n for _, n in plan.teams[i])).all(), task.name


def test_every_seat_is_held_all_the_while(plan):
    manned(plan)


def test_nobody_is_in_two_places_at_once(plan):
    for who in range(len(plan.crew.people)):
        mine = [(s.start, s.finish) for s in plan.stints if s.person == who]
        assert all(a[1] <= b[0] for a, b in itertools.pairwise(mine))


def test_no_task_begins_before_all_that_it_waits_for(plan):
    for i, task in enumerate(plan.tasks):
        assert all(plan.finish[j] <= plan.start[i] for j in task.after)


def test_the_bound_is_never_above_the_plan_and_the_proof_never_below_the_bound(plan):
    proven = prove_work(crew(5), amounts(), effort=1.0)
    assert plan.bound <= proven.bound <= proven.makespan <= plan.makespan
    assert proven.longest <= proven.makespan
    manned(proven)


@pytest.mark.parametrize("order", [("set", "stake", "fill"), ("fill", "plant", "emitters")])
def test_each_part_of_the_hill_is_worked_in_order_from_the_top(plan, order):
    for kind in order:
        parts = [(t.rows, plan.start[i]) for i, t in enumerate(plan.tasks) if t.work == kind]
        assert parts == sorted(parts)
        assert [a[1] + 1 for a, _ in parts[:-1]] == [b[0] for b, _ in parts[1:]]


def test_no_soil_goes_up_before_every_row_is_staked(plan):
    last = max(plan.finish[i] for i, t in enumerate(plan.tasks) if t.work == "stake")
    assert all(plan.start[i] >= last for i, t in enumerate(plan.tasks) if t.work == "fill")


def test_nobody_else_is_on_the_slope_while_rows_are_dragged_or_hung():
    found = plan_work(crew(7), amounts(dragged=4, team=5))
    manned(found)
    clear = [i for i, t in enumerate(found.tasks) if t.work in ("lift", "hang")]
    assert clear
    for i in clear:
        for j, task in enumerate(found.tasks):
            at_once = found.start[j] < found.finish[i] and found.finish[j] > found.start[i]
            assert i == j or not at_once or task.work == "assemble"


@settings(max_examples=8)
@given(st.integers(2, 6), st.integers(1, 4))
def test_more_hands_never_raise_the_bound(people, more):
    few, many = (plan_work(crew(n), amounts(3, 5)).bound for n in (people, people + more))
    assert many <= few


def test_a_child_gets_light_work_only():
    people = [person("Lea", "lead"), person("Max"), person("Kid", "child")]
    found = plan_work(crew(people), amounts())
    manned(found)
    assert {s.kind for s in found.stints if s.person == 2} == {"light"}


def test_who_is_away_is_given_nothing_to_do():
    people = [
        person("Lea", "lead"),
        person("Max"),
        person("Sat", days=("Tue",), begin=600, end=720),
    ]
    found = plan_work(crew(people), amounts())
    for s in (s for s in found.stints if s.person == 2):
        for spell in spells(found.calendar, s.start, s.finish):
            day = datetime.date.fromisoformat(found.calendar.dates[spell.day])
            assert day.weekday() == 1
            assert spell.begin >= 600
            assert spell.end <= 720


def test_heavy_work_ends_at_its_hour():
    found = plan_work(crew(5, hours=hours(heavy_until=13 * 60)), amounts())
    heavy = {w.id for w in works() if w.heavy}
    seen = 0
    for i, task in enumerate(found.tasks):
        if task.work in heavy:
            seen += 1
            for spell in spells(found.calendar, int(found.start[i]), int(found.finish[i])):
                assert spell.end <= 13 * 60
    assert seen
    assert found.makespan > plan_work(crew(5), amounts()).makespan


def test_nothing_is_dug_before_the_marks_must_be_there():
    found = plan_work(crew(5, called="2026-05-04"), amounts())
    digs = [i for i, t in enumerate(found.tasks) if found.work(t).dig]
    first = min(found.calendar.dates[found.calendar.day[found.start[i]]] for i in digs)
    assert first == "2026-05-07"
    assert found.call_by  # of the plan as it stands


def test_the_last_day_for_the_notice_is_told(plan):
    assert plan.call_by == "2026-04-29"  # Thursday and Friday pass before Monday the 4th


def test_the_ticket_that_runs_out_is_told():
    found = plan_work(crew(2, called="2026-04-06"), amounts(20, 20))
    assert any("runs out on 2026-05-04" in w for w in found.warnings)


def test_the_chance_to_be_in_time_is_none_before_and_sure_long_after():
    chances = [
        plan_work(crew(5, finish_by=day), amounts()).in_time
        for day in ("2026-05-04", "2026-05-06", "2026-12-31")
    ]
    assert chances[0] < 0.01
    assert chances[-1] == 1
    assert chances == sorted(chances)


@pytest.mark.parametrize("people", [2, 3])
def test_a_few_who_work_for_weeks_get_a_plan_too(people):
    found = plan_work(crew(people), amounts(24, 24))
    assert found.days > 8
    manned(found)


def test_days_off_and_weekends_are_not_worked():
    found = plan_work(crew(2, hours=hours(off=("2026-05-06",))), amounts(12, 12))
    assert "2026-05-06" not in found.calendar.dates
    weekdays = {datetime.date.fromisoformat(d).weekday() for d in found.calendar.dates}
    assert weekdays <= set(range(5))


def test_in_the_dark_nobody_works():
    found = calendar(hours(light_from=9 * 60, light_to=15 * 60), unnamed(1), 1)
    assert found.minute.min() >= 9 * 60
    assert found.minute.max() < 15 * 60


def test_a_crew_without_a_driver_of_bars_is_told_why_it_cannot():
    found = plan_work(crew([person("Max"), person("Eva")]), amounts())
    assert "nobody may do work of the kind drive" in found.stopped
    assert not found.makespan


def test_a_crew_that_is_never_there_is_told_so():
    people = [person("Lea", "lead", days=("Sun",)), person("Max", days=("Sun",))]
    assert "nobody is there on any working day" in plan_work(crew(people), amounts()).stopped


def test_two_who_never_meet_cannot_do_what_takes_two():
    people = [person("Lea", "lead", days=("Mon",)), person("Max", days=("Tue",))]
    assert "too few people" in plan_work(crew(people), amounts()).stopped


def test_a_hill_without_cells_is_cleared_and_left():
    found = plan_work(crew(3), amounts(0, 8))
    assert not found.stopped
    assert {t.work for t in found.tasks} <= {"clear", "trim", "pack", "strings", "anchors", "clean"}


def test_the_crew_s_own_rate_replaces_the_table():
    slow = plan_work(crew(5), amounts(), (Measured("fill", 1.0, 4, 3600.0),))
    assert slow.work(next(t for t in slow.tasks if t.work == "fill")).hours == pytest.approx(4.0)
    assert slow.makespan > plan_work(crew(5), amounts()).makespan


def test_timings_of_one_task_are_added_up():
    found = adjusted([Measured("set", 50, 2, 3600.0), Measured("set", 30, 1, 7200.0)])["set"]
    assert found.hours == pytest.approx(4 / 80)
    assert found.status == "measured"


@pytest.mark.parametrize(
    ("what", "timed"),
    [
        ("not in the table", Measured("fil", 1.0, 2, 60.0)),
        ("a rate of zero", Measured("fill", 0.0, 2, 60.0)),
        ("a rate of zero", Measured("fill", 1.0, 0, 60.0)),
    ],
)
def test_a_rate_that_is_none_is_told(what, timed):
    with pytest.raises(OutOfRange, match=what):
        adjusted([timed])


def test_a_crew_of_nobody_is_told():
    with pytest.raises(OutOfRange, match="a crew of 0 does nothing"):
        unnamed(0)


def test_rows_are_learned_until_the_third():
    each = np.ones(9)
    assert learning(0.9, 1, 1, each) > learning(0.9, 2, 2, each) > 1
    assert learning(0.9, 3, 9, each) == 1
    assert learning(1.0, 1, 9, each) == 1
    assert learning(0.9, 1, 9, np.zeros(9)) == 1


@given(st.lists(st.integers(1, 30), min_size=1, max_size=30), st.integers(1, 8))
def test_the_parts_of_the_hill_cover_every_row_once(cells, least):
    found = blocks(np.array(cells), least)
    rows = [r for first, last in found for r in range(first, last + 1)]
    assert rows == list(range(1, len(cells) + 1))
    assert len(found) >= min(least, len(cells))


def test_every_task_waits_only_for_tasks_before_it():
    tasks = tasks_of(amounts(), {w.id: w for w in works()}, 0.93)
    assert all(j < i for i, t in enumerate(tasks) for j in t.after)


def test_every_figure_of_the_plan_has_a_working(plan):
    figures = [w.figure for w in plan.workings]
    assert len(figures) == len(set(figures))
    assert {f"crew.hours.{t.work}" for t in plan.tasks} <= set(figures)
    total = next(w for w in plan.workings if w.figure == "crew.hours").result.value
    assert total == pytest.approx(3600 * sum(t.hours for t in plan.tasks))
    for w in plan.workings:
        w.with_units()


def test_the_same_work_gives_the_same_plan(plan):
    again = plan_work(crew(5), amounts())
    assert again.stints == plan.stints
    assert again.drawn == plan.drawn
    assert plan.drawn[0] <= plan.drawn[1] <= plan.drawn[2]


def test_nobody_works_below_rows_that_hang_and_are_not_staked():
    tasks = tasks_of(amounts(rows=12, dragged=6, team=4), {w.id: w for w in works()}, 0.93)
    before = [set(t.after) for t in tasks]
    for i in range(len(tasks)):  # tasks wait only for earlier ones
        for j in tuple(before[i]):
            before[i] |= before[j]
    stakes = [(i, t) for i, t in enumerate(tasks) if t.work == "stake"]
    for i, task in enumerate(tasks):
        if task.work in ("set", "lift"):
            above = {k for k, stake in stakes if stake.rows[1] < task.rows[0]}
            assert above <= before[i], task.name
    assert len(stakes) > 1


def test_ditches_are_dug_the_upper_one_before_anything_hangs_below_it():
    kinds = {w.id: w for w in works()}
    tasks = tasks_of(amounts(crest=2.0, toe=1.5), kinds, 0.93)
    at = {t.work: i for i, t in enumerate(tasks)}
    assert tasks[at["crest"]].amount == 2.0
    assert at["crest"] in tasks[at["anchors"]].after
    assert at["toe"] in tasks[at["clean"]].after
    assert all(kinds[w].dig for w in ("crest", "toe"))  # not before buried lines are marked
    without = {t.work for t in tasks_of(amounts(), kinds, 0.93)}
    assert not without & {"crest", "toe"}
