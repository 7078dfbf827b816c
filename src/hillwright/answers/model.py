"""What a question is answered with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["clear", "with measures", "stop", "not yet"]

QUESTIONS = (
    "Is this slope safe to build on, and what must be smoothed first?",
    "How does the grid fit inside the strings: which cells, which rows, where does each anchor go?",
    "Will it stay there, dry and soaked, empty and full?",
    "Where does the rain go now, where will it go, and how much soil stops leaving?",
    "How much soil of which mix, and how does it get up the hill?",
    "What goes in which cell?",
    "How does every plant get its own share of water, and when does the valve open?",
    "How many hands, how many days, in what order, and is anyone asked to lift too much?",
    "What does it cost, what is the price, how sure are we?",
    "Who gets which paper, and what must be done in the years after?",
)


@dataclass(frozen=True, slots=True)
class Answer:
    """One of the ten questions and its answer so far."""

    number: int
    question: str
    short: str
    verdict: Verdict
    lines: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()  # that `hillwright why` explains
    caution: str = ""
