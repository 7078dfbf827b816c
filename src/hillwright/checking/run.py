"""Runs published checks: source, expected, got, and the difference, on anybody's machine."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from hillwright.checking.read import Check
from hillwright.checking.tolerance import Tolerance
from hillwright.checking.written import Written
from hillwright.errors import HillwrightError
from hillwright.method import described


@dataclass(frozen=True, slots=True)
class Figure:
    """One expected figure beside what the method gave, in the unit that it is written in."""

    name: str
    unit: str
    expected: Any  # number, nested list of numbers, text, true or false
    got: Any
    difference: float | None  # the worst, got less expected; None where it is no number
    at: tuple[int, ...]  # which element is worst
    tolerance: str
    passed: bool
    note: str  # why it failed, where the numbers do not say it


@dataclass(frozen=True, slots=True)
class Result:
    """One check and how it went."""

    check: Check
    figures: tuple[Figure, ...]
    passed: bool
    note: str  # the refusal, or why there are no figures


def run_all(
    checks: Iterable[Check], progress: Callable[[str, float], None] | None = None
) -> tuple[Result, ...]:
    """Run checks in order; ``progress`` is told each id and the share done."""
    listed, results = tuple(checks), []
    for i, check in enumerate(listed):
        if progress:
            progress(check.id, i / len(listed))
        results.append(run(check))
    return tuple(results)


def run(check: Check) -> Result:
    """Run one check; whatever the method does is a result, never an error."""
    try:
        with np.errstate(all="ignore"):
            given = check.method.function(**check.inputs)
        got = _by_name(given, [a.name for a in described(check.method.function).outputs])
    except HillwrightError as error:
        said = str(error)
        held = bool(check.refused) and check.refused.casefold() in said.casefold()
        return Result(check, (), held, f"refused: {said}")
    except Exception as error:  # another's case must not end the run of all the rest
        return Result(check, (), False, f"the method broke: {type(error).__name__}: {error}")
    if check.refused:
        note = f"was not refused; expected a refusal that says {check.refused!r}"
        return Result(check, (), False, note)
    figures = tuple(
        compare(name, written, got[name], check.tolerances.get(name))
        for name, written in check.expected.items()
    )
    return Result(check, figures, all(f.passed for f in figures), "")


def _by_name(given: Any, names: list[str]) -> Mapping[str, Any]:
    if hasattr(given, "_fields"):
        return {name: getattr(given, name) for name in names}
    if isinstance(given, tuple) and len(names) > 1:
        return dict(zip(names, given, strict=True))
    if len(names) > 1:
        return {name: getattr(given, name) for name in names}
    return {names[0]: given}


def compare(name: str, written: Written, got: Any, tolerance: Tolerance | None) -> Figure:
    """Hold what a method gave against what is expected, element by element."""
    if written.scale is None or tolerance is None:
        return _same(name, written.si, got)
    expected, found = np.asarray(written.si, float), np.asarray(got)
    if found.dtype.kind not in "fiub":
        note = "a number was expected"
        return Figure(name, written.unit, _plain(expected), str(got), None, (), "", False, note)
    found = found.astype(float)
    allowed = np.asarray(tolerance.allowed(written))
    if found.shape != expected.shape and found.size == expected.size == 1:
        found = found.reshape(expected.shape)  # one number is one number
    back = written.scale.back
    shown = back(expected), back(found)
    if found.shape != expected.shape:
        note = f"shape {_shape(found)} where {_shape(expected)} was expected"
        plain = _plain(shown[0]), _plain(shown[1])
        return Figure(name, written.unit, *plain, None, (), tolerance.text, False, note)
    off = np.asarray(found - expected)
    within = (np.abs(off) <= allowed) | (found == expected)  # never true of what is not a number
    # how far outside, so that the worst element is the one that is told
    excess = np.where(np.isnan(off), np.inf, np.abs(off) / np.where(allowed > 0, allowed, 1e-300))
    at = (
        tuple(int(i) for i in np.unravel_index(int(np.argmax(excess)), off.shape))
        if off.size
        else ()
    )
    difference = float(np.asarray(shown[1] - shown[0])[at]) if off.size else 0.0
    note = "" if np.isfinite(found).all() else "not a number" * bool(np.isnan(found).any())
    return Figure(
        name,
        written.unit,
        _plain(shown[0]),
        _plain(shown[1]),
        difference,
        at,
        tolerance.text,
        bool(within.all()),
        note,
    )


def _same(name: str, expected: Any, got: Any) -> Figure:
    if isinstance(expected, str | tuple):
        mine, theirs = _texts(expected), _texts(got)
    else:
        mine, theirs = np.asarray(expected).tolist(), np.asarray(got).tolist()
    return Figure(name, "", mine, theirs, None, (), "exact", mine == theirs, "")


def _texts(value: Any) -> Any:
    if isinstance(value, list | tuple | np.ndarray):
        return [_texts(v) for v in value]
    return str(value).strip()


def _plain(numbers: Any) -> Any:
    return np.asarray(numbers).tolist()


def _shape(array: Any) -> str:
    return "a single number" if array.ndim == 0 else " by ".join(str(n) for n in array.shape)
