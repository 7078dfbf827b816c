"""Question 10: who gets which paper, and what is done in the years after."""

from __future__ import annotations

from hillwright import units
from hillwright.after.model import Upkeep
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.rooms import Rooms
from hillwright.watering.words import month_name
from hillwright.wording import in_units, plural

CAUTION = (
    "The papers are a plan, not a permit: the building department and the licensed people that "
    "question 1 names decide before anything is ordered or built. In the years after, a bar that "
    "has moved, a bulge, a crack or a new wet place is no chore: keep off and ask an engineer."
)


def papers(rooms: Rooms) -> Answer:
    """Say who gets which paper, how much is on it, and what the years after ask for."""
    upkeep, built, system = rooms.upkeep, rooms.built, rooms.job.units
    busiest = max(range(1, 13), key=lambda m: (len(upkeep.of(m)), -m))
    chores = plural(len({c.what for c in upkeep.chores}), "chore")
    short = (
        f"Papers for owner, crew, supplier and inspector; {chores} a year afterwards, most of "
        f"them in {month_name(busiest - 1)}."
    )
    lines = [
        *_readers(rooms),
        *(in_units(line, system) for line in upkeep.notes),
        *_first_year(upkeep, rooms),
        *_storms(upkeep, rooms),
    ]
    verdict: Verdict = "with measures"
    if built.file:
        lines += _recorded(rooms)
    else:
        lines.append(
            "Nothing is recorded as built yet: fill in crew/as-built.pdf on the hill, then "
            "files/as-built.csv; put that beside the job and name it in the job: "
            '[built] record = "as-built.csv".'
        )
    figures = tuple(w.figure for w in (*upkeep.workings, *built.workings))
    return Answer(10, QUESTIONS[9], short, verdict, tuple(lines), figures, CAUTION)


def _readers(rooms: Rooms) -> list[str]:
    layout, setout, work = rooms.layout, rooms.setout, rooms.work
    kinds = int((rooms.planting.count > 0).sum())
    valves = len(rooms.irrigation.valves)
    checks = len(rooms.stability.slope_checks) + len(rooms.stability.grid_checks)
    return [
        "The set (Papers on the page, or `hillwright sheets JOB`) has a folder for each reader:",
        f"  owner: the hill in a picture, the planting ({plural(kinds, 'kind')} of plants), the "
        f"watering ({plural(valves, 'valve')}), the upkeep month by month.",
        f"  crew: the set-out ({plural(len(setout.row), 'line')}, "
        f"{plural(len(setout.stake_name), 'stake')}), {plural(layout.rows, 'row')} with "
        f"{plural(int(rooms.stability.anchoring.count.sum()), 'bar')}, "
        f"{plural(len(work.tasks), 'task')} for {plural(len(work.crew.people), 'person', 'people')}"
        ", the form for what is really built.",
        f"  supplier: the order, {plural(len(rooms.takeoff.lines), 'line')}.",
        f"  inspector: {plural(checks, 'check')} of hill and grid, the drains, the water.",
        "  files: tables, CAD, GIS, calendars, networks, a workbook, a 3D model, the whole plan.",
    ]


def _first_year(upkeep: Upkeep, rooms: Rooms) -> list[str]:
    system = rooms.job.units
    return [
        in_units(f"In the first year: {c.what[:1].lower()}{c.what[1:]}, {c.much}.", system)
        for c in upkeep.chores
        if c.first_year and c.much
    ]


def _storms(upkeep: Upkeep, rooms: Rooms) -> list[str]:
    after = [c for c in upkeep.chores if c.storms]
    if not after:
        return []
    when = "After every heavy storm"
    if upkeep.storm:
        depth = units.show(upkeep.storm, "m.water", rooms.job.units)
        when = f"After every day with more than half of {depth} of rain (a storm of 2 years)"
    first = "; ".join(dict.fromkeys(f"{c.what[:1].lower()}{c.what[1:]}" for c in after))
    return [f"{when}: {first}."]


def _recorded(rooms: Rooms) -> list[str]:
    built, system = rooms.built, rooms.job.units
    tags = {"each": "-", "m3": "m3", "s": "s"}
    said = []
    for c in built.counts:
        if not c.recorded and not c.built:
            continue
        tag = tags[c.unit]
        amounts = (
            f"{value:,.0f}" if tag == "-" else units.show(value, tag, system)
            for value in (c.built, c.recorded, c.planned)
        )
        one, of, whole = amounts
        said.append(f"{c.name}: {one} built of {of} planned there ({whole} in all)")
    graver = sum(d.gravity != "note" for d in built.differences)
    what = plural(graver, "difference that matters", "differences that matter")
    return [f"As built ({built.file}): {'; '.join(said)}. {what}."]
