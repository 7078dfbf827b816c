"""Invented crews and amounts of work for the tests."""

import numpy as np

from hillwright.crew.people import Person
from hillwright.crew.tasks import Quantities
from hillwright.crew.workdays import Hours
from hillwright.crew.workplan import Crew
from hillwright.crew.works import roles, unnamed

WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri")


def amounts(rows=6, columns=8, dragged=0, team=0, **more):
    each = np.ones(rows)
    return Quantities(
        cells=(each * columns).astype(int),
        length=each * columns * 0.6,
        stakes=(each * columns // 2).astype(int),
        soil=each * columns * 0.05,
        mulch=each * columns * 0.014,
        plants=(each * columns).astype(int),
        lateral=each * columns * 0.6,
        emitters=(each * columns).astype(int),
        dragged=np.where(np.arange(rows) < dragged, columns, 0),
        lifts=np.where(np.arange(rows) < dragged, np.arange(rows) % 2, 0),
        team=team,
        anchors=columns,
        hung=columns,
        pegs=2 * rows + 6,
        area=rows * columns * 0.28,
        trim=0.3,
        pack=0.2,
        **{"header": 0.45 * rows, "takeoffs": rows, "valves": 1} | more,
    )


def hours(start="2026-05-04", days=WEEK, begin=480, end=990, lunch=30, morning=15, **more):
    return Hours(start, days, begin, end, lunch, morning, **more)


def crew(people=5, **more):
    people = unnamed(people) if isinstance(people, int) else tuple(people)
    when = more.pop("hours", hours())
    return Crew(people, more.pop("tools", ()), when, **more)


def person(name, role="adult volunteer", **more):
    row = roles()[role]
    return Person(name, role, tuple(more.pop("may", row["may"])), row["pace"], **more)
