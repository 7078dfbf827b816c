"""Point files: one surveyed shot a line, in the usual surveyor's orders of columns.

A description may begin with a code (OL, EX, BL, TS or the job's own) and a word that groups the
shots of one thing, as in "EX oak" or "BL 2"; two codes on one shot are parted by "/". A blank
elevation, or the word NH in the description, means that the shot has no height (never 0).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import SurveyError
from hillwright.job.files import Problems
from hillwright.job.model import SurveyFile
from hillwright.method import method

ORDERS = {"PNEZD": "PNEZD", "PENZD": "PENZD", "XYZ": "ENZ", "XYZD": "ENZD"}
_HEADER = {
    **dict.fromkeys(("p", "pt", "pnt", "point", "id", "no", "num", "name", "number"), "P"),
    **dict.fromkeys(("point name", "point id", "point number", "point no", "pt no"), "P"),
    **dict.fromkeys(("n", "north", "northing", "y", "lat", "latitude"), "N"),
    **dict.fromkeys(("e", "east", "easting", "x", "lon", "long", "longitude"), "E"),
    **dict.fromkeys(("z", "el", "elev", "elevation", "height", "h", "level", "rl"), "Z"),
    **dict.fromkeys(("d", "desc", "description", "code", "note", "notes", "feature"), "D"),
}
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_WORDS = {"P": "point", "N": "northing", "E": "easting", "Z": "elevation", "D": "description"}


class Shot(NamedTuple):
    """One surveyed shot, in the numbers of its file."""

    line: int
    name: str
    east: float
    north: float
    height: float | None
    description: str


@dataclass(frozen=True, slots=True)
class PointFile:
    """The shots of a file and how its columns were read."""

    shots: tuple[Shot, ...]
    order: str
    sure: bool  # the order stands in the file or the job, not just usual
    unit: str  # unit that the header names, or ""


class Point(NamedTuple):
    """One line of a point file."""

    point: str
    northing: float
    easting: float
    elevation: float
    description: str
    xyz: Array


def number(text: str, comma: bool = False) -> float | None:
    """Read a plain finite number; None when the text is anything else."""
    text = text.strip()
    if comma and "." not in text:
        text = text.replace(",", ".", 1)
    if not _NUMBER.fullmatch(text):
        return None
    value = float(text)
    return value if math.isfinite(value) else None


@method(
    title="One line of a surveyor's point file",
    equation="point, northing, easting, elevation, description -> x = easting, y = northing, z",
    source="common practice, no source",
)
def point_line(line: str, order: str = "PNEZD") -> Point:
    """Read one comma-separated line of a point file.

    Parameters
    ----------
    line : str
        As it stands in the file; the description may hold commas. [text]
    order : str
        "PNEZD", "PENZD", "XYZ" or "XYZD". [text]

    Returns
    -------
    point : str
        Name of the point. [text]
    northing, easting, elevation : float
        In the file's own unit; elevation is NaN where the line leaves it blank. [any]
    description : str
        Code and note. [text]
    xyz : (3,) array
        Easting, northing, elevation. [any]

    Raises
    ------
    SurveyError
        Too few columns, or one that is not a number.
    """
    if order not in ORDERS:
        raise SurveyError("order", f"{order!r} is not known", f"write one of {', '.join(ORDERS)}")
    problems = Problems("line")
    shot = _shot(_split(str(line), ",", ORDERS[order]), ORDERS[order], 1, False, problems)
    problems.raise_any()
    assert shot is not None
    z = math.nan if shot.height is None else shot.height
    xyz = np.array([shot.east, shot.north, z])
    return Point(shot.name, shot.north, shot.east, z, shot.description, xyz)


def _split(line: str, delimiter: str | None, order: str) -> list[str]:
    """Split a line; what is left over belongs to the description, commas and all."""
    most = len(order) - 1 if order.endswith("D") else -1
    return [f.strip().strip('"').strip() for f in line.split(delimiter, most)]


def _shot(fields: list[str], order: str, line: int, comma: bool, problems: Problems) -> Shot | None:
    needed = order.rstrip("D")
    if len(fields) < len(needed) or (len(fields) > len(order) and any(fields[len(order) :])):
        columns = ", ".join(_WORDS[c] for c in order)
        problems.add(line, f"has {len(fields)} columns", f"write {columns}")
        return None
    at = dict(zip(order, fields, strict=False))
    read: dict[str, float | None] = {}
    for column in needed.replace("P", ""):
        text = at[column]
        read[column] = number(text, comma)
        if read[column] is None and (text or column != "Z"):
            blank = ", or leave it blank where the shot has no height" if column == "Z" else ""
            problems.add(
                line,
                f"the {_WORDS[column]} {text!r} is not a number",
                f"write a plain number{blank}",
            )
            read[column] = math.nan
    east, north, height = read["E"], read["N"], read["Z"]
    if east is None or north is None or any(v != v for v in read.values() if v is not None):
        return None
    name, about = at.get("P", "") or str(line), at.get("D", "")
    if re.search(r"\bNH\b", about, re.IGNORECASE):
        height = None
    return Shot(line, name, east, north, height, about)


def _delimiter(lines: list[str]) -> str | None:
    for candidate in (";", "\t"):
        if min(line.count(candidate) for line in lines) >= 2:
            return candidate
    return "," if sum("," in line for line in lines) * 2 > len(lines) else None


def _header(fields: list[str]) -> tuple[str, str] | None:
    """Give the order that a header line names and the unit it names; None when it is no header."""
    words = [re.sub(r"[\s_.-]+", " ", re.sub(r"[(\[].*", "", f.lower())).strip() for f in fields]
    order = "".join(_HEADER.get(w, "?") for w in words)
    if "N" not in order or "E" not in order:
        return None
    found = [u for f in fields for u in re.findall(r"[(\[]\s*([A-Za-z_ ]+?)\s*[)\]]", f)]
    return order, found[0].replace(" ", "_") if len(set(found)) == 1 else ""


def _usual(rows: list[str], delimiter: str | None, comma: bool) -> tuple[str, bool]:
    """Tell the order from the number of columns; PNEZD against PENZD cannot be told."""
    split = [row.split(delimiter) for row in rows[:200]]
    columns = max(len(s) for s in split)
    last_is_number = all(len(s) < 4 or number(s[3], comma) is not None or not s[3] for s in split)
    if columns <= 3:
        return "XYZ", True
    if columns == 4 and not last_is_number:
        return "XYZD", True
    return "PNEZD", False


def read_points(text: str, file: str, survey: SurveyFile) -> PointFile:
    """Read the shots of a point file.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name, for messages.
    survey : SurveyFile
        What the job says of it.

    Raises
    ------
    SurveyError
        Every line that cannot be read, all together.
    """
    lines = [
        (n, t) for n, t in enumerate(text.splitlines(), 1) if t.strip() and t.strip()[0] != "#"
    ]
    problems = Problems(file)
    if not lines:
        raise SurveyError(file, "holds no shots", "write one shot a line")
    rows = [t for _, t in lines]
    delimiter = _delimiter(rows[:50])
    comma = delimiter == ";"
    first = [f.strip().strip('"') for f in rows[0].split(delimiter)]
    head = _header(first)
    if head is None and not any(number(f, comma) is not None for f in first):
        raise SurveyError(
            f"{file} line {lines[0][0]}",
            f"the header {rows[0].strip()[:60]!r} names no northing and easting",
            "name the columns point, northing, easting, elevation, description",
        )
    if head is not None:
        lines, rows = lines[1:], rows[1:]
    if not rows:
        raise SurveyError(file, "holds no shots below its header", "write one shot a line")
    order, sure = _order(head, survey, rows, delimiter, comma, file)
    shots = [
        shot
        for n, t in lines
        if (shot := _shot(_split(t, delimiter, order), order, n, comma, problems)) is not None
    ]
    _decimal_commas(shots, delimiter, problems)
    problems.raise_any()
    return PointFile(tuple(shots), order, sure, head[1] if head else "")


def _order(
    head: tuple[str, str] | None,
    survey: SurveyFile,
    rows: list[str],
    delimiter: str | None,
    comma: bool,
    file: str,
) -> tuple[str, bool]:
    wanted = ORDERS.get(survey.order, "")
    if head is None:
        if wanted:
            return wanted, True
        usual, sure = _usual(rows, delimiter, comma)
        return ORDERS[usual], sure
    order = head[0]
    if "Z" not in order or any(order.count(c) > 1 for c in "PNEZD"):
        raise SurveyError(
            file,
            "the header names no elevation, or one column twice",
            "name the columns point, northing, easting, elevation, description",
        )
    if wanted and (order.index("N") < order.index("E")) != (wanted.index("N") < wanted.index("E")):
        raise SurveyError(
            file,
            f"the header has {order} and the job says survey.order = {survey.order!r}",
            'leave the order to the header: survey.order = "auto"',
        )
    return order, True


def _decimal_commas(shots: list[Shot], delimiter: str | None, problems: Problems) -> None:
    """Find decimal commas: such numbers fall apart, and the pieces land in the description."""
    broken = [s for s in shots if re.match(r"\d+\s*,\s*\d+\s*,\s*\d+", s.description)]
    if delimiter == "," and shots and len(broken) * 2 > len(shots):
        problems.add(
            broken[0].line,
            "there are numbers in the description: are the decimals written with a comma?",
            "part the columns with semicolons, or write decimals with a point",
        )


@dataclass(slots=True)
class Features:
    """What the codes of a point file stand for: indices into its shots, in the order shot."""

    outline: list[int] = field(default_factory=list)
    string: list[int] = field(default_factory=list)
    exclusions: dict[str, list[int]] = field(default_factory=dict)
    breaklines: dict[str, list[int]] = field(default_factory=dict)


def features(shots: tuple[Shot, ...], survey: SurveyFile, file: str) -> Features:
    """Sort the coded shots of a file into outline, exclusions, breaklines and top string.

    Raises
    ------
    SurveyError
        A breakline shot without a height, or too few shots to make the thing.
    """
    found, problems = Features(), Problems(file)
    codes = (
        (survey.outline_code, "outline"),
        (survey.exclusion_code, "exclusion"),
        (survey.breakline_code, "breakline"),
        (survey.string_code, "string"),
    )
    patterns = [
        (re.compile(rf"{re.escape(code.strip())}(?![A-Za-z])[\s_:.-]*(\w*)", re.IGNORECASE), what)
        for code, what in codes
        if code.strip()
    ]
    for i, shot in enumerate(shots):
        for part in shot.description.split("/"):
            for pattern, what in patterns:
                if not (match := pattern.match(part.strip())):
                    continue
                word = match[1].lower()
                if what == "outline":
                    found.outline.append(i)
                elif what == "string":
                    found.string.append(i)
                elif what == "exclusion":
                    found.exclusions.setdefault(word or "exclusion", []).append(i)
                elif shot.height is None:
                    problems.add(
                        shot.line,
                        f"breakline shot {shot.name} has no height",
                        "give its elevation, or take the code off",
                    )
                else:
                    found.breaklines.setdefault(word, []).append(i)
                break
    _enough(found, shots, survey, problems)
    problems.raise_any()
    return found


def _enough(
    found: Features, shots: tuple[Shot, ...], survey: SurveyFile, problems: Problems
) -> None:
    wanted = [
        (found.outline, 3, f"the outline ({survey.outline_code})", "round its edge"),
        (found.string, 2, f"the top string ({survey.string_code})", "along it"),
    ]
    for name, ids in found.exclusions.items():
        right = 'round it, or give [[exclusion]] with "centre" and "radius" in the job'
        wanted.append((ids, 3, f"exclusion {survey.exclusion_code} {name}", right))
    for name, ids in found.breaklines.items():
        wanted.append((ids, 2, f"breakline {survey.breakline_code} {name}".rstrip(), "along it"))
    for ids, least, what, right in wanted:
        if 0 < len(ids) < least:
            problems.add(
                shots[ids[-1]].line, f"{what} has {len(ids)} shot", f"take at least {least} {right}"
            )
