"""A person's own list of plants (CSV): rows that add to the program's palette, or override it."""

from __future__ import annotations

import csv
import io
import re
from typing import Any

from hillwright import units
from hillwright.errors import SurveyError, did_you_mean
from hillwright.job.files import Problems
from hillwright.units import UnitError

_TEXT = ("id", "common", "botanical", "kind", "life", "sun", "frost", "mix", "caution")
_LENGTHS = {"spacing": 2, "height": 2, "spread": 2, "depth": 1}
_WHOLE = ("hardiness", "days_to_harvest")
_MONTHS = ("bloom", "harvest")
COLUMNS = (
    *_TEXT, *_LENGTHS, "plant_factor", "uses", *_WHOLE, *_MONTHS, "evergreen",
)  # fmt: skip
_RENAMED = {"hardiness": "usda_zones", "days_to_harvest": "days_to_maturity"}
_INCH = 0.0254
_RANGE = re.compile(r"\s*(\d+)\s*(?:(?:-|to)\s*(\d+))?\s*")


def read_plants(text: str, file: str) -> tuple[dict[str, Any], ...]:
    """Read a palette file: a header of COLUMNS, one plant a line, blank where nothing is told.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name, for messages.

    Returns
    -------
    tuple of dict
        Rows in the keys of the program's table, with "where" for messages.

    Raises
    ------
    SurveyError
        Everything that cannot be read, all together.
    """
    lines = [
        (n, t) for n, t in enumerate(text.splitlines(), 1) if t.strip() and t.strip()[0] != "#"
    ]
    if not lines:
        raise SurveyError(file, "holds no plants", f"write the header {', '.join(COLUMNS)}")
    cut = ";" if ";" in lines[0][1] else "\t" if "\t" in lines[0][1] else ","
    head = [w.strip().lower() for w in next(csv.reader([lines[0][1]], delimiter=cut))]
    for word in head:
        if word not in COLUMNS:
            right = did_you_mean(word, COLUMNS, f"the columns are {', '.join(COLUMNS)}")
            raise SurveyError(f"{file} line {lines[0][0]}", f"{word!r} is not a column", right)
    if "id" not in head or len(set(head)) < len(head):
        what = "there is no column id" if "id" not in head else "a column is there twice"
        raise SurveyError(f"{file} line {lines[0][0]}", what, "each plant needs its own id")
    problems = Problems(file)
    rows: list[dict[str, Any]] = []
    seen: dict[str, int] = {}
    for n, line in lines[1:]:
        cells = next(csv.reader(io.StringIO(line), delimiter=cut))
        if len(cells) > len(head):
            problems.add(n, f"{len(cells)} values under {len(head)} names", "one value for each")
            continue
        given = {k: v.strip() for k, v in zip(head, cells, strict=False) if v.strip()}
        if "id" not in given:
            problems.add(n, "the plant has no id", 'write a short name of your own, as "my-sage"')
            continue
        if given["id"] in seen:
            problems.add(n, f"{given['id']} is on line {seen[given['id']]} too", "leave one out")
        seen[given["id"]] = n
        rows.append(_row(given, n, file, problems))
    problems.raise_any()
    return tuple(rows)


def _row(given: dict[str, str], n: int, file: str, problems: Problems) -> dict[str, Any]:
    found: dict[str, Any] = {"where": f"{file} line {n}"}
    for key, value in given.items():
        try:
            found.update(_value(key, value))
        except UnitError as error:
            problems.add(n, f"{key}: {error.what}", error.right)
    return found


def _value(key: str, value: str) -> dict[str, Any]:
    if key in _TEXT:
        return {key: value.lower() if key in ("kind", "life", "sun", "frost") else value}
    if key in _LENGTHS:
        parts = re.split(r"\s+to\s+", value)
        found = [units.length(p) / _INCH for p in parts]
        if len(found) > 2 or sorted(found) != found or found[0] <= 0:
            raise UnitError(f"{value!r} is not a length or a range", 'write "18 in to 24 in"')
        if _LENGTHS[key] == 1:
            return {f"{key}_in": found[0]}
        return {f"{key}_in": [found[0], found[-1]]}
    if key == "plant_factor":
        try:
            factor = float(value)
        except ValueError:
            factor = -1.0
        if not 0 < factor <= 1.5:
            raise UnitError(f"{value!r} is not a plant factor", "write a number above 0, as 0.5")
        return {key: factor}
    if key == "uses":
        return {key: [w.strip().lower() for w in re.split(r"[ ;/|]+", value) if w.strip()]}
    if key == "evergreen":
        if value.lower() not in ("yes", "no", "true", "false"):
            raise UnitError(f"{value!r} is not yes or no", "write yes or no")
        return {key: value.lower() in ("yes", "true")}
    if key in _WHOLE:
        low, high = _range(value, 1, 13 if key == "hardiness" else 1000)
        return {_RENAMED[key]: [low, high]}
    months: list[int] = []
    for part in re.split(r"[ ;/|]+", re.sub(r"\s+to\s+", "-", value)):
        low, high = _range(part, 1, 12)
        months += range(low, high + 1) if low <= high else (*range(low, 13), *range(1, high + 1))
    return {f"{key}_months": months}


def _range(value: str, least: int, most: int) -> tuple[int, int]:
    found = _RANGE.fullmatch(value)
    low = int(found[1]) if found else 0
    high = int(found[2]) if found and found[2] else low
    if not (least <= low <= most and least <= high <= most):
        raise UnitError(f"{value!r} is not from {least} to {most}", f'write "{least} to {most}"')
    return low, high
