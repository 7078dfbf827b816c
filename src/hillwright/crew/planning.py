"""Stage of the work plan: tasks to a project, a schedule, people for every seat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from hillwright.arrays import Index, frozen
from hillwright.crew.assign import assign
from hillwright.crew.bound import binding
from hillwright.crew.network import passes
from hillwright.crew.notice import digging_days, latest_notice
from hillwright.crew.people import Groups, Tool, able, groups
from hillwright.crew.project import Mode, Project, Times
from hillwright.crew.proven import EFFORT, prove
from hillwright.crew.serial import generate
from hillwright.crew.spread import drawn_lengths
from hillwright.crew.tasks import Quantities, Task, tasks_of
from hillwright.crew.wayup import brigade_day, on_this_hill
from hillwright.crew.workdays import SLOT, Calendar, calendar
from hillwright.crew.workings import workings
from hillwright.crew.workplan import Crew, WorkPlan
from hillwright.crew.works import Measured, Work, adjusted, tools
from hillwright.errors import OutOfRange

_MODES = 5  # ways to do one task that are weighed against each other
_DAYS = 400  # working days that are looked at, at most


@dataclass(frozen=True, eq=False)
class _Prepared:
    works: dict[str, Work]
    tasks: tuple[Task, ...]
    teams: tuple[tuple[int, ...], ...]  # of each task: how many teams in each of its modes
    project: Project
    calendar: Calendar
    groups: Groups
    names: tuple[str, ...]  # of the resources


def plan_work(crew: Crew, quantities: Quantities, measured: Sequence[Measured] = ()) -> WorkPlan:
    """Stage: schedule the work at once, with the bound beside it.

    Parameters
    ----------
    crew : Crew
        Who is there, when, and with which tools.
    quantities : Quantities
        What there is to do.
    measured : sequence of Measured
        The crew's own pace.

    Raises
    ------
    OutOfRange
        A measured rate that is none.
    """
    return _planned(crew, quantities, measured, None)


def prove_work(
    crew: Crew,
    quantities: Quantities,
    measured: Sequence[Measured] = (),
    effort: float = EFFORT,
) -> WorkPlan:
    """Stage: the shortest schedule that the solver finds, with the proof of how short one can be.

    Takes what :func:`plan_work` takes, and the work that the solver may put in, about seconds.
    """
    return _planned(crew, quantities, measured, effort)


def _planned(
    crew: Crew, q: Quantities, measured: Sequence[Measured], effort: float | None
) -> WorkPlan:
    carriers = len(able(crew.people, "carry"))
    works = on_this_hill(adjusted(measured), q.way, q.heat, carriers)
    tasks = tasks_of(q, works, crew.learning)
    if why := _unable(crew, tasks, works):
        return _nothing(crew, works, why)
    try:
        ready, times = _scheduled(crew, q, works)
    except OutOfRange as error:
        return _nothing(crew, works, str(error.problems[0].what))
    bound, by = binding(ready.project)
    if effort is not None:
        found = prove(ready.project, effort, times)
        times, bound = found.times, max(bound, found.bound)
    told = _told(crew, ready, times, bound, by, effort is not None)
    if effort is None or q.way is None or q.way.line is None:
        return told
    return replace(told, brigade=brigade_day(q.way.line))


def _unable(crew: Crew, tasks: Sequence[Task], works: dict[str, Work]) -> str:
    """Say which work nobody, or too few, may do."""
    said = []
    for task in {t.work: t for t in tasks}.values():
        for kind, n in task.team:
            there = len(able(crew.people, kind))
            if there < n:
                who = "nobody may" if not there else f"only {there} of the {n} needed may"
                said.append(f"to {works[task.work].name}, {who} do work of the kind {kind}")
    return "; ".join(said)


def _scheduled(crew: Crew, q: Quantities, works: dict[str, Work]) -> tuple[_Prepared, Times]:
    """Schedule, with more days until there are enough and in more parts until each fits a day."""
    days, parts = 8, 1
    while True:
        cal = calendar(crew.hours, crew.people, days)
        if not cal.dates:
            raise OutOfRange("crew", "nobody is there on any working day", "give more days")
        try:
            ready = _prepared(crew, q, works, cal, parts)
            return ready, generate(ready.project, samples=2)
        except OutOfRange:
            if len(cal.dates) == days < _DAYS:
                days = min(3 * days, _DAYS)
            elif crew.hours.heavy_until is not None and parts < len(q.cells):
                parts, days = min(2 * parts + 4, len(q.cells)), 8
            else:
                what = (
                    f"the work does not fit into the {len(cal.dates)} working days on which "
                    "somebody is there: too few people who may do it, or tools for it, are there "
                    "together for as long as it takes"
                )
                raise OutOfRange("crew", what, "give more people, tools or days") from None


def _prepared(
    crew: Crew, q: Quantities, works: dict[str, Work], cal: Calendar, parts: int
) -> _Prepared:
    tasks = tasks_of(q, works, crew.learning, parts)
    kinds = sorted({kind for t in tasks for kind, _ in t.team})
    found = groups(crew.people, kinds)
    limits = _limits(crew, tasks, works, cal, found)
    modes, teams = [], []
    for task in tasks:
        each, counts = _modes(task, works[task.work], crew, found, limits)
        modes.append(each)
        teams.append(counts)
    after: list[list[int]] = [[] for _ in tasks]
    for j, task in enumerate(tasks):
        for i in task.after:
            after[i].append(j)
    release = _release(crew, tasks, works, cal)
    project = Project(
        tuple(modes),
        tuple(tuple(a) for a in after),
        frozen(release),
        frozen(np.array([row for _, row in limits], np.intp)),
    )
    return _Prepared(
        works, tasks, tuple(teams), project, cal, found, tuple(name for name, _ in limits)
    )


def _limits(
    crew: Crew, tasks: Sequence[Task], works: dict[str, Work], cal: Calendar, found: Groups
) -> list[tuple[str, Index]]:
    """Give every resource with what is there in each slot."""
    slots = len(cal.day)
    limits = [
        (f"people for: {name}", (cal.present & row[:, None]).sum(axis=0).astype(np.intp))
        for name, row in zip(found.names, found.members, strict=True)
    ]
    own = dict(crew.tools)
    limits += [
        (tool.name, np.full(slots, own.get(tool.name, tool.count), np.intp))
        for tool in _tools_of(works)
    ]
    limits.append(("a clear slope", np.full(slots, len(tasks), np.intp)))
    if crew.hours.heavy_until is not None:
        limits.append(("cool hours", np.where(cal.heavy, len(tasks), 0).astype(np.intp)))
    return limits


def _tools_of(works: dict[str, Work]) -> list[Tool]:
    wanted = {w.tool for w in works.values() if w.tool}
    known = {t.name: t for t in tools()}
    return [known[name] for name in sorted(wanted)]


def _modes(
    task: Task, work: Work, crew: Crew, found: Groups, limits: list[tuple[str, Index]]
) -> tuple[tuple[Mode, ...], tuple[int, ...]]:
    """Give the ways to do a task: with so many teams, as far as people and tools reach."""
    modes, counts = list[Mode](), list[int]()
    for teams in range(work.least, work.most + 1):
        people = {kind: n * teams for kind, n in task.team}
        if any(len(able(crew.people, kind)) < n for kind, n in people.items()):
            break
        demand = [*found.demand(crew.people, people)]
        for name, _ in limits[len(demand) :]:
            if name == "a clear slope":
                # where rows are hung or dragged nobody else is on the slope; the foot is free
                demand.append(_slope(work, limits, name))
            elif name == "cool hours":
                demand.append(int(work.heavy))
            else:
                demand.append(teams if work.tool == name else 0)
        short = [n > int(row.max(initial=0)) for n, (_, row) in zip(demand, limits, strict=True)]
        if any(short):
            break
        pace = sum(sum(sorted(p.pace for p in able(crew.people, k))[:n]) for k, n in people.items())
        slots = int(np.ceil(task.hours * 60 / SLOT / pace - 1e-9))
        if not modes or slots < modes[-1].duration:
            modes.append(Mode(max(slots, 1), tuple(demand)))
            counts.append(teams)
    if not modes:
        raise OutOfRange(task.name, "there are never enough people or tools together", "add some")
    keep = np.unique(np.linspace(0, len(modes) - 1, _MODES).round().astype(int))
    return tuple(modes[k] for k in keep), tuple(counts[k] for k in keep)


def _slope(work: Work, limits: list[tuple[str, Index]], name: str) -> int:
    whole = int(next(row for n, row in limits if n == name).max(initial=0))
    if work.clear_slope:
        return whole
    return 0 if work.id == "assemble" else 1


def _release(crew: Crew, tasks: Sequence[Task], works: dict[str, Work], cal: Calendar) -> Index:
    """Hold what digs back until the marks of buried lines must be there."""
    release = np.zeros(len(tasks), np.intp)
    if crew.called and cal.dated:
        lawful = digging_days(crew.called, crew.hours.off).first_day
        first = sum(date < lawful for date in cal.dates) * crew.hours.per_day
        for i, task in enumerate(tasks):
            if works[task.work].dig:
                release[i] = first
    return release


def _told(
    crew: Crew, ready: _Prepared, times: Times, bound: int, by: int, proven: bool
) -> WorkPlan:
    picks = times.mode.tolist()
    tasks = ready.tasks
    lengths = np.array([ms[k].duration for ms, k in zip(ready.project.modes, picks, strict=True)])
    start, finish = times.start, times.start + lengths
    teams = tuple(
        tuple((kind, n * ready.teams[i][k]) for kind, n in task.team)
        for i, (task, k) in enumerate(zip(tasks, picks, strict=True))
    )
    early, tail = passes(lengths.astype(float), ready.project.successors, ready.project.release)
    longest = float((early + tail).max(initial=0))
    slack = longest - early - tail
    stints = assign(crew.people, ready.calendar, start, finish, teams)
    drawn = drawn_lengths(
        start, finish, [t.after for t in tasks], stints, [t.work for t in tasks], ready.works
    )
    warnings, call_by, in_time = _dates(crew, ready, start, finish, drawn)
    found = WorkPlan(
        crew,
        tuple(ready.works.values()),
        tasks,
        frozen(start),
        frozen(finish),
        teams,
        frozen(slack < 0.5),
        frozen(slack),
        times.makespan,
        bound,
        int(longest),
        ready.names[by].removeprefix("people for: ") if by >= 0 else "",
        proven,
        ready.calendar,
        stints,
        tuple(float(v) for v in np.percentile(drawn, (10, 50, 90))),  # type: ignore[arg-type]
        in_time,
        call_by,
        "",
        (),
        tuple(warnings),
    )
    return replace(found, workings=workings(found))


def _dates(
    crew: Crew, ready: _Prepared, start: Index, finish: Index, drawn: Any
) -> tuple[list[str], str, float]:
    """Give warnings of the calendar, the last day for the notice, and the chance to be in time."""
    cal, said = ready.calendar, list[str]()
    digs = [i for i, t in enumerate(ready.tasks) if ready.works[t.work].dig]
    call_by = ""
    if cal.dated and digs:
        first = cal.dates[cal.day[min(int(start[i]) for i in digs)]]
        last = cal.dates[cal.day[max(int(finish[i]) for i in digs) - 1]]
        call_by = latest_notice(first, crew.hours.off)
        if crew.called:
            ends = digging_days(crew.called, crew.hours.off).ticket_expires_on_or_before
            if last > ends:
                said.append(
                    f"Digging goes on until {last}, and the ticket of the utilities runs out on "
                    f"{ends}: give notice again in time."
                )
    in_time = float("nan")
    if crew.finish_by and cal.dated:
        slots = sum(d <= crew.finish_by for d in cal.dates) * crew.hours.per_day
        if len(cal.dates) and cal.dates[-1] <= crew.finish_by:
            slots = max(slots, int(np.max(drawn)) + 1)  # the day lies beyond what was looked at
        in_time = float((drawn <= slots).mean())
    return said, call_by, in_time


def no_work(crew: Crew) -> WorkPlan:
    """Give the plan of a crew that has nothing to do."""
    return _nothing(crew, adjusted(()), "")


def _nothing(crew: Crew, works: dict[str, Work], why: str) -> WorkPlan:
    """Give a plan that says why there is none."""
    none = frozen(np.zeros(0, np.intp))
    cal = calendar(crew.hours, crew.people, 0)
    nan = float("nan")
    return WorkPlan(
        crew, tuple(works.values()), (), none, none, (), frozen(np.zeros(0, bool)),
        frozen(np.zeros(0)), 0, 0, 0, "", False, cal, (), (nan, nan, nan), nan, "", why, (), (),
    )  # fmt: skip
