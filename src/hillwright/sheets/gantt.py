"""The chart of the work: a bar for each task over the days, and the hands at work below it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from hillwright.crew.workdays import SLOT
from hillwright.crew.workplan import WorkPlan
from hillwright.sheets.blocks import Picture
from hillwright.sheets.fonts import text_width
from hillwright.sheets.marks import LEAST_TEXT, Fill, Line, Mark, Pen, Words
from hillwright.sheets.svg import svg

_LAYER = "frame"
_HAIR, _THIN, _HEAVY = Pen(0.13), Pen(0.18), Pen(0.35)
_HEAD, _HANDS, _GAP = 9.0, 15.0, 3.0  # heights of the days, of the hands, between [mm]
_WIDEST_ROW = 5.2  # of a task [mm]
_NARROWEST_ROW = 4.2  # that holds a line of lettering [mm]
NOTES = (
    "Black: on the longest path; late there, late all. Grey: may slip as far as the thin line "
    "behind it goes, with hands enough. The number is of people. Only working time is drawn: "
    "nights, breaks and days off are left out.",
)


@dataclass(frozen=True, slots=True)
class _Frame:
    plan: WorkPlan
    left: float  # where the days begin [mm]
    width: float
    height: float
    row: float
    tasks: range  # that are drawn

    def x(self, slot: float) -> float:
        return self.left + (self.width - self.left) * slot / max(self.plan.makespan, 1)

    def y(self, task: int) -> float:
        """Give the middle of a task's bar, up from the bottom."""
        return self.height - _HEAD - self.row * (task - self.tasks.start + 0.5)

    @property
    def floor(self) -> float:
        return self.height - _HEAD - self.row * len(self.tasks)


def charts(plan: WorkPlan, width: float, most: float) -> tuple[Picture, ...]:
    """Draw the chart, so wide and no higher than asked [mm]; of many tasks, several in turn."""
    fit = max(1, int((most - _HEAD - _HANDS - _GAP) / _NARROWEST_ROW))
    parts = max(1, -(-len(plan.tasks) // fit))
    each = max(1, -(-len(plan.tasks) // parts))
    starts = range(0, max(len(plan.tasks), 1), each)
    return tuple(chart(plan, width, most, range(k, min(k + each, len(plan.tasks)))) for k in starts)


def chart(plan: WorkPlan, width: float, most: float, tasks: range | None = None) -> Picture:
    """Draw the chart of some tasks in one, so wide and no higher than asked [mm]."""
    drawn = range(len(plan.tasks)) if tasks is None else tasks
    row = min(_WIDEST_ROW, (most - _HEAD - _HANDS - _GAP) / max(len(drawn), 1))
    height = _HEAD + row * len(drawn) + _GAP + _HANDS
    names = max((text_width(plan.tasks[i].name, LEAST_TEXT) for i in drawn), default=0.0)
    frame = _Frame(plan, min(max(names, 46.0) + 3.0, 0.4 * width), width, height, row, drawn)
    marks = [*_days(frame), *_hands(frame)]
    for i in drawn:
        marks += _task(frame, i)
    alt = f"Chart of {len(drawn)} tasks over {plan.days} working days"
    return Picture("", svg(marks, width, height).encode(), width, height, alt, NOTES)


def _line(points: list[tuple[float, float]], pen: Pen) -> Line:
    return Line(_LAYER, np.array(points), pen)


def _box(x0: float, x1: float, y0: float, y1: float, tone: float) -> list[Mark]:
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    return [Fill(_LAYER, corners, tone), Line(_LAYER, corners, _THIN, closed=True)]


def _task(f: _Frame, i: int) -> list[Mark]:
    plan, y = f.plan, f.y(i)
    start, finish = int(plan.start[i]), int(plan.finish[i])
    size = LEAST_TEXT
    marks: list[Mark] = [
        _line([(0, y - f.row / 2), (f.width, y - f.row / 2)], _HAIR),
        Words(_LAYER, (f.left - 1.5, y), plan.tasks[i].name, size, anchor="right", halo=False),
    ]
    if plan.slack[i] >= 0.5:
        late = min(finish + float(plan.slack[i]), plan.makespan)
        marks.append(_line([(f.x(finish), y), (f.x(late), y)], _THIN))
    half = 0.3 * f.row
    marks += _box(f.x(start), f.x(finish), y - half, y + half, 0.0 if plan.path[i] else 0.72)
    people = sum(n for _, n in plan.teams[i])
    after = f.x(finish) + 0.6
    room = after < f.width - 4
    at, anchor = (after, "left") if room else (f.x(start) - 0.6, "right")
    marks.append(Words(_LAYER, (at, y), str(people), size, anchor=anchor))  # type: ignore[arg-type]
    return marks


def _days(f: _Frame) -> list[Mark]:
    plan, day = f.plan, f.plan.calendar.day[: f.plan.makespan]
    firsts = [0, *(np.flatnonzero(np.diff(day)) + 1).tolist()] if len(day) else []
    wide = (f.width - f.left) / max(len(firsts), 1)
    every = max(1, int(np.ceil(26.0 / wide)))
    marks: list[Mark] = [_line([(0, f.height - _HEAD), (f.width, f.height - _HEAD)], _HEAVY)]
    for k, slot in enumerate([*firsts, plan.makespan]):
        x = f.x(slot)
        marks.append(_line([(x, f.floor - _GAP - _HANDS), (x, f.height)], _THIN))
        if k < len(firsts) and k % every == 0:
            name = plan.calendar.name(int(day[slot]))
            marks.append(
                Words(_LAYER, (x + 0.8, f.height - _HEAD / 2), name, LEAST_TEXT, anchor="left")
            )
    return marks


def _hands(f: _Frame) -> list[Mark]:
    plan, slots = f.plan, f.plan.makespan
    busy = np.zeros(slots + 1, int)
    for i, team in enumerate(plan.teams):
        people = sum(n for _, n in team)
        busy[plan.start[i]] += people
        busy[plan.finish[i]] -= people
    busy = np.cumsum(busy)[:slots]
    there = plan.calendar.present[:, :slots].sum(axis=0)
    top = max(int(there.max(initial=1)), 1)
    base, tall = f.floor - _GAP - _HANDS, _HANDS - 3.0

    def steps(values: np.typing.NDArray[np.intp]) -> list[tuple[float, float]]:
        points: list[tuple[float, float]] = []
        turns = [0, *(np.flatnonzero(np.diff(values)) + 1).tolist(), len(values)]
        for a, b in itertools.pairwise(turns):
            y = base + tall * values[a] / top
            points += [(f.x(a), y), (f.x(b), y)]
        return points

    marks: list[Mark] = [
        _line([(0, base), (f.width, base)], _HEAVY),
        Words(
            _LAYER,
            (f.left - 1.5, base + tall / 2),
            f"hands at work, of {top} there",
            LEAST_TEXT,
            anchor="right",
            halo=False,
        ),
    ]
    if slots:
        work = steps(busy)
        area = np.array([(work[0][0], base), *work, (work[-1][0], base)])
        marks += [Fill(_LAYER, area, 0.85), _line(work, _THIN), _line(steps(there), _HAIR)]
    return marks


def hours_text(slots: float) -> str:
    """Write slots of working time as hours, as in "6.5 h"."""
    return f"{slots * SLOT / 60:.1f} h"
