"""[built]: what was really built, and the record of it as a CSV.

The record has the header ``kind, place, planned, built, test, note``. Its form is written with
the sheets; what is not recorded yet stays blank.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hillwright.errors import did_you_mean
from hillwright.job.files import Problems, find, read_text
from hillwright.job.table import Section
from hillwright.units import FORCE, UnitError, quantity

if TYPE_CHECKING:
    from hillwright.job.model import OpenJob

COLUMNS = ("kind", "place", "planned", "built", "test", "note")
KINDS = ("cell", "bar", "soil", "hours", "emitter")
_YES = {"yes": 1.0, "y": 1.0, "no": 0.0, "n": 0.0}
_PLACES = {
    "cell": (re.compile(r"R(\d+)-(\d+)"), '"R03-7": row 3, cell 7 from the left'),
    "bar": (re.compile(r"R(\d+)-(\d+)-(\d+)"), '"R03-7-2": row 3, cell 7, second bar'),
    "soil": (re.compile(r"R(\d+)"), '"R03": row 3'),
    "emitter": (re.compile(r"R(\d+)-(\d+)"), '"R03-7": row 3, cell 7 from the left'),
    "hours": (re.compile(r"([a-z]+)"), 'the kind of work as in the form, as "fill"'),
}


class BuiltText(Section):
    """[built]: the record of what was built."""

    record: str = ""  # CSV beside the job


@dataclass(frozen=True, slots=True)
class BuiltLine:
    """One line of the record."""

    kind: str
    place: tuple[str, ...]  # parts of its name: ("3", "7")
    built: float  # 1 or 0; m3; s; a count
    test: float | None  # that a bar stood without moving [N]
    line: int


@dataclass(frozen=True, slots=True)
class Record:
    """The lines of a record that say something."""

    file: str = ""
    lines: tuple[BuiltLine, ...] = ()


def read_built(opened: OpenJob) -> Record:
    """Read the record that the job names; an empty one where it names none.

    Raises
    ------
    SurveyError
        Everything that is wrong in the file, line by line.
    """
    name = opened.job.built.record
    if not name.strip():
        return Record()
    path = find(opened.path, name, "built.record")
    return Record(path.name, parse(read_text(path), path.name))


def parse(text: str, file: str) -> tuple[BuiltLine, ...]:
    """Read a record; lines whose "built" is blank are passed over.

    Raises
    ------
    SurveyError
        Everything that is wrong, line by line.
    """
    problems = Problems(file)
    cut = ";" if ";" in text.partition("\n")[0] else ","
    rows = list(csv.reader(io.StringIO(text), delimiter=cut, skipinitialspace=True))
    head = [c.strip().lower() for c in rows[0]] if rows else []
    if tuple(head[: len(COLUMNS)]) != COLUMNS:
        problems.add(1, f"the header is {', '.join(head)}", f"write {', '.join(COLUMNS)}")
        problems.raise_any()
    found: dict[tuple[str, tuple[str, ...]], BuiltLine] = {}
    for number, cells in enumerate(rows[1:], 2):
        kind, place, _, built, test, _ = (c.strip() for c in [*cells, *[""] * 6][:6])
        if not (built or test):
            continue
        one = _line(kind.lower(), place, built, test, number, problems)
        if one is None:
            continue
        if (earlier := found.get((one.kind, one.place))) is not None:
            what = f"{kind} {place} is on line {earlier.line} too"
            problems.add(number, what, "keep the line that is right")
        found[one.kind, one.place] = one
    problems.raise_any()
    return tuple(found.values())


def _line(
    kind: str, place: str, built: str, test: str, line: int, problems: Problems
) -> BuiltLine | None:
    if kind not in KINDS:
        right = did_you_mean(kind, KINDS, f"write one of {', '.join(KINDS)}")
        problems.add(line, f"{kind!r} is no kind of thing to record", right)
        return None
    form, example = _PLACES[kind]
    match = form.fullmatch(place if kind == "hours" else place.upper())
    before = len(problems.found)
    if match is None:
        problems.add(line, f"{place!r} is no place of a {kind}", f"write {example}")
    if test and kind != "bar":
        problems.add(line, f"a test of a {kind}", "only bars are tested; leave it blank")
    value, load = 0.0, None
    try:
        value = _value(kind, built)
        if test and kind == "bar":
            load = quantity(test, FORCE)
            if load < 0:
                raise UnitError(f"{test!r} is negative", "write the load that the bar stood")
            if not value:
                raise UnitError("a bar that is not set was tested", 'write "yes" under built')
    except UnitError as error:
        problems.add(line, error.what, error.right)
    if len(problems.found) > before or match is None:
        return None
    parts = tuple(p.lstrip("0") or "0" for p in match.groups())
    return BuiltLine(kind, parts, value, load, line)


def _value(kind: str, built: str) -> float:
    if kind in ("cell", "bar"):
        if built.lower() not in _YES:
            raise UnitError(f"{built!r} is not yes or no", "write yes or no, or leave it blank")
        return _YES[built.lower()]
    if kind == "emitter":
        if not built.isdigit():
            raise UnitError(f"{built!r} is no number of emitters", "write a whole number, as 2")
        return float(built)
    found = quantity(built, "[length] ** 3" if kind == "soil" else "[time]")
    if found < 0:
        raise UnitError(f"{built!r} is negative", "write what was used, 0 or more")
    return found
