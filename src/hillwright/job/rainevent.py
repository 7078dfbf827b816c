"""A storm as it fell: a CSV of time and depth, from a rain gauge.

One reading a line under a header that names the units::

    time (min), depth (mm)
    0, 0
    5, 0.4

Times are numbers with a unit, clock times ("14:05") or dates with a time ("2026-01-04 14:05").
A column called total or cumulative is what has fallen since the start; one called step, increment
or interval is what fell since the line before. One called depth or rain may be either: a column
that never falls is taken as a total, and the reader says so.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from hillwright import units
from hillwright.arrays import Array, frozen
from hillwright.errors import SurveyError
from hillwright.job.files import Problems
from hillwright.job.points import number

_TOTAL = ("total", "cumulative", "accumulated", "sum")
_STEP = ("step", "increment", "incremental", "interval")
_DEPTH = ("depth", "rain", "rainfall", "precipitation", "precip", *_TOTAL, *_STEP)
_TIME = ("time", "date", "datetime", "elapsed", "clock", "hour", "hours", "minute", "minutes")
_SECONDS = {
    **dict.fromkeys(("s", "sec", "second", "seconds"), 1.0),
    **dict.fromkeys(("min", "minute", "minutes"), 60.0),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3600.0),
    **dict.fromkeys(("d", "day", "days"), 86400.0),
}
_METRES = {
    **dict.fromkeys(("in", "inch", "inches", '"'), 0.0254),
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), 0.001),
    **dict.fromkeys(("cm", "centimeter", "centimeters"), 0.01),
    **dict.fromkeys(("m", "meter", "metre", "meters", "metres"), 1.0),
    **dict.fromkeys(("ft", "foot", "feet"), 0.3048),
}
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?::([0-5]\d(?:\.\d+)?))?")
_TIME_RIGHT = 'name its unit in the header, as "time (min)", or write "14:05"'
_DEPTH_RIGHT = 'name its unit in the header, as "depth (mm)", or write "0.4 in"'
_MOST = 10.0  # more than ever fell in a month [m]


@dataclass(frozen=True, slots=True, eq=False)
class RainEvent:
    """A storm as it was read off a gauge."""

    time: Array  # (k,) from the first reading, forward [s]
    total: Array  # (k,) fallen since the first reading [m]
    kind: str  # "total" or "step": how the depth column was read
    sure: bool  # the header says so
    where: str  # file name


@dataclass(slots=True)
class _Columns:
    time: int
    depth: int
    seconds: float | None  # in one unit of the time column; None where no unit is named
    metres: float | None
    kind: str  # "total", "step", or "" where the header does not say


def read_event(text: str, file: str) -> RainEvent:
    """Read the readings of one storm.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name, for messages.

    Raises
    ------
    SurveyError
        Everything that is wrong in it, by line.
    """
    lines = [
        (n, t) for n, t in enumerate(text.splitlines(), 1) if t.strip() and t.strip()[0] != "#"
    ]
    if not lines:
        raise SurveyError(file, "holds no readings", "write time, depth, one reading a line")
    problems = Problems(file)
    delimiter = next((d for d in (";", "\t") if d in lines[0][1]), ",")
    columns = _header(_split(lines[0][1], delimiter), lines[0][0], file)
    rows = lines if columns is None else lines[1:]
    columns = columns or _Columns(0, 1, None, None, "")
    found = [r for n, t in rows if (r := _reading(_split(t, delimiter), n, columns, problems))]
    problems.raise_any()
    if len(found) < 2:
        right = "give the start and the end of the storm too"
        raise SurveyError(file, "has fewer than two readings", right)
    _forward(found, problems)
    problems.raise_any()
    return _event(found, columns.kind, file)


def _split(text: str, delimiter: str) -> list[str]:
    return [c.strip().strip('"').strip() for c in text.split(delimiter)]


def _header(cells: list[str], line: int, file: str) -> _Columns | None:
    """Find the two columns and their units; None when the line is a reading already."""
    if len(cells) > 1 and (_clock(cells[0]) is not None or re.match(r"[-+.\d]", cells[0])):
        return None
    words = [re.findall(r"[a-z]+", c.lower()) for c in cells]
    time = [i for i, w in enumerate(words) if set(w) & set(_TIME)]
    depth = [i for i, w in enumerate(words) if set(w) & set(_DEPTH) and i not in time]
    if not time or not depth:
        what = "the header names no time or no depth"
        raise SurveyError(f"{file} line {line}", what, 'write "time (min), depth (mm)" or the like')
    if len(time) > 1 or len(depth) > 1:
        what = "the header names two times or two depths"
        raise SurveyError(f"{file} line {line}", what, "keep one column of each")
    t, d = time[0], depth[0]
    kinds = {"total" for w in words[d] if w in _TOTAL} | {"step" for w in words[d] if w in _STEP}
    seconds = _unit(cells[t], words[t], _SECONDS, _TIME, f"{file} line {line}", _TIME_RIGHT)
    metres = _unit(cells[d], words[d], _METRES, _DEPTH, f"{file} line {line}", _DEPTH_RIGHT)
    return _Columns(t, d, seconds, metres, kinds.pop() if len(kinds) == 1 else "")


def _unit(
    cell: str,
    words: list[str],
    known: dict[str, float],
    plain: tuple[str, ...],
    at: str,
    right: str,
) -> float | None:
    """Give the SI size of the unit that a heading names; None where it names none."""
    bracket = re.search(r"[(\[]\s*([^)\]]*?)\s*[)\]]", cell)
    if bracket:
        name = bracket[1].lower()
        if re.fullmatch(r"(hh?:mm(:ss)?|yyyy-mm-dd.*|utc|local|local time)", name):
            return None
        if name not in known:
            raise SurveyError(at, f"the unit {bracket[1]!r} is not known", right)
        return known[name]
    # "depth_mm", "time min", "hours": the last word that is a unit
    named = [known[w] for w in words if w in known]
    odd = [w for w in words if w not in known and w not in plain and len(w) > 1]
    if not named and odd and "_" in cell:
        raise SurveyError(at, f"the unit {odd[-1]!r} is not known", right)
    return named[-1] if named else None


def _clock(text: str) -> float | None:
    match = _CLOCK.fullmatch(text.strip())
    if not match:
        return None
    return int(match[1]) * 3600.0 + int(match[2]) * 60.0 + float(match[3] or 0)


def _date(text: str) -> float | None:
    if not re.match(r"\d{4}-\d{2}-\d{2}", text.strip()):
        return None
    try:
        at = datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    # a clock that says its zone is kept to it; one that does not runs on as it stands
    return at.timestamp() if at.tzinfo else (at - datetime(1970, 1, 1)).total_seconds()


def _reading(
    cells: list[str], line: int, columns: _Columns, problems: Problems
) -> tuple[int, float, float] | None:
    if len(cells) <= max(columns.time, columns.depth):
        problems.add(line, f"has {len(cells)} columns", "write time and depth")
        return None
    time = _time(cells[columns.time], line, columns.seconds, problems)
    depth = _depth(cells[columns.depth], line, columns.metres, problems)
    return None if time is None or depth is None else (line, time, depth)


def _time(text: str, line: int, seconds: float | None, problems: Problems) -> float | None:
    for read in (_clock, _date):
        if (found := read(text)) is not None:
            return found
    value = number(text)
    if value is not None and seconds is not None:
        return value * seconds
    if value is not None:
        problems.add(line, f"the time {text!r} has no unit", _TIME_RIGHT)
        return None
    try:
        return units.quantity(text, "[time]")
    except units.UnitError:
        right = 'write a number, "14:05" or "2026-01-04 14:05"'
        problems.add(line, f"the time {text!r} cannot be read", right)
        return None


def _depth(text: str, line: int, metres: float | None, problems: Problems) -> float | None:
    value = number(text)
    if value is not None and metres is None:
        problems.add(line, f"the depth {text!r} has no unit", _DEPTH_RIGHT)
        return None
    if value is None:
        try:
            value, metres = units.quantity(text, "[length]"), 1.0
        except units.UnitError as error:
            problems.add(line, f"the depth {text!r} cannot be read: {error.what}", _DEPTH_RIGHT)
            return None
    depth = value * (metres or 1.0)
    if depth < 0:
        problems.add(line, f"the depth {text} is negative", "write 0 or more")
    elif depth > _MOST:
        problems.add(line, f"{depth:g} m of rain never fell anywhere", "check the unit")
    return depth


def _forward(found: list[tuple[int, float, float]], problems: Problems) -> None:
    for (above, before, _), (line, after, _) in itertools.pairwise(found):
        if after < before:
            what = f"the time runs backwards from line {above}"
            right = "list the readings forward; past midnight, write the date too"
            problems.add(line, what, right)
        elif after == before:
            problems.add(line, f"the time is that of line {above}", "keep one reading of it")


def _event(found: list[tuple[int, float, float]], kind: str, file: str) -> RainEvent:
    time = np.array([t for _, t, _ in found])
    depth = np.array([d for _, _, d in found])
    falls = np.flatnonzero(np.diff(depth) < 0)
    sure = bool(kind)
    kind = kind or ("step" if falls.size else "total")
    if kind == "total":
        if falls.size:
            what = "the total falls: rain that fell does not go back"
            right = "give running totals, or call the column step"
            raise SurveyError(f"{file} line {found[int(falls[0]) + 1][0]}", what, right)
        total = depth - depth[0]
    else:
        if depth[0] > 0:
            what = "the first reading holds rain, and nothing says since when it fell"
            right = "write a reading of 0 above it, where the storm begins"
            raise SurveyError(f"{file} line {found[0][0]}", what, right)
        total = np.cumsum(depth)
    if not total[-1] > 0:
        raise SurveyError(file, "no rain falls in it", "give a storm")
    if total[-1] > _MOST:
        raise SurveyError(file, f"{total[-1]:g} m of rain never fell anywhere", "check the unit")
    return RainEvent(frozen(time - time[0]), frozen(total), kind, sure, file)
