"""Labour: whose hours go into which task on which day, and what is paid for."""

from __future__ import annotations

import datetime
from collections import defaultdict

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.crew.workdays import SLOT
from hillwright.crew.workplan import WorkPlan
from hillwright.data import table
from hillwright.estimate.model import Course, TakeoffLine
from hillwright.wording import plural


def course_of(work: WorkPlan) -> Course:
    """Share the days of who comes over what each does on them.

    A person who comes is there all day: what is paid for the day is shared over the tasks by the
    time that each took. The morning's talk and setting up belong to them too.
    """
    calendar, people = work.calendar, work.crew.people
    morning = work.crew.hours.morning * 60.0
    done: defaultdict[tuple[int, int, int], int] = defaultdict(int)  # person, task, day: slots
    for stint in work.stints:
        days, slots = np.unique(calendar.day[stint.start : stint.finish], return_counts=True)
        for day, n in zip(days.tolist(), slots.tolist(), strict=True):
            done[stint.person, stint.task, day] += n
    there = np.zeros((len(people), int(calendar.day.max(initial=-1)) + 1))
    for i in range(len(people)):
        there[i] = np.bincount(calendar.day[calendar.present[i]], minlength=there.shape[1])
    worked: defaultdict[tuple[int, int], int] = defaultdict(int)
    for (person, _, day), n in done.items():
        worked[person, day] += n
    roles = tuple(dict.fromkeys(people[p].role for p, _, _ in sorted(done)))
    rows = []
    for (person, task, day), n in sorted(done.items()):
        share = n / worked[person, day]
        w = work.work(work.tasks[task])
        rows.append(
            (
                roles.index(people[person].role),
                task,
                day,
                60.0 * SLOT * n + share * morning,
                share * (60.0 * SLOT * there[person, day] + morning),
                people[person].pace,
                w.low,
                w.high,
            )
        )
    data = np.array(rows, float).reshape(len(rows), 8)

    def whole(k: int) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
        return np.asarray(frozen(data[:, k].astype(np.intp)), np.intp)

    question = table("estimate")["question"]
    begin = [int(calendar.day[s]) if len(calendar.day) else 0 for s in work.start.tolist()]
    return Course(
        roles=roles,
        role=whole(0),
        task=whole(1),
        day=whole(2),
        worked=frozen(data[:, 3]),
        paid=frozen(data[:, 4]),
        pace=frozen(data[:, 5]),
        spread=frozen(data[:, 6:8]),
        names=tuple(t.name for t in work.tasks),
        works=tuple(t.work for t in work.tasks),
        rows=tuple(t.rows for t in work.tasks),
        question=frozen(np.array([question.get(t.work, 8) for t in work.tasks], np.intp)),
        start=frozen(np.array(begin, np.intp)),
        week=frozen(_weeks(calendar.dates)),
        dates=calendar.dates if calendar.dated else ("",) * len(calendar.dates),
    )


def _weeks(dates: tuple[str, ...]) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    days = [datetime.date.fromisoformat(d) for d in dates]
    if not days:
        return np.zeros(0, np.intp)
    monday = days[0] - datetime.timedelta(days=days[0].weekday())
    return np.array([(d - monday).days // 7 + 1 for d in days], np.intp)


def seconds(course: Course, pay: str) -> Array:
    """Give what is paid for each entry (k,) in seconds: whole days, or the hours at work."""
    return course.paid if pay == "days" else course.worked


def labour_lines(course: Course, pay: str) -> list[TakeoffLine]:
    """Give a line for each class of people, with the tasks that its hours come from."""
    lines = []
    paid = seconds(course, pay)
    for k, role in enumerate(course.roles):
        mine = course.role == k
        tasks = [course.names[t] for t in dict.fromkeys(course.task[mine].tolist())]
        days = len({(int(d)) for d in course.day[mine]})
        parts: defaultdict[str, float] = defaultdict(float)
        for t, time in zip(course.task[mine].tolist(), paid[mine].tolist(), strict=True):
            parts[course.names[t]] += time
        at = "whole days of those who come" if pay == "days" else "hours at work, setting up too"
        lines.append(
            TakeoffLine(
                role,
                float(paid[mine].sum()),
                "s",
                at,
                (),
                f"{course.worked[mine].sum() / 3600:,.1f} hours of it at work, on "
                f"{plural(days, 'day')}",
                "labour",
                traced=tuple(tasks),
                parts=tuple(parts.items()),
            )
        )
    return lines
