"""Question 9: what to order, and what it costs."""

from __future__ import annotations

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.rooms import Rooms
from hillwright.wording import in_units


def cost(rooms: Rooms) -> Answer:
    """Say what there is to order."""
    takeoff = rooms.takeoff
    lines = []
    for line in takeoff.lines:
        unit = "" if line.unit == "each" else f" {line.unit}"
        much = (
            f"{line.count:,}{unit}"
            if isinstance(line.count, int)
            else units.show(line.count, line.unit, rooms.job.units)
        )
        note = f" ({line.note})" if line.note else ""
        lines.append(in_units(f"{line.item}: {much}{note}", rooms.job.units))
    # what there is to order; how long the edges are stands in the list of all figures
    figures = tuple(w.figure for w in takeoff.workings if not w.figure.endswith(".length"))
    return Answer(9, QUESTIONS[8], "Counted, not priced yet.", "not yet", tuple(lines), figures)
