"""Who can be asked at once: Hall's condition, and seats given to people."""

import itertools

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from hillwright.crew.people import KINDS, NOT_FOR_CHILDREN, Person, groups, seats
from hillwright.crew.works import roles, works
from hillwright.job import crew as text

FEW = KINDS[:4]


@st.composite
def teams(draw):
    people = [
        Person(f"p{i}", "lead", tuple(sorted(draw(st.sets(st.sampled_from(FEW))))), 1.0)
        for i in range(draw(st.integers(1, 5)))
    ]
    wanted = draw(st.dictionaries(st.sampled_from(FEW), st.integers(1, 3), max_size=3))
    return people, wanted


def can_be_manned(people, wanted):
    """Try every way to give the seats to people."""
    places = [kind for kind, n in wanted.items() for _ in range(n)]
    return any(
        all(kind in p.may for kind, p in zip(places, chosen, strict=True))
        for chosen in itertools.permutations(people, len(places))
    )


@given(teams())
def test_a_team_can_be_manned_exactly_when_no_group_is_short(team):
    people, wanted = team
    found = groups(people, FEW)
    demand = found.demand(people, wanted)
    enough = all(n <= m.sum() for n, m in zip(demand, found.members, strict=True))
    assert enough == can_be_manned(people, wanted)


@given(teams())
def test_every_seat_that_can_be_manned_is(team):
    people, wanted = team
    places = [(0, kind) for kind, n in wanted.items() for _ in range(n)]
    found = seats(places, people, np.ones(len(people), bool), {}, np.zeros(len(people), int))
    assert len(set(found.values())) == len(found)
    assert all(kind in people[who].may for (_, kind, _), who in found.items())
    if can_be_manned(people, wanted):
        assert len(found) == len(places)


def test_who_has_a_seat_keeps_it_unless_somebody_else_has_none():
    people = [Person("a", "lead", ("set", "drive"), 1.0), Person("b", "lead", ("set",), 1.0)]
    there, worked = np.ones(2, bool), np.array([90, 0])
    before = {(0, "set", 0): 0}
    assert seats([(0, "set")], people, there, before, worked)[0, "set", 0] == 0
    both = seats([(0, "set"), (1, "drive")], people, there, before, worked)
    assert both == {(0, "set", 0): 1, (1, "drive", 0): 0}


def test_the_job_and_the_crew_speak_of_the_same_roles_and_kinds():
    assert text.Role.__args__ == tuple(roles())
    assert text.Kind.__args__ == KINDS
    assert text._NOT_FOR_CHILDREN == NOT_FOR_CHILDREN
    assert not set(roles()["child"]["may"]) & set(NOT_FOR_CHILDREN)
    assert {kind for w in works() for kind, _ in w.team} <= set(KINDS)


def test_every_row_of_the_table_of_work_says_where_its_hours_come_from():
    for w in works():
        assert w.source
        assert w.status in ("verified", "common practice")
        assert 0 < w.low <= 1 <= w.high
        assert w.hours > 0
        assert 1 <= w.least <= w.most
