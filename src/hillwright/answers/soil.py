"""Question 5: how much soil of which mix."""

from __future__ import annotations

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.rooms import Rooms


def soil(rooms: Rooms) -> Answer:
    """Say what the boxes hold."""
    cell = rooms.layout.cell
    volume = rooms.layout.count * cell.width * cell.run * cell.depth
    boxes = units.show(volume, "m3", rooms.job.units)
    short = f"Not worked out. The boxes alone hold {boxes} to the brim; do not order by it."
    return Answer(5, QUESTIONS[4], short, "not yet")
