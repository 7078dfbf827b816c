"""Hours: every task's amount and rate; what follows for the people."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hillwright.crew.workdays import SLOT
from hillwright.sheets.workbook.page import Formula, Given, Page
from hillwright.sheets.workbook.soil import Unit, unit_of

if TYPE_CHECKING:
    from hillwright.plan import Plan


def work_page(plan: Plan) -> Page:
    """Give the page of hours."""
    work = plan.work
    page = Page("Hours", "Hours", (44, 12, 14, 16, 16, 12, 16, 14))
    page.add("Hours of work", style="title")
    page.notes(
        [
            "Person-hours at a practised pace follow from the amount and the rate. The schedule "
            "(team, clock hours) is the plan's; after a change of an amount or a rate run the plan "
            "again.",
        ]
    )
    first = page.block(
        "Tasks",
        ("task", "amount", "unit", "hours a unit", "person-hours", "people", "clock hours",
         "planned"),
    )  # fmt: skip
    if work.stopped or not work.tasks:
        page.add(work.stopped or "Nothing to do.")
        return page
    system = plan.opened.job.units
    for i, task in enumerate(work.tasks):
        n, kind = page.next, work.work(task)
        unit = unit_of(kind.unit, system) if kind.unit in ("m", "m2", "m3") else Unit(1, kind.unit)
        people = sum(count for _, count in work.teams[i])
        planned = int(work.finish[i] - work.start[i]) * SLOT / 60
        page.add(
            task.name,
            Given(task.amount * unit.factor),
            unit.label,
            Given(
                task.hours / task.amount / unit.factor, 4, about=f"{kind.source} ({kind.status})"
            ),
            Formula(f"B{n}*D{n}", task.hours),
            Given(people, 0, integer=True),
            Formula(f"E{n}/F{n}", task.hours / people),
            Given(planned),
        )
    last = page.next - 1
    page.add(
        "all", "", "", "",
        Formula(f"SUM(E{first}:E{last})", sum(t.hours for t in work.tasks), total=True),
        "", "",
        "",
        style="total",
    )  # fmt: skip
    page.add(
        "person-hours in the schedule, at the crew's own pace", "", "", "",
        Formula(f"SUMPRODUCT(F{first}:F{last},H{first}:H{last})", work.person_hours, total=True),
    )  # fmt: skip
    return page
