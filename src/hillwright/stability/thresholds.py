"""When somebody else must be asked: required factors, code thresholds and the site checklist.

A good factor never overrides a stop. What nobody has answered is taken as the cautious answer.
Model codes bind only where adopted and as amended: the authority is named, not replaced.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from hillwright.data import table
from hillwright.errors import OutOfRange, Problem, did_you_mean
from hillwright.stability.lookup import si
from hillwright.stability.model import Reason
from hillwright.wording import factor_text

Reply = Literal["yes", "no", "unknown"]
_ORDER = ("stop", "with measures", "clear")
_SHOWN = {"over_ft": "m", "over_yd3": "m3", "over": ""}


@dataclass(frozen=True, slots=True)
class Required:
    """A factor of safety that must be reached."""

    factor: float
    situation: str
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Question:
    """One line of the site checklist."""

    key: str
    question: str


def required_factor(key: str) -> Required:
    """Give a required factor of safety, as ``"slope"``, ``"slope seismic"`` or ``"pullout"``.

    Raises
    ------
    OutOfRange
        No row of the table has this key.
    """
    limits = table("stability_limits")
    rows = {row["key"]: row for row in limits["required"] if "key" in row}
    if key not in rows:
        right = did_you_mean(key, rows, f"known are {', '.join(rows)}")
        raise OutOfRange("required factor", f"{key!r} is not in the table", right)
    row = rows[key]
    status = limits["sources"][row["from"]]["status"]
    return Required(row["factor"], row["situation"], row["source"], status)


def checklist() -> tuple[Question, ...]:
    """Give the questions of the site checklist in order."""
    return tuple(Question(r["key"], r["question"]) for r in table("stability_limits")["stop"])


def stop_reasons(
    answers: Mapping[str, str],
    *,
    slope: float | None = None,
    wall_height: float | None = None,
    fill_volume: float | None = None,
    fill_depth: float | None = None,
    slope_height: float | None = None,
    expansion_index: float | None = None,
    static: float | None = None,
    seismic: float | None = None,
) -> tuple[Reason, ...]:
    """Give every reason to stop or to ask somebody, stops first.

    Parameters
    ----------
    answers : mapping
        "yes", "no" or "unknown" to each question of :func:`checklist`; a question that is left
        out is unknown, and unknown is taken as yes.
    slope : float, optional
        Ground from horizontal [rad]; of this and all below, what is left out is not compared.
    wall_height : float, optional
        Of the highest wall or stack of rows, from the bottom of its lowest footing [m].
    fill_volume, fill_depth : float, optional
        Of all soil that is moved [m3], and the deepest of it [m].
    slope_height : float, optional
        From toe to crest [m].
    expansion_index : float, optional
        By ASTM D4829 [-].
    static, seismic : float, optional
        Least computed factor of safety of the ground, wet case included, and with earthquake [-].

    Returns
    -------
    tuple of Reason
        Nothing in it when nothing asks for more.

    Raises
    ------
    OutOfRange
        A question that is not on the list, an answer that is none of the three, or a figure below
        0 or not a number; all of them at once.
    """
    figures = {
        "wall_height": wall_height,
        "fill_volume": fill_volume,
        "fill_depth": fill_depth,
        "slope_height": slope_height,
        "expansion_index": expansion_index,
    }
    factors = {"static": static, "seismic": seismic}
    _check(answers, {**figures, **factors, "slope": slope})
    found = [
        *_from_checklist(answers),
        *_from_factors(factors),
        *_from_slope(slope),
        *_from_figures(figures),
    ]
    return tuple(sorted(found, key=lambda reason: _ORDER.index(reason.verdict)))


def _check(answers: Mapping[str, str], figures: Mapping[str, float | None]) -> None:
    keys = [row["key"] for row in table("stability_limits")["stop"]]
    problems = []
    for key, answer in answers.items():
        if key not in keys:
            right = did_you_mean(key, keys, f"the questions are {', '.join(keys)}")
            problems.append(Problem(f"checklist.{key}", "is not on the site checklist", right))
        elif answer not in get_args(Reply):
            right = did_you_mean(str(answer), get_args(Reply), 'write "yes", "no" or "unknown"')
            problems.append(Problem(f"checklist.{key}", f"{answer!r} is no answer", right))
    for name, value in figures.items():
        # an infinite factor is level ground; nothing else is without limit
        endless = value == math.inf and name in ("static", "seismic")
        if value is not None and not (endless or (math.isfinite(value) and value >= 0)):
            problems.append(Problem(name, f"{value:g} is no size for it", "give 0 or more"))
    if problems:
        raise OutOfRange.all(problems)


def _from_checklist(answers: Mapping[str, str]) -> list[Reason]:
    found = []
    for row in table("stability_limits")["stop"]:
        answer = answers.get(row["key"], "unknown")
        if answer == "no":
            continue
        unsure = " (not known, so taken as there)" if answer == "unknown" else ""
        found.append(Reason(row["condition"] + unsure, row["verdict"], row["who"], row["source"]))
    return found


def _from_factors(factors: Mapping[str, float | None]) -> list[Reason]:
    found = []
    for row in table("stability_limits")["factor_stop"]:
        value = factors[row["state"]]
        if value is None or value >= row["least"]:
            continue
        condition = row["condition"].format(found=factor_text(value), limit=f"{row['least']:g}")
        found.append(Reason(condition, "stop", row["who"], row["source"]))
    return found


def _from_slope(slope: float | None) -> list[Reason]:
    if slope is None:
        return []
    for row in table("slope_limits")["limit"]:
        run, rise = (float(part) for part in row["ratio"].split(":"))
        if math.tan(slope) > rise / run * (1 + 1e-9):
            condition = f"ground of {math.degrees(slope):.1f} deg is {row['why']}"
            return [Reason(condition, row["verdict"], row["who"], row["source"])]
    return []


def _from_figures(figures: Mapping[str, float | None]) -> list[Reason]:
    found, said = [], set()
    for row in table("stability_limits")["figure"]:
        value = figures[row["key"]]
        # rows of one figure stand from the most to the least: the first that is exceeded says all
        if value is None or row["key"] in said or value <= _limit(row) * (1 + 1e-9):
            continue
        said.add(row["key"])
        condition = row["what"].format(limit=_written(row))
        found.append(Reason(condition, row["verdict"], row["who"], row["source"]))
    return found


def _limit(row: Mapping[str, Any]) -> float:
    return float(row["over"]) if "over" in row else float(si(row, "over"))


def _written(row: Mapping[str, Any]) -> str:
    """Write a limit in SI, as every sentence of a room does; the edge turns it into the job's."""
    unit = next(label for key, label in _SHOWN.items() if key in row)
    decimals = 0 if not unit else 3
    return f"{_limit(row):.{decimals}f} {unit}".rstrip()
