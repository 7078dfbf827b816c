"""Read the files that a job's rain names: the rainfall table, and the storm as it fell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from hillwright.errors import Problem, SurveyError
from hillwright.job.files import find, read_text
from hillwright.job.model import OpenJob
from hillwright.job.rainevent import RainEvent, read_event
from hillwright.job.rainfall import RainTable, read_rainfall

T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False)
class RainFiles:
    """What the files of [rain] hold."""

    table: RainTable | None = None
    event: RainEvent | None = None


def read_rain(opened: OpenJob) -> RainFiles:
    """Read the rainfall table and the event that a job names, where it names them.

    Raises
    ------
    SurveyError
        A file that is missing or cannot be read; everything wrong in both is told together.
    """
    rain = opened.job.rain
    problems: list[Problem] = []

    def read(name: str, key: str, reader: Callable[[str, str], T]) -> T | None:
        if not name.strip():
            return None
        try:
            path = find(opened.path, name, f"rain.{key}")
            return reader(read_text(path), path.name)
        except SurveyError as error:
            problems.extend(error.problems)
            return None

    table = read(rain.table, "table", read_rainfall)
    event = read(rain.event, "event", read_event)
    if problems:
        raise SurveyError.all(problems)
    return RainFiles(table, event)
