"""The public precipitation-frequency table as it is downloaded (NOAA Atlas 14, CSV).

Blocks of rain by duration and return period, with the unit in the first line::

    Point precipitation frequency estimates (inches)
    Data type: Precipitation depth
    Time series type: Partial duration
    PRECIPITATION FREQUENCY ESTIMATES
    by duration for ARI (years):, 1,2,5,10
    5-min:, 0.381,0.446,0.514,0.568

The upper and lower bounds of the 90 % interval follow in blocks of their own, or are left out. An
annual maximum series writes its columns as yearly chances: ``by duration for AEP:, '1/2,'1/5``.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import SurveyError
from hillwright.job.files import Problems
from hillwright.job.points import number
from hillwright.method import method

_INCH, _MM = 0.0254, 0.001
_UNITS = {
    **dict.fromkeys(("in", "inch", "inches"), _INCH),
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), _MM),
}
_SECONDS = {"min": 60.0, "hr": 3600.0, "day": 86400.0}
_FIRST = re.compile(r"point precipitation frequency estimates\s*\(([^)]*)\)", re.IGNORECASE)
_TITLE = re.compile(r"precipitation frequency estimates(.*)", re.IGNORECASE)
_HEAD = re.compile(r"by duration for (ARI|AEP)[^:]*:(.*)", re.IGNORECASE)
_ROW = re.compile(r"(\d+)[\s-]*(min|hr|day)s?\s*:(.*)", re.IGNORECASE)
_LABEL = re.compile(r"(data type|time series type|location name|station name)[^:]*:(.*)", re.I)
_HELP = "download the table again as CSV, and leave it as it is"
_BLOCKS = {"": "mean", "upper": "upper", "lower": "lower"}


@dataclass(frozen=True, slots=True, eq=False)
class RainTable:
    """Rain by duration and return period at one place, as a depth."""

    durations: Array  # (n,) from short to long [s]
    years: Array  # (m,) return periods, from short to long [years]
    mean: Array  # (n, m) [m]
    lower: Array | None  # (n, m) 90 % interval [m]
    upper: Array | None  # (n, m) [m]
    series: str  # "partial duration", "annual maximum" or ""
    place: str  # as the file says, "" where it does not
    source: str  # as "NOAA Atlas 14 Volume 2 Version 3"
    where: str  # file name
    notes: tuple[str, ...]  # what was mended in reading


class FrequencyRain(NamedTuple):
    """What one file says of one storm, and how large the file is."""

    columns: int
    rows: int
    blocks: int
    mean: float
    lower: float
    upper: float
    intensity: float


@method(
    title="Rain from a downloaded precipitation-frequency table",
    equation="depth = value, or value * duration where the file gives intensities",
    source="NOAA Atlas 14 Precipitation Frequency Data Server, layout of the CSV download",
)
def frequency_file(lines: str, duration: float, years: float) -> FrequencyRain:
    """Read a table and give the rain of one tabled duration and return period.

    Parameters
    ----------
    lines : sequence of str
        Lines of the file. [text]
    duration : float
        One of the durations of the table. [s]
    years : float
        One of its return periods; an annual maximum series has 1 over its yearly chance. [-]

    Returns
    -------
    columns, rows, blocks : int
        Return periods, durations, and blocks (mean, upper, lower). [-]
    mean, lower, upper : float
        Depth, and its 90 % interval; not a number where the file has none. [m]
    intensity : float
        Mean depth over the duration. [m/s]

    Raises
    ------
    SurveyError
        No table in it, an unknown unit, a row that cannot be read, or rain that falls as the
        duration grows or the storm gets rarer.
    """
    text = lines if isinstance(lines, str) else "\n".join(lines)
    table = read_rainfall(text, "table")
    at = np.flatnonzero(np.isclose(table.durations, duration, rtol=1e-6))
    of = np.flatnonzero(np.isclose(table.years, years, rtol=1e-6))
    if not at.size:
        known = ", ".join(f"{d / 3600:g}" for d in table.durations)
        what = f"{duration / 3600:g} h is not in the table"
        raise SurveyError("duration", what, f"it has {known} h")
    if not of.size:
        known = ", ".join(f"{y:g}" for y in table.years)
        raise SurveyError("years", f"{years:g} is not in the table", f"it has {known}")
    cell = (int(at[0]), int(of[0]))
    mean, lower, upper = (
        float("nan") if block is None else float(block[cell])
        for block in (table.mean, table.lower, table.upper)
    )
    blocks = 1 + (table.lower is not None) + (table.upper is not None)
    n, m = table.mean.shape
    return FrequencyRain(m, n, blocks, mean, lower, upper, mean / duration)


@dataclass(slots=True)
class _Block:
    """One block while it is being read; values in the file's unit, NaN where unreadable."""

    line: int
    name: str
    years: list[float] = field(default_factory=list)
    chances: bool = False  # the columns are yearly chances
    durations: list[float] = field(default_factory=list)
    values: list[list[float]] = field(default_factory=list)
    halves: list[list[float]] = field(default_factory=list)  # half of the last printed place
    lines: list[int] = field(default_factory=list)


def read_rainfall(text: str, file: str) -> RainTable:
    """Read a precipitation-frequency table.

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
    problems = Problems(file)
    rows = [line.strip().strip('"').rstrip(",; ") for line in text.splitlines()]
    labels = _labels(rows)
    factor, hourly = _unit(rows, labels, file)
    blocks = _blocks(rows, problems)
    if not blocks:
        short = " ".join(" ".join(r for r in rows if r).split())[:80]
        what = f"holds no table of rain by duration ({short!r})"
        raise SurveyError(file, what, "the place may have no coverage: try one nearby, or type it")
    problems.raise_any()
    first = blocks.get("mean")
    if first is None:
        raise SurveyError(file, "has bounds and no mean estimates", _HELP)
    depths: dict[str, Array] = {}
    notes: list[str] = []
    for name, block in blocks.items():
        _same_frame(block, first, problems)
        depths[name] = _depths(block, factor, hourly, problems, notes)
    problems.raise_any()
    _bounds(depths, first, problems)
    problems.raise_any()
    lower, upper = (frozen(depths[k]) if k in depths else None for k in ("lower", "upper"))
    return RainTable(
        frozen(np.array(first.durations)),
        frozen(np.array(first.years)),
        frozen(depths["mean"]),
        lower,
        upper,
        _series(labels, first),
        _place(labels),
        next((r for r in rows[:12] if r.lower().startswith("noaa")), ""),
        file,
        tuple(notes),
    )


def _labels(rows: list[str]) -> dict[str, str]:
    found = (_LABEL.match(r) for r in rows)
    return {m[1].lower(): m[2].strip() for m in found if m}


def _unit(rows: list[str], labels: dict[str, str], file: str) -> tuple[float, bool]:
    """Give the metres in the file's unit of depth, and whether its numbers are per hour."""
    at, named = next(((i, m[1]) for i, r in enumerate(rows, 1) if (m := _FIRST.match(r))), (0, ""))
    if not at:
        what = "the line that names the unit is missing"
        right = 'its first line reads "Point precipitation frequency estimates (inches)"'
        raise SurveyError(file, what, right)
    unit, _, per = (p.strip().lower() for p in re.sub(r"\bper\b", "/", named).partition("/"))
    if unit not in _UNITS or per not in ("", "h", "hr", "hour", "hours"):
        what = f"the unit {named.strip()!r} is not known"
        right = "inches, millimeters, inches/hour or millimeters/hour"
        raise SurveyError(f"{file} line {at}", what, right)
    kind = labels.get("data type", "").lower()
    hourly = bool(per) or "intensity" in kind
    if per and "depth" in kind:
        what = f"the unit is {named.strip()!r} and the data type is a depth"
        raise SurveyError(f"{file} line {at}", what, _HELP)
    return _UNITS[unit], hourly


def _blocks(rows: list[str], problems: Problems) -> dict[str, _Block]:
    blocks: dict[str, _Block] = {}
    name = ""
    block: _Block | None = None
    for line, row in enumerate(rows, 1):
        if title := _TITLE.match(row):
            tail = title[1].lower()
            name = _BLOCKS["upper" if "upper" in tail else "lower" if "lower" in tail else ""]
            block = None
        elif head := _HEAD.match(row):
            name = name or "mean"
            if name in blocks:
                problems.add(line, f"a second block of {name} values", _HELP)
            block = blocks.setdefault(name, _Block(line, name))
            block.chances = head[1].upper() == "AEP"
            block.years = _columns(head[2], block.chances, line, problems)
        elif (found := _ROW.match(row)) and block is not None:
            _row(block, found, line, problems)
    return {n: b for n, b in blocks.items() if b.durations}


def _cells(text: str) -> list[str]:
    return [c.strip().strip("\"'").strip() for c in re.split(r"[,;\t]", text.strip().lstrip(",;"))]


def _columns(text: str, chances: bool, line: int, problems: Problems) -> list[float]:
    years = []
    for cell in _cells(text):
        one = re.fullmatch(r"1\s*/\s*(\d+\.?\d*)", cell) if chances else None
        value = float(one[1]) if one else number(cell)
        if chances and not one and value is not None:
            value = 1 / value if 0 < value < 1 else None
        if value is None or value <= 0:
            form = "1/10" if chances else "10"
            problems.add(line, f"the column {cell!r} is no return period", f"as {form!r}")
            value = np.nan
        years.append(float(value))
    if any(b <= a for a, b in itertools.pairwise(years)):
        problems.add(line, "the return periods are not from short to long, each once", _HELP)
    return years


def _row(block: _Block, found: re.Match[str], line: int, problems: Problems) -> None:
    cells = _cells(found[3])
    if len(cells) != len(block.years):
        what = f"has {len(cells)} values under {len(block.years)} return periods"
        problems.add(line, what, "give one value for each return period")
        return
    read = [number(c) for c in cells]
    for cell, value in zip(cells, read, strict=True):
        if value is None:
            problems.add(line, f"the value {cell!r} is not a number", "write a plain number")
        elif value <= 0:
            problems.add(line, f"the rain {cell} is not above 0", "write how much falls")
    duration = float(found[1]) * _SECONDS[found[2].lower()]
    if block.durations and duration <= block.durations[-1]:
        what = f"{found[1]}-{found[2]} does not come after the row above it"
        problems.add(line, what, "list the durations from short to long, each once")
    block.durations.append(duration)
    block.values.append([np.nan if v is None else v for v in read])
    block.halves.append([0.5 * 10.0 ** -len(c.partition(".")[2]) for c in cells])
    block.lines.append(line)


def _same_frame(block: _Block, first: _Block, problems: Problems) -> None:
    if block.durations != first.durations or block.years != first.years:
        what = f"the {block.name} block has other rows or columns than the mean"
        problems.add(block.line, what, _HELP)


def _depths(
    block: _Block, factor: float, hourly: bool, problems: Problems, notes: list[str]
) -> Array:
    """Give a block as depths [m]; note every value that falls where rain cannot."""
    scale = factor * (np.array(block.durations)[:, None] / 3600.0 if hourly else 1.0)
    depth = np.array(block.values, float) * scale
    # an intensity of three places is worth little over 60 days: what its rounding can do is no slip
    room = np.array(block.halves) * scale if hourly else np.zeros_like(depth)
    down = np.diff(depth, axis=0) < -(room[1:] + room[:-1])
    for i in np.flatnonzero(down.any(axis=1)):
        j = int(np.flatnonzero(down[i])[0])
        what = f"less rain in a longer time: {_year(block.years[j])} falls below the row above"
        right = "a longer time never brings less: is it depth or intensity?"
        problems.add(block.lines[i + 1], what, right)
    for i in np.flatnonzero((np.diff(depth, axis=1) < 0).any(axis=1)):
        j = int(np.flatnonzero(np.diff(depth[i]) < 0)[0])
        what = f"less rain in a rarer storm: {_year(block.years[j + 1])} is below the one before"
        problems.add(block.lines[int(i)], what, "a rarer storm never brings less")
    if not down.any() and (np.diff(depth, axis=0) < 0).any():
        depth = np.maximum.accumulate(depth, axis=0)
        notes.append(
            f"{block.name}: intensities rounded so far that a longer time had less rain were "
            "raised to the depth of the shorter one"
        )
    return depth


def _year(years: float) -> str:
    return f"1 in {years:g} years"


def _bounds(depths: dict[str, Array], first: _Block, problems: Problems) -> None:
    mean = depths["mean"]
    for name, sign in (("lower", 1), ("upper", -1)):
        if name in depths and (bad := sign * (mean - depths[name]) < -1e-9).any():
            i = int(np.flatnonzero(bad.any(axis=1))[0])
            what = f"the {name} bound of this row is on the wrong side of the mean"
            problems.add(first.lines[i], what, _HELP)


def _series(labels: dict[str, str], first: _Block) -> str:
    said = labels.get("time series type", "").lower()
    return said or ("annual maximum" if first.chances else "partial duration")


def _place(labels: dict[str, str]) -> str:
    for key in ("location name", "station name"):
        if labels.get(key, "").lower() not in ("", "none", "none, none, none"):
            return labels[key]
    return ""
