"""What the job says of the crew, as the work plan takes it; what the rooms above give it to do."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.crew.handmodel import Carry
from hillwright.crew.people import Person
from hillwright.crew.tasks import Quantities
from hillwright.crew.wayup import way_up
from hillwright.crew.workdays import Hours
from hillwright.crew.workplan import Crew
from hillwright.crew.works import Measured, roles, unnamed
from hillwright.fill.model import Fill
from hillwright.irrigation.model import Irrigation
from hillwright.job.crew import CrewText, MeasuredText, PersonText
from hillwright.layout.model import Layout, SetOut
from hillwright.planting.model import Planting
from hillwright.runoff.drainmodel import Drainage
from hillwright.stability.model import Anchoring
from hillwright.terrain.model import Surface

PEOPLE = 6  # where the job says nothing: our choice


def crew_of(text: CrewText, people: Sequence[PersonText]) -> Crew:
    """Give the crew of a job: those named, else so many of whom one leads."""
    named = tuple(_person(p) for p in people)
    light = text.daylight or (0, 24 * 60)
    hours = Hours(
        text.start,
        text.days,
        text.begin,
        text.end,
        round(text.lunch / 60),
        round(text.morning / 60),
        text.off,
        *light,
        text.heavy_until,
    )
    return Crew(
        named or unnamed(PEOPLE if text.people is None else text.people),
        (("bar driver", text.bar_drivers),),
        hours,
        text.learning,
        text.utilities_called,
        text.finish_by,
        text.rain_days,
    )


def _person(p: PersonText) -> Person:
    role = roles()[p.role]
    may = tuple(role["may"]) if p.may is None else p.may
    pace = float(role["pace"]) if p.pace is None else p.pace
    return Person(p.name.strip(), p.role, may, pace, p.days, p.begin, p.end, p.away)


def measured_of(timed: Sequence[MeasuredText]) -> tuple[Measured, ...]:
    """Give what was timed on the hill."""
    return tuple(Measured(m.task, m.done[0], m.people, m.took) for m in timed)


def quantities_of(
    layout: Layout,
    surface: Surface,
    setout: SetOut,
    fill: Fill,
    anchoring: Anchoring,
    carry: Carry,
    hauling: float,
    planting: Planting,
    drainage: Drainage,
    drip: Irrigation,
) -> Quantities:
    """Give what there is to do on a hill.

    Every bar that the stability room asks for is driven, as an anchor of the top edge or as a stake
    of a row. ``hauling`` is how long a day people haul [s].
    """
    rows = layout.rows

    def by_row(each: Array) -> Array:
        return np.bincount(layout.row, each, rows + 1)[1:].astype(float)

    cells = by_row(np.ones(len(layout.row))).round().astype(np.intp)
    top = layout.anchored
    stakes = by_row(np.where(top, 0, anchoring.count)).round().astype(np.intp)
    planted = np.zeros(rows, np.intp)
    for group in planting.groups:
        planted[layout.row[group.cells[0]] - 1] += group.plants
    punched, lateral = np.zeros(rows, np.intp), np.zeros(rows)
    for valve in drip.valves:
        lines = np.array(valve.part) == "lateral"
        lateral += np.bincount(valve.row[lines], valve.walked[lines], rows + 1)[1:]
        punched += np.bincount(layout.row[valve.punches.cell], minlength=rows + 1)[1:]
    dragged, lifts = np.zeros(rows, np.intp), np.zeros(rows, np.intp)
    names = setout.line_name or tuple(f"R{r}" for r in setout.row.tolist())
    line = {name: i for i, name in enumerate(names)}
    for lift in carry.lifts:
        mine = [line[name] for name in lift.rows]
        np.add.at(dragged, setout.row[mine] - 1, setout.cells[mine])
        lifts[setout.row[mine].max() - 1] += 1
    return Quantities(
        cells=frozen(cells),
        length=frozen(by_row(np.full(len(layout.row), layout.cell.width))),
        stakes=frozen(stakes),
        soil=frozen(by_row(fill.loose)),
        mulch=frozen(by_row(fill.mulch)),
        plants=frozen(planted),
        lateral=frozen(lateral),
        emitters=frozen(punched),
        dragged=frozen(dragged),
        lifts=frozen(lifts),
        team=max((lift.people for lift in carry.lifts), default=0),
        anchors=int(anchoring.count[top].sum()),
        hung=int(top.sum()),
        pegs=len(setout.stake_name),
        area=surface.slope_area,
        trim=surface.trim,
        pack=surface.fill,
        way=way_up(carry, hauling),
        heat=carry.heat.capacity if carry.heat is not None else 1.0,
        crest=sum(d.dug for d in drainage.drains if d.key == "crest"),
        toe=sum(d.dug for d in drainage.drains if d.key == "toe"),
        header=float(sum(v.walked[np.array(v.part) == "header"].sum() for v in drip.valves)),
        takeoffs=sum(len(v.carriers) for v in drip.valves),
        valves=len(drip.valves),
    )
