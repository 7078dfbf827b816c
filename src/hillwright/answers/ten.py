"""All ten answers."""

from __future__ import annotations

from collections.abc import Callable

from hillwright.answers.built import with_built
from hillwright.answers.cost import cost
from hillwright.answers.drip import with_shares
from hillwright.answers.fit import fit
from hillwright.answers.grows import grows
from hillwright.answers.hands import hands
from hillwright.answers.hold import hold
from hillwright.answers.model import Answer
from hillwright.answers.papers import papers
from hillwright.answers.rain import rain
from hillwright.answers.safe import safe
from hillwright.answers.soil import soil
from hillwright.answers.water import water
from hillwright.rooms import Rooms


def _also_built(answer: Callable[[Rooms], Answer]) -> Callable[[Rooms], Answer]:
    return lambda rooms: with_built(answer(rooms), rooms)


_PLANNED: dict[int, Callable[[Rooms], Answer]] = {
    1: safe,
    2: fit,
    3: hold,
    4: rain,
    5: soil,
    6: grows,
    7: lambda rooms: with_shares(water(rooms), rooms),
    8: hands,
    9: cost,
    10: papers,
}
ANSWERS = {number: _also_built(answer) for number, answer in _PLANNED.items()}


def answers(rooms: Rooms) -> tuple[Answer, ...]:
    """Answer the ten questions."""
    return tuple(answer(rooms) for answer in ANSWERS.values())
