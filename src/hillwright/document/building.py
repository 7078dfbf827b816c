"""Building it: the drip network, how soil gets up, tasks and days, what to order."""

from __future__ import annotations

from hillwright.crew.assign import spells
from hillwright.crew.handmodel import Carry
from hillwright.crew.workdays import SLOT
from hillwright.crew.workplan import WorkPlan
from hillwright.document.base import Part, Vector, axes, read, si, text
from hillwright.estimate.model import Takeoff
from hillwright.irrigation.model import Irrigation, Valve


class ValvePart(Part):
    """One valve; its pipes and emitters stand in the tables of the drip network."""

    number: int = si("-", "As on the sheets.")
    zone: str = text("Its hydrozone.")
    rows: list[int] = axes("-", "end", "First and last row with plants.")
    plants: list[int] = axes("-", "cell", "Places in the table of cells, from 0.")
    flow_m3_s: float = si("m3/s", "At nominal emitters.")
    run_s: float = si("s", "On the peak day.")
    demand_m3: float = si("m3", "Of its plants on the peak day.")
    regulator_m: float = si("m", "Preset head.")
    uniformity: float | None = si("-", "Design emission uniformity at low supply.")
    low_quarter: float | None = si("-", "Low-quarter distribution uniformity.")
    carriers: list[int] = axes("-", "lateral", "Rows with a lateral.")
    trouble: list[str] = text("What is not right, and the remedy.")


class DripPart(Part):
    """The drip network."""

    valves: list[ValvePart] = text("The valves.")
    tap_m: Vector = axes("m", "xyz", "Where the supply is.")
    assembly: str = text("Backflow assembly.")
    available_m: Vector = axes("m", "supply", "Head left at low and high supply.")
    refused: list[str] = text("Why there is no network, and what would do.")


class WayPart(Part):
    """One way to bring the soil up."""

    name: str = text("What it is.")
    possible: bool = text("It can be done here.")
    why: str = text("Why not, or what to mind.")
    people: int = si("-", "Who it takes.")
    time_s: float | None = si("s", "Of the whole haul.")
    person_time_s: float | None = si("s", "Of all people together.")


class LiftPart(Part):
    """Rows that are dragged up together."""

    number: int = si("-", "In order.")
    rows: list[str] = text("Names of the rows.")
    cells: int = si("-", "Cells of it.")
    mass_kg: float = si("kg", "Of all.")
    pull_n: float = si("N", "It takes.")
    people: int = si("-", "Who it takes.")


class CarryPart(Part):
    """How soil gets up the hill."""

    distance_m: float = si("m", "Mean way along the ground.")
    rise_m: float = si("m", "Mean rise.")
    ways: list[WayPart] = text("Ways, side by side.")
    best: int = si("-", "Place of the way that takes least of people's time; -1: none.")
    lifts: list[LiftPart] = text("Drags.")
    cautions: list[str] = text("What to beware of.")


class SpellPart(Part):
    """A stretch of a day."""

    day: str = text("Date, or the number of the day where the job names no date.")
    begin_s: float = si("s", "After midnight.")
    end_s: float = si("s", "After midnight.")


class TaskPart(Part):
    """One task of the work plan."""

    name: str = text("What is done.")
    work: str = text("Kind of work.")
    rows: list[int] = axes("-", "end", "First and last row; 0, 0 for the whole hill.")
    after: list[int] = axes("-", "task", "Places of the tasks that it waits for, from 0.")
    people: dict[str, int] = text("People by what they must be able to do.")
    start_s: float = si("s", "Working time since the work began.")
    finish_s: float = si("s", "Working time since the work began.")
    slack_s: float = si("s", "Working time by which it may slip.")
    on_path: bool = text("It is on the longest path.")
    spells: list[SpellPart] = text("When, by the day.")


class StintPart(Part):
    """One person at one task."""

    person: str = text("Who.")
    task: int = si("-", "Place of the task, from 0.")
    kind: str = text("What they do there.")
    spells: list[SpellPart] = text("When, by the day.")


class WorkPart(Part):
    """The work in order."""

    people: list[str] = text("Names of the crew.")
    days: int = si("-", "Working days.")
    work_s: float = si("s", "Working time from first to last.")
    person_time_s: float = si("s", "Of all people.")
    bound_s: float = si("s", "No order of work is shorter.")
    proven: bool = text("The order was proven by the solver.")
    drawn_s: Vector = axes("s", "p10p50p90", "Working time, as uncertain work would have it.")
    call_by: str = text("Last day for the notice to the utilities.")
    stopped: str = text("Why the work cannot be done with this crew; empty: it can.")
    tasks: list[TaskPart] = text("Every task.")
    stints: list[StintPart] = text("Who does what.")


class TakeoffPart(Part):
    """One thing to order."""

    item: str = text("What it is.")
    count: float = text("How many or how much, in `unit`.")
    unit: str = text('"each", or an SI unit.')
    each: str = text("What one is.")
    cells: list[list[int]] = axes("-", "cell row-number", "Where it comes from.")
    note: str = text("What to know beside it.")


def drip_part(irrigation: Irrigation) -> DripPart:
    """Give the drip network."""
    return read(
        DripPart,
        irrigation,
        valves=[_valve(v) for v in irrigation.valves],
        refused=["; ".join(r) for r in irrigation.refused],
    )


def _valve(valve: Valve) -> ValvePart:
    return read(ValvePart, valve, trouble=["; ".join(t) for t in valve.trouble])


def carry_part(carry: Carry) -> CarryPart:
    """Give how soil gets up."""
    ways = [read(WayPart, w) for w in carry.ways]
    return read(CarryPart, carry, ways=ways, lifts=[read(LiftPart, x) for x in carry.lifts])


def work_part(work: WorkPlan) -> WorkPart:
    """Give tasks, and who does what when."""
    slot = 60.0 * SLOT
    names = [p.name for p in work.crew.people]

    def when(start: int, finish: int) -> list[SpellPart]:
        return [
            SpellPart(day=work.calendar.name(s.day), begin_s=60.0 * s.begin, end_s=60.0 * s.end)
            for s in spells(work.calendar, start, finish)
        ]

    tasks = [
        read(
            TaskPart,
            task,
            people=dict(work.teams[i]),
            start_s=slot * int(work.start[i]),
            finish_s=slot * int(work.finish[i]),
            slack_s=slot * int(work.slack[i]),
            on_path=work.path[i],
            spells=when(int(work.start[i]), int(work.finish[i])),
        )
        for i, task in enumerate(work.tasks)
    ]
    stints = [
        read(StintPart, s, person=names[s.person], spells=when(s.start, s.finish))
        for s in work.stints
    ]
    return read(
        WorkPart,
        work,
        people=names,
        work_s=slot * work.makespan,
        person_time_s=3600.0 * work.person_hours,
        bound_s=slot * work.bound,
        drawn_s=[slot * d for d in work.drawn],
        tasks=tasks,
        stints=stints,
    )


def takeoff_parts(takeoff: Takeoff) -> list[TakeoffPart]:
    """Give what to order."""
    return [read(TakeoffPart, line) for line in takeoff.lines]
