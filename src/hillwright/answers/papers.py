"""Question 10: who gets which paper."""

from __future__ import annotations

from hillwright.answers.model import QUESTIONS, Answer
from hillwright.rooms import Rooms
from hillwright.wording import plural


def papers(rooms: Rooms) -> Answer:
    """Say which papers the plan makes."""
    setout = rooms.setout
    held = f"{plural(len(setout.row), 'line')} and {plural(len(setout.stake_name), 'stake')}"
    short = f"A set-out with {held}; the other papers and the calendar are not made yet."
    lines = ("`hillwright sheets JOB` writes the sheets.",)
    return Answer(10, QUESTIONS[9], short, "with measures", lines)
