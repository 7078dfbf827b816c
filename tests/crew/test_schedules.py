"""Schedules keep to order and hands; bounds are never above them; proofs are proofs."""

import itertools

import numpy as np
import pytest
from crewnets import holds, projects
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.crew.bound import resource_bound
from hillwright.crew.network import critical_path
from hillwright.crew.project import Mode, Project, project_of
from hillwright.crew.proven import prove, shortest_schedule
from hillwright.crew.serial import generate, in_this_order
from hillwright.errors import OutOfRange


@given(projects())
def test_the_generated_schedule_holds_and_no_bound_is_above_it(given_project):
    project = project_of(**given_project)
    found = generate(project)
    assert holds(project, found)
    longest = critical_path(given_project["durations"], given_project["successors"]).duration
    assert longest <= resource_bound(project) <= found.makespan


@settings(max_examples=25)
@given(projects(most=6))
def test_the_proven_schedule_is_the_best_of_all_orders(given_project):
    project = project_of(**given_project)
    found = prove(project)
    assert holds(project, found.times)
    # an active schedule of some order is shortest: every order of a small project is tried
    orders = itertools.permutations(range(project.count))
    best = min(in_this_order(project, np.array(o, float)).makespan for o in orders)
    assert found.times.makespan == found.bound == best


@given(st.integers(1, 12), st.integers(1, 5), st.integers(1, 4))
def test_equal_activities_go_as_many_at_once_as_there_are_hands(n, hands, length):
    project = project_of([length] * n, [[1]] * n, [[]] * n, [hands])
    assert generate(project).makespan == -(-n // hands) * length


def two_ways(capacity):
    """One activity that two do in 3 slots or one does in 5; and a free one of 2 slots for one."""
    modes = ((Mode(3, (2,)), Mode(5, (1,))), (Mode(2, (1,)),))
    return Project(modes, ((), ()), np.zeros(2, int), np.array([capacity]))


def test_the_better_way_to_do_it_is_chosen():
    project = two_ways([2] * 12)
    found = prove(project)
    assert found.times.makespan == found.bound == 5  # two for 3 slots, then 2; or 5 and 2 at once
    assert holds(project, found.times)


def test_who_is_away_in_a_slot_does_not_work_in_it():
    project = two_ways([1, 1, 0, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2])
    found = prove(project)
    assert holds(project, found.times)
    assert found.times.makespan == found.bound == 7  # the free one first, then both for 3
    assert generate(project).makespan >= 7


def test_nothing_starts_before_its_day():
    project = two_ways([2] * 20)
    late = Project(project.modes, project.successors, np.array([6, 0]), project.capacity)
    found = prove(late)
    assert found.times.start[0] == 6
    assert found.times.makespan == found.bound == 9


def test_hands_that_are_never_there_together_are_told():
    modes = ((Mode(3, (2,)),),)
    project = Project(modes, ((),), np.zeros(1, int), np.array([[2, 2, 1, 2, 2, 1, 2, 2]]))
    with pytest.raises(OutOfRange, match="never enough"):
        generate(project)


def test_the_same_project_gives_the_same_schedule():
    rng = np.random.default_rng(5)
    n = 14
    given_project = {
        "durations": rng.integers(1, 9, n),
        "demands": rng.integers(0, 4, (n, 2)),
        "successors": [[j for j in (i + 2, i + 4) if j <= n] for i in range(n)],
        "capacities": [4, 5],
    }
    first, again = (shortest_schedule(**given_project) for _ in range(2))
    assert first.start.tolist() == again.start.tolist()


@pytest.mark.parametrize(
    ("what", "change"),
    [
        ("needs 9 of resource 1, and there are 2", {"demands": [[9], [1]]}),
        ("not whole", {"durations": [1.5, 2]}),
        ("shape", {"demands": [[1], [1], [1]]}),
        ("below zero", {"capacities": [-1]}),
        ("ring", {"successors": [[2], [1]]}),
    ],
)
def test_each_wrong_project_has_its_own_message(what, change):
    right = {"durations": [1, 2], "demands": [[1], [1]], "successors": [[2], []], "capacities": [2]}
    with pytest.raises(OutOfRange, match=what):
        shortest_schedule(**{**right, **change})
