"""Every failure says where it is, what is wrong and what would be right.

The tree::

    HillwrightError
    ├── JobError       the job file or a key in it
    ├── SurveyError    a survey, outline or exclusion file, or what it holds
    ├── OutOfRange     a method asked for a case that its equation does not cover
    └── CheckError     a file of checks for ``hillwright verify``
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong: where it stands, what is wrong there, what would be right."""

    where: str
    what: str
    right: str

    def __str__(self) -> str:
        """Read as one line: ``where: what; right``."""
        return (
            f"{self.where}: {self.what}; {self.right}"
            if self.right
            else f"{self.where}: {self.what}"
        )


class HillwrightError(Exception):
    """A failure that a user can act on; carries one or more problems."""

    problems: tuple[Problem, ...]

    def __init__(self, where: str, what: str, right: str = "") -> None:
        self.problems = (Problem(where, what, right),)
        super().__init__(where, what, right)

    @classmethod
    def all(cls, problems: Iterable[Problem]) -> Self:
        """Report several problems at once, in the order given."""
        listed = tuple(problems)
        error = cls(listed[0].where, listed[0].what, listed[0].right)
        error.problems = listed
        return error

    def __str__(self) -> str:
        """One line per problem."""
        return "\n".join(str(p) for p in self.problems)


class JobError(HillwrightError):
    """The job file cannot be read as a job."""


class SurveyError(HillwrightError):
    """A survey or outline cannot be read, or does not describe a hillside."""


class OutOfRange(HillwrightError):
    """A method was asked for a case outside the range that its source gives."""


class CheckError(HillwrightError):
    """A file of checks is not in the form that ``hillwright verify`` reads."""


def nearest(word: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Give the known words most like one that nobody knows, best first; may be none.

    The last part of a dotted name counts by itself too: "slope.mean" finds "terrain.slope.mean".
    """
    from difflib import SequenceMatcher

    def alike(a: str, b: str) -> float:
        return SequenceMatcher(None, a, b).ratio()

    def likeness(candidate: str) -> float:
        a, b = word.lower(), candidate.lower()
        last = alike(a.rsplit(".", 1)[-1], b.rsplit(".", 1)[-1])
        # what comes before the last dot is often the same for many: it must not decide alone
        score = 0.75 * last + 0.25 * alike(a, b) if "." in a else max(last, alike(a, b))
        return max(score, 0.8) if len(a) > 2 and a in b else score

    scored = sorted((-likeness(k), k) for k in set(known))
    return tuple(k for score, k in scored[:most] if -score >= 0.6)


def did_you_mean(word: str, known: Iterable[str], otherwise: str) -> str:
    """Say the nearest known words to one that nobody knows, or what else to do."""
    found = nearest(word, known)
    return f"did you mean {' or '.join(found)}?" if found else otherwise
