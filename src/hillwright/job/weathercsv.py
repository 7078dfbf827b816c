"""Weather from a CSV: columns by name and unit, rows by date, gaps bridged or refused."""

from __future__ import annotations

import itertools
import re
from datetime import datetime
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from hillwright import units
from hillwright.arrays import Array, Index, frozen
from hillwright.errors import SurveyError
from hillwright.job.files import Problems
from hillwright.job.weather import DAY, HOUR, SERIES, Weather
from hillwright.job.weathercheck import check

# what a heading may call a series: all words of one of the groups, once abbreviations are spelled
_SPELLED = {
    "tmax": "temperature high", "tmin": "temperature low", "tmean": "temperature",
    "tavg": "temperature", "temp": "temperature", "max": "high", "maximum": "high",
    "min": "low", "minimum": "low", "rh": "humidity", "rhmax": "humidity high",
    "rhmin": "humidity low", "dewpoint": "dew", "tdew": "dew", "vapor": "vapour", "ea": "vapour",
    "solar": "radiation", "ghi": "radiation", "rs": "radiation", "sun": "sunshine",
    "precipitation": "rain", "precip": "rain", "rainfall": "rain", "eto": "reference",
    "et0": "reference", "etos": "reference", "speed": "wind",
}  # fmt: skip
_CALLED = (
    ("dew_point", {"dew"}), ("vapour", {"vapour"}),
    ("humidity_high", {"humidity", "high"}), ("humidity_low", {"humidity", "low"}),
    ("humidity", {"humidity"}), ("radiation", {"radiation"}), ("sunshine", {"sunshine"}),
    ("wind", {"wind"}), ("rain", {"rain"}), ("reference", {"reference"}),
    ("high", {"high"}), ("low", {"low"}), ("temperature", {"temperature"}),
)  # fmt: skip
_TAGS = {
    **dict.fromkeys(("temperature", "high", "low", "dew_point"), "degC"),
    **dict.fromkeys(("humidity", "humidity_high", "humidity_low"), "-"),
    "vapour": "Pa", "radiation": "W/m2", "sunshine": "s", "wind": "m/s", "rain": "m",
    "reference": "m",
}  # fmt: skip
_LIKE = {
    "degC": "high (degC)", "-": "humidity (%)", "Pa": "vapour (kPa)",
    "W/m2": "radiation (MJ/m2/day)", "s": "sunshine (h)", "m/s": "wind 2m (m/s)", "m": "rain (mm)",
}  # fmt: skip
_BLANK = {"", "na", "n/a", "nan", "null", "none", "-", "m", "--"}
_LONGEST_GAP = 5  # days that are bridged


class _Column(NamedTuple):
    series: str
    at: int
    scale: units.Scale
    spread: bool  # a sum over the period that is wanted as a mean rate


@lru_cache(maxsize=4)  # years of days take longer to read than all else that a job names
def read_csv(text: str, file: str, wind_height: float | None) -> Weather:
    """Read weather from a CSV; the same text gives the same object.

    Raises
    ------
    SurveyError
        Everything that is wrong in it, by line.
    """
    lines = [
        (n, t) for n, t in enumerate(text.splitlines(), 1) if t.strip() and t.lstrip()[0] != "#"
    ]
    if len(lines) < 3:
        raise SurveyError(file, "holds no weather", "write a header, and a row for each day")
    delimiter = next((d for d in (";", "\t") if d in lines[0][1]), ",")
    head = _split(lines[0][1], delimiter)
    date, columns, height = _columns(head, f"{file} line {lines[0][0]}", wind_height)
    problems = Problems(file)
    when, line, table = _rows(lines[1:], delimiter, date, columns, problems)
    problems.raise_any()
    step = HOUR if len(when) > 1 and np.median(np.diff(when)) < DAY / 2 else DAY
    when, line, table, notes = _whole(when, line, table, step, columns, file)
    series = {}
    for column, values in zip(columns, table.T, strict=True):
        found = column.scale.si(values)
        series[column.series] = frozen(found / step if column.spread else found)
    year, day, hour = _calendar(when, step)
    found = Weather(
        where=file, step=step, year=year, day=day, hour=hour, typical=False, latitude=None,
        longitude=None, altitude=None, wind_height=height, notes=tuple(notes), **series,
    )  # fmt: skip
    check(found, line, file)
    return found


def _split(text: str, delimiter: str) -> list[str]:
    return [c.strip().strip('"').strip() for c in text.split(delimiter)]


def _columns(
    head: list[str], at: str, wind_height: float | None
) -> tuple[int, tuple[_Column, ...], float | None]:
    """Find what each column holds and in which unit, and how high the wind was measured."""
    date, found, wrong = -1, {}, []
    height = wind_height
    for i, cell in enumerate(head):
        bracket = re.search(r"[(\[]\s*([^)\]]*?)\s*[)\]]", cell)
        name = re.sub(r"[(\[].*", "", cell)
        said = re.search(r"(\d+(?:\.\d+)?)\s*(m|ft)\b", name)
        words = set()
        for word in re.findall(r"[a-z]+0?", name.lower()):
            words |= set(_SPELLED.get(word, word).split())
        if words & {"date", "day", "datetime", "time", "timestamp"}:
            date = i if date < 0 else date
            continue
        series = next((s for s, needed in _CALLED if needed <= words), None)
        if series is None:
            continue  # a column of something else, as stations add them
        if series in found:
            wrong.append((cell, "is there twice", "keep one column of each"))
            continue
        unit = bracket[1] if bracket else ""
        tag = _TAGS[series]
        right = f'name the unit in brackets, as in "{_LIKE[tag]}"'
        try:
            scale, spread = _scale(unit, tag)
        except units.UnitError:
            what = f"the unit {unit!r} does not fit" if unit else "names no unit"
            wrong.append((cell, what, right))
            continue
        if series == "wind":
            if said:
                height = float(said[1]) * (0.3048 if said[2] == "ft" else 1.0)
            if height is None:
                what = "does not say how high the wind was measured"
                right = 'write "wind 10m (m/s)", or climate.wind_height = "10 m" in the job: taken '
                right += "for 2 m, wind of 10 m is a third too strong"
                wrong.append((cell, what, right))
        found[series] = _Column(series, i, scale, spread)
    if date < 0:
        wrong.append(("header", "names no date", 'call a column "date"'))
    warm = {"high", "low"} <= found.keys() or "temperature" in found or "reference" in found
    if not warm:
        wrong.append(
            ("header", "names no temperatures", "give high and low, or hourly temperature")
        )
    if wrong:
        from hillwright.errors import Problem

        raise SurveyError.all(Problem(f"{at}: {c}", what, right) for c, what, right in wrong)
    return date, tuple(found[s] for s in SERIES if s in found), height


def _scale(unit: str, tag: str) -> tuple[units.Scale, bool]:
    """Give the conversion of a column; sunlight may be a sum over the period, as in MJ/m2."""
    name = (
        unit.replace("^", "").replace("°", "deg").replace("deg C", "degC").replace("deg F", "degF")
    )
    name = {"C": "degC", "F": "degF"}.get(name, name)
    if tag == "-" and name in ("", "%"):
        return units.Scale("%", 0.01), False
    if tag == "W/m2":
        try:
            return units.scale(name, "W/m2"), False
        except units.UnitError:
            energy = units.scale(name, "J/m2")
            return energy, True
    return units.scale(name, tag), False


def _rows(
    lines: list[tuple[int, str]],
    delimiter: str,
    date: int,
    columns: tuple[_Column, ...],
    problems: Problems,
) -> tuple[Array, Index, Array]:
    """Read the rows: seconds since 1970, line numbers, values with NaN for blanks."""
    when, line, values = [], [], []
    reach = max(date, *(c.at for c in columns))
    for n, text in lines:
        cells = _split(text, delimiter)
        if len(cells) <= reach:
            problems.add(n, f"has {len(cells)} columns", "write as many as the header names")
            continue
        try:
            at = datetime.fromisoformat(cells[date].replace("/", "-"))
        except ValueError:
            right = 'write dates as "2021-06-30", hours as "2021-06-30 14:00"'
            problems.add(n, f"the date {cells[date]!r} cannot be read", right)
            continue
        row = []
        for column in columns:
            cell = cells[column.at]
            try:
                row.append(np.nan if cell.lower() in _BLANK else float(cell))
            except ValueError:
                problems.add(n, f"{cell!r} is not a number", "write a number, or leave it blank")
                row.append(np.nan)
        when.append((at.replace(tzinfo=None) - datetime(1970, 1, 1)).total_seconds())
        line.append(n)
        values.append(row)
    if len(when) < 2:
        problems.add(lines[0][0], "is the only row that can be read", "give a row for each day")
    return np.array(when), np.array(line, dtype=np.intp), np.array(values, float)


def _whole(
    when: Array, line: Index, table: Array, step: float, columns: tuple[_Column, ...], file: str
) -> tuple[Array, Index, Array, list[str]]:
    """Give every period once and in order: short gaps bridged and told, long ones refused."""
    problems, notes = Problems(file), []
    order = np.diff(when)
    for i in np.flatnonzero(order <= 0):
        what = "is the same date as the row above" if order[i] == 0 else "goes back in time"
        problems.add(int(line[i + 1]), what, "list each date once, in order")
    problems.raise_any()
    count = round((when[-1] - when[0]) / step) + 1
    at = np.rint((when - when[0]) / step).astype(np.intp)
    full = np.full((count, table.shape[1]), np.nan)
    full[at] = table
    lines = np.interp(np.arange(count), at, line).astype(np.intp)
    most = int(_LONGEST_GAP * DAY / step)
    missing: dict[tuple[int, int], list[str]] = {}  # of a long gap: what is not there in it
    for j, column in enumerate(columns):
        known = np.flatnonzero(np.isfinite(full[:, j]))
        if not len(known):
            raise SurveyError(file, f"the column {column.series} is empty", "leave it out")
        edges = np.concatenate([[-1], known, [count]])
        gaps = [(a + 1, b) for a, b in itertools.pairwise(edges) if b - a > 1]
        for a, b in gaps:
            days = max(1, round((b - a) * step / DAY))
            first = _day_name(when[0] + a * step)
            if b - a > most:
                missing.setdefault((a, b), []).append(column.series)
            else:
                how = "none fell" if column.series == "rain" else "a line between the days around"
                notes.append(
                    f"{file}: {column.series} is missing for {days} "
                    f"{'day' if days == 1 else 'days'} from {first}: taken as {how}."
                )
        if gaps:
            fill = np.interp(np.arange(count), known, full[known, j])
            empty = ~np.isfinite(full[:, j])
            full[empty, j] = 0.0 if column.series == "rain" else fill[empty]
    for (a, b), series in sorted(missing.items()):
        days = max(1, round((b - a) * step / DAY))
        what = "everything" if len(series) == len(columns) > 1 else ", ".join(series)
        be = "is" if len(series) == 1 or what == "everything" else "are"
        what += f" {be} missing on {days} days from {_day_name(when[0] + a * step)}"
        right = "fill them from a station nearby, or give the years without them"
        problems.add(int(lines[a]), what, right)
    problems.raise_any()
    return when[0] + np.arange(count) * step, lines, full, notes


def _day_name(seconds: float) -> str:
    return str(np.datetime64(int(seconds), "s").astype("datetime64[D]"))


def _calendar(when: Array, step: float) -> tuple[Index, Index, Array]:
    """Give year, day of the year and the middle of each period on the clock."""
    # an hour is stamped at its end: its middle belongs to the day before at midnight
    middle = when - HOUR / 2 if step == HOUR else when
    stamp = np.floor(middle).astype("int64").astype("datetime64[s]")
    days = stamp.astype("datetime64[D]")
    years = days.astype("datetime64[Y]")
    year = years.astype(np.intp) + 1970
    day = (days - years.astype("datetime64[D]")).astype(np.intp) + 1
    hour = (stamp - days).astype("timedelta64[s]").astype(float)
    if step == DAY:
        hour = np.full(len(when), DAY / 2)
    return frozen(year), frozen(day), frozen(hour)
