"""Catches and pressures measured on the drip network after it was built, one a line.

A CSV with the header ``kind, row, cell, value``: ``catch, 3, 4, 0.48 gal/h`` is what all emitters
of row 3 cell 4 gave together; ``gauge, 3, right, 12.5 psi`` is what a gauge read at the far end of
row 3's lateral, left or right of the header looking uphill. Where laterals of several valves lie in
one row a fifth column, ``valve``, says whose it is.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

from hillwright.job.files import Problems, find, read_text
from hillwright.job.model import OpenJob
from hillwright.units import FLOW, PRESSURE, UnitError, quantity

COLUMNS = ("kind", "row", "cell", "value")


@dataclass(frozen=True, slots=True)
class Reading:
    """One thing that was measured."""

    kind: str  # "catch" or "gauge"
    row: int
    cell: int  # 0 for a gauge
    side: str  # of a gauge: "left" or "right"
    value: float  # [m3/s] or [Pa]
    line: int
    valve: int = 0  # whose lateral it is; 0 where it is not said


def read_readings(opened: OpenJob) -> tuple[Reading, ...]:
    """Read the file that the job names; nothing where it names none.

    Raises
    ------
    SurveyError
        Everything that is wrong in the file, line by line.
    """
    name = opened.job.irrigation.readings
    if not name.strip():
        return ()
    path = find(opened.path, name, "irrigation.readings")
    problems = Problems(path.name)
    lines = list(csv.reader(io.StringIO(read_text(path)), skipinitialspace=True))
    head = [c.strip().lower() for c in lines[0]] if lines else []
    if head[: len(COLUMNS)] != list(COLUMNS):
        problems.add(1, f"the header is {', '.join(head)}", f"write {', '.join(COLUMNS)}")
        problems.raise_any()
    found: list[Reading] = []
    for number, cells in enumerate(lines[1:], 2):
        blank = not any(c.strip() for c in cells)
        if not blank and (reading := _one([*cells, "", "", "", "", ""], number, problems)):
            found.append(reading)
    if not found and not problems.found:
        problems.add(None, "holds no reading", "write one a line under the header")
    problems.raise_any()
    return tuple(found)


def _one(cells: list[str], line: int, problems: Problems) -> Reading | None:
    kind, row, cell, value, valve = (c.strip() for c in cells[:5])
    kind, before = kind.lower(), len(problems.found)
    if kind not in ("catch", "gauge"):
        problems.add(line, f"{kind!r} is no kind of reading", 'write "catch" or "gauge"')
        return None
    if not row.isdigit() or int(row) < 1:
        problems.add(line, f"{row!r} is not the number of a row", "row 1 is the top row")
    side = cell.lower()
    if kind == "gauge" and side not in ("left", "right"):
        problems.add(line, f"{cell!r} is no end of a lateral", 'write "left" or "right"')
    if kind == "catch" and (not cell.isdigit() or int(cell) < 1):
        problems.add(line, f"{cell!r} is not the number of a cell", "count from the left")
    if valve and (not valve.isdigit() or int(valve) < 1):
        problems.add(line, f"{valve!r} is not the number of a valve", "take it from the plan: 1")
    measured = 0.0
    try:
        measured = quantity(value, FLOW if kind == "catch" else PRESSURE)
        if measured < 0:
            problems.add(line, f"{value!r} is negative", "write what was measured, 0 or more")
    except UnitError as error:
        problems.add(line, error.what, error.right)
    if len(problems.found) > before:
        return None
    number = int(cell) if kind == "catch" else 0
    side = side if kind == "gauge" else ""
    return Reading(kind, int(row), number, side, measured, line, int(valve or 0))
