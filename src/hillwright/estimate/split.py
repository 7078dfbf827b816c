"""Which rows, which of the ten questions and which weeks a line's cost belongs to."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from hillwright.data import table
from hillwright.estimate.labour import seconds
from hillwright.estimate.model import Course, TakeoffLine
from hillwright.estimate.order import PACKED

HILL = 0  # stands for the whole hill among rows
Weights = dict[int, float]


def split(
    line: TakeoffLine, course: Course | None, rows: tuple[tuple[int, float], ...], pay: str
) -> tuple[Weights, Weights, Weights]:
    """Give weights of a line by row, by question and by week.

    Parameters
    ----------
    line : TakeoffLine
        A line of the order.
    course : Course or None
        When each task is done, and by whom.
    rows : tuple of (row, cells)
        Over which a task of several rows is shared.
    pay : {"days", "hours"}
        What of the people's time is paid.
    """
    if line.kind == "labour" and course is not None:
        return _labour(line, course, rows, pay)
    asked = table("estimate")["question"]
    question = asked.get(line.works[0], 2) if line.works else 2
    by_row: Weights = dict(line.rows)
    rest = float(line.count) - sum(by_row.values())
    if rest > 1e-6 * max(abs(float(line.count)), 1.0):
        by_row[HILL] = rest
    if line.kind == "delivery":
        question = 9
    return by_row or {HILL: 1.0}, {question: 1.0}, _weeks(line, course, by_row)


def _labour(
    line: TakeoffLine, course: Course, rows: tuple[tuple[int, float], ...], pay: str
) -> tuple[Weights, Weights, Weights]:
    mine = np.flatnonzero(course.role == course.roles.index(line.item))
    paid = seconds(course, pay)
    by_row: defaultdict[int, float] = defaultdict(float)
    by_question: defaultdict[int, float] = defaultdict(float)
    by_week: defaultdict[int, float] = defaultdict(float)
    for k in mine.tolist():
        task, time = int(course.task[k]), float(paid[k])
        by_question[int(course.question[task])] += time
        by_week[int(course.week[course.day[k]])] += time
        first, last = course.rows[task]
        inside = [(r, n) for r, n in rows if first <= r <= last] if first else []
        cells = sum(n for _, n in inside)
        for row, n in inside:
            by_row[row] += time * n / cells
        if not inside:
            by_row[HILL] += time
    return dict(by_row), dict(by_question), dict(by_week)


def _weeks(line: TakeoffLine, course: Course | None, by_row: Weights) -> Weights:
    """Give the weeks in which the tasks begin that use a line up; the first where none does."""
    if course is None or not len(course.week):
        return {1: 1.0}
    tasks = [t for t, work in enumerate(course.works) if work in line.works]
    if line.item == PACKED or not tasks:
        return {1: 1.0}
    found: defaultdict[int, float] = defaultdict(float)
    for row, amount in (by_row or {HILL: 1.0}).items():
        covers = [t for t in tasks if course.rows[t][0] <= row <= course.rows[t][1]]
        t = min(covers or tasks, key=lambda t: int(course.start[t]))
        found[int(course.week[course.start[t]])] += amount
    return dict(found)
