"""Why the hours and days are what they are."""

from __future__ import annotations

from typing import Any

from hillwright.crew.bound import schedule_bound
from hillwright.crew.learning import crawford_unit
from hillwright.crew.proven import shortest_schedule
from hillwright.crew.serial import serial_schedule
from hillwright.crew.tasks import LEARNED_BY
from hillwright.crew.workdays import SLOT
from hillwright.crew.workplan import WorkPlan
from hillwright.method import Method, Number, Working

_S = SLOT * 60.0


def workings(plan: WorkPlan) -> tuple[Working, ...]:
    """Give the working of every figure of the plan."""
    done = {t.work for t in plan.tasks}
    each = [_work(plan, work.id) for work in plan.works if work.id in done]
    total = Working(
        "crew.hours",
        "Person-hours of all work, at the pace of the table",
        "sum over kinds of work of amount x hours a unit",
        tuple(Number(w.title, w.result.value, "s") for w in each),
        Number("person-hours", sum(t.hours for t in plan.tasks) * 3600, "s"),
        "sum of the hours of each kind of work",
    )
    return (*each, total, _learning(plan), _length(plan), _bound(plan), _spread(plan))


def _method(function: Any) -> Method:
    found: Method = function.method
    return found


def _learning(plan: WorkPlan) -> Working:
    rate = plan.crew.learning
    first = 1 / float(crawford_unit(1.0, LEARNED_BY, rate))
    return Working.of(
        "crew.learning",
        crawford_unit,
        {"t1": first, "n": 1, "rate": rate},
        first,
        unit="-",
        note=f"how much longer row 1 takes than row {LEARNED_BY}, after which nothing more is "
        "learned; by Crawford's curve (the unit, not the average, falls)",
    )


def _length(plan: WorkPlan) -> Working:
    method = _method(shortest_schedule if plan.proven else serial_schedule)
    note = "`hillwright schedule` proves how short it can be"
    return Working(
        "crew.schedule.length",
        "Working time from the first task to the last",
        method.equation,
        (
            Number("tasks", len(plan.tasks), "-"),
            Number("people", len(plan.crew.people), "-"),
            Number("no order is shorter than", plan.bound * _S, "s"),
            Number("longest path with hands without limit", plan.longest * _S, "s"),
            Number("share above the bound", plan.gap, "%"),
        ),
        Number("working time", plan.makespan * _S, "s"),
        method.source,
        "by the solver, with its proof" if plan.proven else note,
    )


def _bound(plan: WorkPlan) -> Working:
    method = _method(schedule_bound)
    set_by = f"people for: {plan.short_of}" if plan.short_of else "the longest path"
    return Working(
        "crew.schedule.bound",
        method.title,
        method.equation,
        (
            Number("longest path with hands without limit", plan.longest * _S, "s"),
            Number("work between head and tail, set by", set_by, "text"),
        ),
        Number("least working time", plan.bound * _S, "s"),
        method.source,
        "raised further by the solver" if plan.proven else "",
    )


def _spread(plan: WorkPlan) -> Working:
    low, mid, high = plan.drawn
    return Working(
        "crew.schedule.spread",
        "Working time that nine in ten schedules keep to",
        "each kind of work drawn between its best and worst; the order of work stays",
        (
            Number("planned", plan.makespan * _S, "s"),
            Number("one in ten is shorter than", low * _S, "s"),
            Number("half are shorter than", mid * _S, "s"),
        ),
        Number("nine in ten are shorter than", high * _S, "s"),
        "2,000 draws of triangular times; best and worst: common practice, no source",
    )


def _work(plan: WorkPlan, work: str) -> Working:
    w = next(each for each in plan.works if each.id == work)
    mine = [t for t in plan.tasks if t.work == work]
    amount, hours = sum(t.amount for t in mine), sum(t.hours for t in mine)
    unit = w.unit if w.unit in ("m", "m2", "m3") else "-"
    named = f" ({w.unit})" if unit == "-" else ""
    given = [
        Number(f"amount{named}", amount if unit != "-" else round(amount), unit),
        Number("person-hours a unit", w.hours, "h" if unit == "-" else f"h/{unit}"),
    ]
    if abs(hours / (amount * w.hours) - 1) > 1e-9:
        given.append(Number("for learning, or for the team", hours / (amount * w.hours), "-"))
    return Working(
        f"crew.hours.{work}",
        f"{w.name[0].upper()}{w.name[1:]}: person-hours at the pace of the table",
        "amount x person-hours a unit",
        tuple(given),
        Number("person-hours", hours * 3600, "s"),
        w.source,
    )
