"""Read the files that a job's rain names: the rainfall table, and the storm as it fell."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.job.files import find, read_text
from hillwright.job.model import OpenJob
from hillwright.job.rainevent import RainEvent, read_event
from hillwright.job.rainfall import RainTable, read_rainfall


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
        A file that is missing or cannot be read; everything wrong in one file is told together.
    """
    rain = opened.job.rain
    table = event = None
    if rain.table.strip():
        path = find(opened.path, rain.table, "rain.table")
        table = read_rainfall(read_text(path), path.name)
    if rain.event.strip():
        path = find(opened.path, rain.event, "rain.event")
        event = read_event(read_text(path), path.name)
    return RainFiles(table, event)
