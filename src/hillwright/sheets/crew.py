"""The sheets of the crew: the chart of the work, its tasks, and a day sheet for each person."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from hillwright.crew.assign import Stint, spells
from hillwright.crew.workdays import clock
from hillwright.crew.workplan import WorkPlan
from hillwright.sheets.blocks import Block, RoomSheet, Table, Text
from hillwright.sheets.gantt import charts, hours_text
from hillwright.sheets.scale import paper_of

if TYPE_CHECKING:
    from hillwright.plan import Plan


def crew_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the sheets of the work and the day sheets; none where there is nothing to do."""
    work = plan.work
    if not work.makespan and not work.stopped:
        return ()
    answer = next(a for a in plan.answers if a.number == 8)
    short = Text("Hands and days in short", (answer.short, *answer.lines), listed=True)
    beware = Text("Before anyone begins", (answer.caution,), strong=True)
    if work.stopped:
        return (RoomSheet("Work plan", (short, beware)),)
    paper = paper_of(plan.opened.job)
    return (
        *(
            RoomSheet("Work plan", (picture,))
            for picture in charts(work, paper.inner_width, paper.inner_height - 12.0)
        ),
        RoomSheet("Tasks", (short, tasks_table(work), beware)),
    )


def day_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give a day sheet for each working day, then what each person does."""
    work = plan.work
    if not work.makespan or work.stopped:
        return ()
    answer = next(a for a in plan.answers if a.number == 8)
    beware = Text("Before anyone begins", (answer.caution,), strong=True)
    return (
        RoomSheet("Day by day", (beware, *_days(work))),
        RoomSheet(
            "Person by person", tuple(_person(work, i) for i in range(len(work.crew.people)))
        ),
    )


def _days(work: WorkPlan) -> tuple[Table, ...]:
    """Give a table for each day: from when to when what is done, by whom."""
    names = [p.name for p in work.crew.people]
    found: dict[int, dict[tuple[int, int, int], list[str]]] = {}
    for stint in work.stints:
        for spell in spells(work.calendar, stint.start, stint.finish):
            key = (spell.begin, spell.end, stint.task)
            found.setdefault(spell.day, {}).setdefault(key, []).append(names[stint.person])
    tables = []
    for day, lines in sorted(found.items()):
        rows = tuple(
            (f"{clock(begin)}-{clock(end)}", work.tasks[task].name, ", ".join(sorted(set(who))), "")
            for (begin, end, task), who in sorted(lines.items())
        )
        # the head comes again on the next page, and so does what the table is of
        head = (f"{work.calendar.name(day)}, from-to", "what", "who", "done, by whom, what was met")
        tables.append(Table(work.calendar.name(day), head, rows, (), (0, 1.3, 1.3, 1)))
    return tuple(tables)


def tasks_table(work: WorkPlan) -> Table:
    """Give every task with who it takes, when, and what it waits for."""
    rows = []
    for i, task in enumerate(work.tasks):
        when = spells(work.calendar, int(work.start[i]), int(work.finish[i]))
        first, last = when[0], when[-1]
        rows.append(
            (
                str(i + 1),
                task.name,
                ", ".join(f"{n} {kind}" for kind, n in work.teams[i]),
                hours_text(float(work.finish[i] - work.start[i])),
                f"{work.calendar.name(first.day)}, {first.text[:5]}",
                f"{work.calendar.name(last.day)}, {last.text[-5:]}",
                "path" if work.path[i] else hours_text(float(work.slack[i])),
                ", ".join(str(j + 1) for j in task.after),
            )
        )
    return Table(
        "Tasks",
        ("no.", "task", "people", "takes", "from", "to", "may slip", "after no."),
        tuple(rows),
        (0, 3, 6),
        (0, 2, 1.2, 0, 0, 0, 0, 1.4),
        (
            "People by what they must be able to do. May slip: with hands enough, before the whole "
            "is late.",
        ),
    )


def _mine(work: WorkPlan, person: int) -> list[Stint]:
    return [s for s in work.stints if s.person == person]


def _lines(work: WorkPlan, person: int) -> list[tuple[str, str, str, str, str]]:
    """Give day, hours, task, kind of work and companions of every spell of a person."""
    names = [p.name for p in work.crew.people]
    found = []
    for stint in _mine(work, person):
        beside = sorted(
            {
                names[s.person]
                for s in work.stints
                if s.task == stint.task
                and s.person != person
                and s.start < stint.finish
                and s.finish > stint.start
            }
        )
        name, others = work.tasks[stint.task].name, ", ".join(beside)
        found += [
            (work.calendar.name(spell.day), spell.text, name, stint.kind, others)
            for spell in spells(work.calendar, stint.start, stint.finish)
        ]
    return found


def _person(work: WorkPlan, person: int) -> Block:
    who = work.crew.people[person]
    lines = _lines(work, person)
    if not lines:
        return Text(f"{who.name} ({who.role})", ("No task: not needed, or not there.",))
    slots = sum(s.finish - s.start for s in _mine(work, person))
    shown, last = [], ""
    for day, hours, task, _, beside in lines:
        shown.append((day if day != last else "", hours, task, beside))
        last = day
    return Table(
        f"{who.name} ({who.role}): {hours_text(slots)}",
        (f"{who.name}, day", "from-to", "what", "with"),
        tuple(shown),
        (),
        (0, 0, 1, 1),
    )


def tasks_csv(plan: Plan) -> str:
    """Give the tasks for a spreadsheet."""
    table = tasks_table(plan.work)
    return _csv(("no", *table.head[1:-1], "after"), table.rows)


def days_csv(plan: Plan) -> str:
    """Give what each person does, spell by spell, for a spreadsheet."""
    work = plan.work
    rows = [
        (who.name, who.role, *line)
        for i, who in enumerate(work.crew.people)
        for line in _lines(work, i)
    ]
    return _csv(("person", "role", "day", "from-to", "task", "kind", "with"), rows)


def _csv(head: tuple[str, ...], rows: object) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)  # type: ignore[arg-type]
    return text.getvalue()
