"""All ten answers; one that the plan does not have yet says so."""

from __future__ import annotations

from hillwright.answers.cost import cost
from hillwright.answers.drip import with_shares
from hillwright.answers.fit import fit
from hillwright.answers.grows import grows
from hillwright.answers.hands import hands
from hillwright.answers.hold import hold
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.answers.papers import papers
from hillwright.answers.rain import rain
from hillwright.answers.safe import safe
from hillwright.answers.soil import soil
from hillwright.answers.water import water
from hillwright.rooms import Rooms

_NOT_YET: dict[int, str] = {}


def answers(rooms: Rooms) -> tuple[Answer, ...]:
    """Answer the ten questions as far as the plan goes; one without an answer says so."""
    known = {
        1: safe(rooms),
        2: fit(rooms),
        3: hold(rooms),
        4: rain(rooms),
        5: soil(rooms),
        6: grows(rooms),
        7: with_shares(water(rooms), rooms),
        8: hands(rooms),
        9: cost(rooms),
        10: papers(rooms),
    }
    return tuple(
        known.get(n) or Answer(n, question, _NOT_YET[n], "not yet")
        for n, question in enumerate(QUESTIONS, 1)
    )
