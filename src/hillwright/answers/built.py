"""What was built otherwise than planned, in the answers that it bears on."""

from __future__ import annotations

from dataclasses import replace

from hillwright.answers.model import Answer, Verdict
from hillwright.rooms import Rooms
from hillwright.wording import in_units

_ORDER: tuple[Verdict, ...] = ("not yet", "clear", "with measures", "stop")


def with_built(answer: Answer, rooms: Rooms) -> Answer:
    """Add what the record of the building says to an answer; its verdict only gets graver."""
    if not rooms.job.built.record.strip():
        return answer  # without waiting for what there is no record of
    system = rooms.job.units
    mine = [d for d in rooms.built.differences if d.question == answer.number]
    if not mine:
        return answer
    said = tuple(in_units(f"As built: {d.what} {d.right}", system) for d in mine)
    verdict, short = answer.verdict, answer.short
    for d in mine:
        if d.gravity != "note" and _ORDER.index(d.gravity) > _ORDER.index(verdict):
            verdict = d.gravity
    if stops := [d for d in mine if d.gravity == "stop"]:
        short = in_units(f"{stops[0].what} {short}", system)
    return replace(answer, short=short, verdict=verdict, lines=(*said, *answer.lines))
