"""Cross sections by tape and inclinometer, as a contractor writes them down.

One leg a line, under a header::

    section, chainage, base_height, side, leg, distance, angle, rise, note
    1, 0 ft, 0 ft, left, 1, 8.2 ft, 24 deg, ,
    1, , , , 2, 6.0 ft, 33 deg, , grass edge

``distance`` lies along the ground; a leg has an angle or a rise, up is positive. The chainage,
height of the base line and side stand on a section's first leg. A length may be feet and inches,
as in 8' 2 1/2". A bare length takes the job's ``survey.unit``; a bare angle is refused.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from hillwright import units
from hillwright.arrays import Array, frozen
from hillwright.errors import SurveyError
from hillwright.job.files import Problems
from hillwright.job.grid import factor
from hillwright.job.points import number
from hillwright.job.site import TapeSections

COLUMNS = ("section", "chainage", "base_height", "side", "leg", "distance", "angle", "rise", "note")
_QUANTITY = re.compile(r"\s*([-+]?[\d.,]+(?:[eE][-+]?\d+)?)\s*([A-Za-z_]*)\s*")
_SIDES = {"left": True, "l": True, "right": False, "r": False}
_STEEPEST = math.radians(80)  # beyond this it is a wall, or a slip of the pen


@dataclass(slots=True)
class _Section:
    name: str
    line: int
    left: bool | None
    chainage: float | None
    height: float | None
    legs: list[tuple[int, float, float]] = field(default_factory=list)  # line, distance, angle


@cache
def _slope(text: str) -> float:
    return units.slope(text)


@cache
def _length(text: str) -> float:
    if len(text) > 40:
        raise units.UnitError("", "")
    return units.length(text)


def _cell(text: str) -> str:
    """Take the quotes of a spreadsheet off a cell, but leave the inches of 6' 4" alone."""
    text = text.strip()
    if len(text) > 1 and text[0] == text[-1] == '"':
        text = text[1:-1].replace('""', '"')
    return text.strip()


class _Reader:
    """One sections file while it is being read."""

    def __init__(self, file: str, unit: str) -> None:
        self.problems, self.unit, self.comma = Problems(file), unit, False
        self.sections: list[_Section] = []

    def length(self, text: str, column: str, line: int) -> float | None:
        """Read a length, or note why not."""
        match = _QUANTITY.fullmatch(text)
        value = number(match[1], self.comma) if match else None
        right = 'write "8.2 ft", "8 ft 2 1/2 in" or "2.5 m"'
        if match is None or value is None:
            try:
                return _length(text)  # feet and inches, fractions
            except units.UnitError:
                self.problems.add(line, f"the {column} {text!r} is not a length", right)
                return None
        if not (match[2] or self.unit):
            right += ', or say the unit once: unit = "ft" under [survey]'
            self.problems.add(line, f"the {column} {text!r} has no unit", right)
            return None
        try:
            return value * factor(match[2] or self.unit)
        except units.UnitError:
            self.problems.add(line, f"the {column} {text!r} is not a length", right)
            return None

    def angle(self, text: str, line: int) -> float | None:
        """Read an angle from level, or note why not."""
        right = 'write "24 deg", "-24 deg" down, or "45 %"'
        if self.comma:
            text = text.replace(",", ".", 1)
        try:
            if len(text) > 40:
                raise units.UnitError("", "")
            angle = _slope(text)
        except units.UnitError:
            what = "has no unit" if number(text) is not None else "is not an angle"
            self.problems.add(line, f"the angle {text!r} {what}", right)
            return None
        if not abs(angle) <= _STEEPEST:
            self.problems.add(line, f"the angle {text!r} is steeper than 80 deg", right)
            return None
        return angle

    def leg(self, row: dict[str, str], line: int) -> None:
        """Read one line of the file."""
        name = row["section"]
        if not name:
            self.problems.add(line, "the section has no name", "write it on every line")
            return
        here = self.sections[-1] if self.sections else None
        if here is None or here.name != name or (row["leg"] == "1" and here.legs):
            here = self.start(row, line)
        else:
            self.repeated(here, row, line)
        if row["leg"] and row["leg"] != str(len(here.legs) + 1):
            self.problems.add(
                line,
                f"section {name} goes on with leg {row['leg']!r}",
                f"the next leg is {len(here.legs) + 1}: write the legs in the order taped",
            )
        distance = self.length(row["distance"], "distance", line)
        if distance is not None and distance <= 0:
            self.problems.add(line, "the distance is not more than 0", "tape along the ground")
            distance = None
        angle = self.rise_or_angle(row, distance, line)
        here.legs.append((line, distance or 1.0, angle or 0.0))

    def start(self, row: dict[str, str], line: int) -> _Section:
        """Open the section that a first leg begins."""
        name, side = row["section"], row["side"].lower()
        left = _SIDES.get(side)
        if left is None:
            self.problems.add(
                line, f"section {name} has the side {row['side']!r}", 'write "left" or "right"'
            )
        if any(s.name == name and s.left == left for s in self.sections):
            self.problems.add(
                line,
                f"section {name} {side} has begun before",
                "keep its legs together and number them from 1",
            )
        at: dict[str, float | None] = {}
        for column in ("chainage", "base_height"):
            if not row[column]:
                right = 'write it on the first leg ("0 ft" where the base line is at zero)'
                self.problems.add(line, f"section {name} has no {column}", right)
                at[column] = None
            else:
                at[column] = self.length(row[column], column, line)
        self.sections.append(_Section(name, line, left, at["chainage"], at["base_height"]))
        return self.sections[-1]

    def repeated(self, here: _Section, row: dict[str, str], line: int) -> None:
        """Check that what a later leg says again of its section is the same."""
        for column, first in (("chainage", here.chainage), ("base_height", here.height)):
            if not row[column] or first is None:
                continue
            again = self.length(row[column], column, line)
            if again is not None and abs(again - first) > 1e-6:
                self.problems.add(
                    line,
                    f"section {here.name} has another {column} on line {here.line}",
                    "write it on the first leg only",
                )
        if row["side"] and here.left is not None and _SIDES.get(row["side"].lower()) != here.left:
            self.problems.add(
                line,
                f"section {here.name} changes side",
                "start the other side with leg 1 and its chainage",
            )

    def rise_or_angle(self, row: dict[str, str], distance: float | None, line: int) -> float | None:
        """Give the angle of a leg, from its rise where that is what was measured."""
        if bool(row["angle"]) == bool(row["rise"]):
            what = "both an angle and a rise" if row["angle"] else "neither an angle nor a rise"
            self.problems.add(line, f"the leg has {what}", "write one of the two")
            return None
        if row["angle"]:
            return self.angle(row["angle"], line)
        rise = self.length(row["rise"], "rise", line)
        if rise is None or distance is None:
            return None
        if abs(rise) >= distance:
            self.problems.add(
                line,
                f"the rise {row['rise']} is not less than the distance {row['distance']}",
                "the distance is taped along the ground, so it is longer than the rise",
            )
            return None
        angle = math.asin(rise / distance)
        if abs(angle) > _STEEPEST:
            self.problems.add(line, "the leg is steeper than 80 deg", "check distance and rise")
            return None
        return angle


def read_sections(
    text: str, file: str, unit: str, tape_sigma: float, angle_sigma: float
) -> TapeSections:
    """Read a sections file.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name, for messages.
    unit : str
        Unit of bare lengths, or "" when there are to be none.
    tape_sigma, angle_sigma : float
        Standard errors of one taped distance [m] and one angle [rad].

    Raises
    ------
    SurveyError
        Every line that cannot be read, all together.
    """
    lines = [
        (n, t) for n, t in enumerate(text.splitlines(), 1) if t.strip() and t.strip()[0] != "#"
    ]
    if not lines:
        raise SurveyError(file, "holds no sections", f"write the header {', '.join(COLUMNS)}")
    reader = _Reader(file, unit)
    delimiter = ";" if ";" in lines[0][1] else "\t" if "\t" in lines[0][1] else ","
    reader.comma = delimiter == ";"
    head = [w.strip().strip('"').lower().replace(" ", "_") for w in lines[0][1].split(delimiter)]
    _check_header(head, f"{file} line {lines[0][0]}")
    for n, t in lines[1:]:
        most = len(head) - 1 if head[-1] == "note" else -1
        cells = [_cell(c) for c in t.split(delimiter, most)]
        if len(cells) > len(head) and any(cells[len(head) :]):
            columns = f"{len(cells)} columns under a header of {len(head)}"
            reader.problems.add(n, columns, "write one value under each name")
            continue
        reader.leg(dict.fromkeys(COLUMNS, "") | dict(zip(head, cells, strict=False)), n)
    _check_sections(reader)
    reader.problems.raise_any()
    return _gathered(reader.sections, file, tape_sigma, angle_sigma)


def _check_header(head: list[str], where: str) -> None:
    right = f"write the header {', '.join(COLUMNS)}"
    if strange := [w for w in head if w not in COLUMNS]:
        raise SurveyError(where, f"{strange[0][:40]!r} is not a column of a sections file", right)
    missing = [
        w for w in ("section", "chainage", "base_height", "side", "distance") if w not in head
    ]
    if missing or len(set(head)) < len(head) or not {"angle", "rise"} & set(head):
        what = f"the header has no {missing[0]}" if missing else "the header is not complete"
        raise SurveyError(where, what, right)


def _check_sections(reader: _Reader) -> None:
    if not reader.sections:
        reader.problems.add(None, "holds no legs", "write one leg a line below the header")
    seen: dict[tuple[float, bool], _Section] = {}
    for s in reader.sections:
        if s.chainage is None or s.left is None:
            continue
        key = (round(s.chainage, 6), s.left)
        if key in seen:
            reader.problems.add(
                s.line,
                f"section {s.name} is at the chainage and side of section {seen[key].name}",
                "correct the chainage, or put both in one section",
            )
        seen[key] = s


def _gathered(
    sections: list[_Section], file: str, tape_sigma: float, angle_sigma: float
) -> TapeSections:
    legs = [(k, *leg) for k, s in enumerate(sections) for leg in s.legs]

    def column(values: list[float]) -> Array:
        return frozen(np.array(values, dtype=float))

    return TapeSections(
        chainage=column([s.chainage or 0.0 for s in sections]),
        base_height=column([s.height or 0.0 for s in sections]),
        left=tuple(bool(s.left) for s in sections),
        section=tuple(k for k, *_ in legs),
        distance=column([d for _, _, d, _ in legs]),
        angle=column([a for *_, a in legs]),
        where=tuple(f"{file} line {n}" for _, n, _, _ in legs),
        tape_sigma=tape_sigma,
        angle_sigma=angle_sigma,
    )


def ends(sections: TapeSections) -> Array:
    """Where each leg ends and each section starts.

    Returns
    -------
    (n + k, 3) array
        x along the base line, y to the left of it, z; leg ends first, then section starts. [m]
    """
    k = np.asarray(sections.section)
    flat, up = (
        sections.distance * np.cos(sections.angle),
        sections.distance * np.sin(sections.angle),
    )
    first = np.searchsorted(k, np.arange(len(sections.chainage)))

    def along(step: Array) -> Array:
        total = np.cumsum(step)
        return np.asarray(total - (total - step)[first][k])

    side = np.where(sections.left, 1.0, -1.0)
    reach = np.column_stack(
        [sections.chainage[k], side[k] * along(flat), sections.base_height[k] + along(up)]
    )
    zero = np.zeros(len(sections.chainage))
    return np.vstack([reach, np.column_stack([sections.chainage, zero, sections.base_height])])
