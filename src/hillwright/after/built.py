"""Stage: what was really built, beside the plan, and what follows from the differences."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from hillwright.after.model import Built, Count, Difference
from hillwright.crew.workdays import SLOT
from hillwright.crew.workplan import WorkPlan
from hillwright.errors import OutOfRange, Problem
from hillwright.fill.model import Fill
from hillwright.irrigation.model import Irrigation
from hillwright.job.built import BuiltLine, Record
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.stability.model import Anchoring

CLOSE = 0.1  # of the soil of a row: more or less than this matters; common practice, no source
LEAST_TESTS = 5  # as the pull test of the plan asks for
_MOST_NAMED = 12
_RECORDED = "the record of what was built"

Place = tuple[str, ...]
_ORDER = {"stop": 0, "with measures": 1, "note": 2}


def as_built(
    record: Record,
    layout: Layout,
    fill: Fill,
    bars: Anchoring,
    irrigation: Irrigation,
    work: WorkPlan,
) -> Built:
    """Stage: hold the record against the plan.

    Parameters
    ----------
    record : Record
        What was recorded; an empty one gives counts of the plan alone.
    layout, fill, bars, irrigation, work
        What was planned.

    Raises
    ------
    OutOfRange
        Lines of the record whose place the plan does not have.
    """
    planned = planned_places(layout, fill, bars, irrigation, work)
    by_kind: dict[str, dict[Place, BuiltLine]] = {k: {} for k in planned}
    problems = []
    for line in record.lines:
        if line.place not in planned[line.kind]:
            what = f"the plan has no {line.kind} {name(line.kind, line.place)}"
            right = "take the form of this plan, or correct the place"
            problems.append(Problem(f"{record.file} line {line.line}", what, right))
        by_kind[line.kind][line.place] = line
    if problems:
        raise OutOfRange.all(problems)
    counts = tuple(_count(kind, planned[kind], by_kind[kind]) for kind in planned)
    if not record.lines:
        return Built(record.file, counts, ())
    found = [
        *_cells(by_kind["cell"]),
        *_bars(by_kind["bar"], len(planned["bar"]), bars.test_load),
        *_soil(planned["soil"], by_kind["soil"]),
        *_emitters(planned["emitter"], by_kind["emitter"]),
        *_hours(planned["hours"], by_kind["hours"]),
    ]
    found.sort(key=lambda d: (_ORDER[d.gravity], d.question))
    return Built(record.file, counts, tuple(found), _workings(counts))


def planned_places(
    layout: Layout, fill: Fill, bars: Anchoring, irrigation: Irrigation, work: WorkPlan
) -> dict[str, dict[Place, float]]:
    """Give what is planned at every place by kind: counts, m3 and seconds."""
    rows, numbers = layout.row.tolist(), layout.number.tolist()
    cell = [(str(r), str(n)) for r, n in zip(rows, numbers, strict=True)]
    first = np.searchsorted(bars.place_cell, bars.place_cell)  # bars stand cell by cell
    which = np.arange(len(first)) - first + 1
    bar = {
        (*cell[k], str(n)): 1.0
        for k, n in zip(bars.place_cell.tolist(), which.tolist(), strict=True)
    }
    emitters: defaultdict[Place, float] = defaultdict(float)
    for valve in irrigation.valves:
        for k in valve.punches.cell.tolist():
            emitters[cell[k]] += 1.0
    hours: defaultdict[Place, float] = defaultdict(float)
    for i, task in enumerate(work.tasks):
        people = sum(n for _, n in work.teams[i])
        hours[(task.work,)] += 60.0 * SLOT * people * int(work.finish[i] - work.start[i])
    return {
        "cell": dict.fromkeys(cell, 1.0),
        "bar": bar,
        "soil": {
            (str(r),): v for r, v in zip(fill.row.tolist(), fill.row_loose.tolist(), strict=True)
        },
        "hours": dict(hours),
        "emitter": dict(emitters),
    }


def name(kind: str, place: Place) -> str:
    """Write a place as the form has it."""
    if kind == "hours":
        return place[0]
    return "-".join([f"R{int(place[0]):02d}", *place[1:]])


_WORDS = {
    "cell": ("cells laid", "each"),
    "bar": ("bars set", "each"),
    "soil": ("loose soil put in", "m3"),
    "hours": ("hours at work", "s"),
    "emitter": ("emitters", "each"),
}


def _count(kind: str, planned: dict[Place, float], lines: dict[Place, BuiltLine]) -> Count:
    words, unit = _WORDS[kind]
    recorded = sum(planned[p] for p in lines)
    built = sum(line.built for line in lines.values())
    return Count(kind, words, unit, sum(planned.values()), recorded, built)


def _names(kind: str, places: list[Place]) -> str:
    shown = ", ".join(name(kind, p) for p in places[:_MOST_NAMED])
    more = len(places) - _MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown


def _cells(lines: dict[Place, BuiltLine]) -> list[Difference]:
    gone = [p for p, line in lines.items() if not line.built]
    if not gone:
        return []
    what = f"Not laid as planned: {_names('cell', gone)}."
    right = "Name them in layout.leave_out and plan again: what hung from them hangs otherwise."
    return [Difference(2, "with measures", what, right)]


def _bars(lines: dict[Place, BuiltLine], planned: int, load: float) -> list[Difference]:
    found = []
    missing = [p for p, line in lines.items() if not line.built]
    if missing:
        what = f"Bars missing: {_names('bar', missing)}."
        right = "Drive them before more soil goes in, and let nobody below their rows until then."
        found.append(Difference(3, "with measures", what, right))
    tested = {p: line.test for p, line in lines.items() if line.test is not None}
    failed = {p: t for p, t in tested.items() if t < load}
    if failed:
        shown = ", ".join(
            f"{name('bar', p)} at {t:.0f} N" for p, t in list(failed.items())[:_MOST_NAMED]
        )
        what = f"Bars that moved below the {load:.0f} N that each must stand: {shown}."
        right = (
            "Put no more soil in and let nobody below. Write the least load as "
            "holding.tested_pull and plan again: it asks for more or longer bars. Ask a licensed "
            "engineer."
        )
        found.append(Difference(3, "stop", what, right))
    least = min(LEAST_TESTS, planned)
    if load and lines and len(tested) < least:
        what = f"{len(tested)} pull tests are recorded; the plan asks for {least} or more."
        right = f"Test further bars in soaked ground to {load:.0f} N before soil goes in."
        found.append(Difference(3, "with measures", what, right))
    return found


def _soil(planned: dict[Place, float], lines: dict[Place, BuiltLine]) -> list[Difference]:
    found = []
    less = [p for p, line in lines.items() if line.built < (1 - CLOSE) * planned[p]]
    more = [p for p, line in lines.items() if line.built > (1 + CLOSE) * planned[p]]
    if less:
        short = sum(planned[p] - lines[p].built for p in less)
        what = f"Less soil than planned in {_names('soil', less)}: {short:.2f} m3 short."
        right = "Fill up to the line: shallow soil dries out sooner than the watering plan counts."
        found.append(Difference(5, "with measures", what, right))
    if more:
        over = sum(lines[p].built - planned[p] for p in more)
        what = f"More soil than planned in {_names('soil', more)}: {over:.2f} m3 over."
        right = (
            "Find out where it went (a void, a lip too high). Soil above the line weighs on bars "
            "that were not planned for it: take it out, or plan again with fill.soil_depth."
        )
        found.append(Difference(3, "with measures", what, right))
    return found


def _emitters(planned: dict[Place, float], lines: dict[Place, BuiltLine]) -> list[Difference]:
    other = [p for p, line in lines.items() if line.built != planned[p]]
    if not other:
        return []
    what = f"Other emitters than planned at {_names('emitter', other)}."
    right = (
        "Put them right, or measure what the cells get and write it into irrigation.readings: "
        "minutes at the controller are for the emitters planned."
    )
    return [Difference(7, "with measures", what, right)]


def _hours(planned: dict[Place, float], lines: dict[Place, BuiltLine]) -> list[Difference]:
    found = []
    for p, line in lines.items():
        if abs(line.built - planned[p]) > CLOSE * planned[p]:
            took, thought = line.built / 3600, planned[p] / 3600
            what = f"{p[0]}: {took:.1f} hours at work, {thought:.1f} planned."
            right = "Write it as [[measured]] for the next hill."
            found.append(Difference(8, "note", what, right))
    return found


def _workings(counts: tuple[Count, ...]) -> tuple[Working, ...]:
    tags = {"each": "-", "m3": "m3", "s": "s"}
    return tuple(
        Working(
            f"after.built.{c.kind}",
            f"{c.name[:1].upper()}{c.name[1:]}, of what is recorded",
            "sum of the record",
            (
                Number("planned, all", c.planned, tags[c.unit]),
                Number("planned, of what is recorded", c.recorded, tags[c.unit]),
            ),
            Number("built", c.built, tags[c.unit]),
            _RECORDED,
        )
        for c in counts
    )
