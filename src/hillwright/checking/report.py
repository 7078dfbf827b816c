"""How the results of published checks are told: a table 100 columns wide, or plain data."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from itertools import groupby
from typing import Any

import numpy as np

from hillwright.checking.run import Figure, Result
from hillwright.errors import Problem

_WIDTH = 100
_COLUMNS = (24, 19, 19, 13, 13)
_INDENT = " " * 8


def as_text(results: Iterable[Result], unread: tuple[Problem, ...] = ()) -> str:
    """Give the results as lines, grouped by file, with the totals last."""
    listed = tuple(results)
    lines: list[str] = []
    for file, members in groupby(listed, key=lambda r: r.check.file):
        lines += [file, _row(("figure", "expected", "got", "difference", "allowed"))]
        for result in members:
            lines += _check(result)
        lines.append("")
    return "\n".join([*lines, totals(listed) + _not_run(unread)])


def totals(results: Iterable[Result]) -> str:
    """Give the totals as one line."""
    listed = tuple(results)
    passed, figures = sum(r.passed for r in listed), sum(len(r.figures) for r in listed)
    failed = len(listed) - passed
    counts = f"{_count(len(listed), 'check')}, {_count(figures, 'figure')}: {passed} passed"
    return f"{counts}, {failed} FAILED" if failed else counts


def _not_run(unread: tuple[Problem, ...]) -> str:
    """Say how many checks could not be read: a problem's place is "file: check: key"."""
    which = {tuple(p.where.split(": ")[:2]) for p in unread}
    return f", {len(which)} NOT RUN" if which else ""


def _count(n: int, what: str) -> str:
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


def as_data(results: Iterable[Result], unread: tuple[Problem, ...] = ()) -> dict[str, Any]:
    """Give the results as ``--json`` prints them."""
    listed = tuple(results)
    passed = sum(r.passed for r in listed)
    return {
        "passed": passed,
        "failed": len(listed) - passed,
        "problems": [{"where": p.where, "what": p.what, "right": p.right} for p in unread],
        "checks": [
            {
                "id": r.check.id,
                "file": r.check.file,
                "method": r.check.method.id,
                "topic": r.check.topic,
                "source": r.check.source,
                "status": r.check.status,
                "seen": r.check.seen,
                "passed": r.passed,
                "refused": r.check.refused,
                "note": r.note,
                "figures": r.figures,
            }
            for r in listed
        ],
    }


def _check(result: Result) -> list[str]:
    check = result.check
    mark = "pass" if result.passed else "FAIL"
    lines = ["", f"  {mark}  {check.id}  ({check.method.id})"]
    lines += _wrapped(f"{check.source} [{check.status}]")
    lines += _wrapped(f"seen: {check.seen}") if check.seen else []
    lines += [line for figure in result.figures for line in _figure(figure)]
    lines += _wrapped(result.note) if result.note else []
    return lines


def _figure(figure: Figure) -> list[str]:
    name, expected, got = figure.name, figure.expected, figure.got
    if figure.at and figure.difference is not None:
        # a list is told by the element that is furthest off
        name += f"[{','.join(str(i) for i in figure.at)}] of {np.size(expected)}"
        expected, got = np.asarray(expected)[figure.at], np.asarray(got)[figure.at]
    off = "" if figure.difference is None else _value(figure.difference, "", 3)
    unit = figure.unit
    cells = (name, _value(expected, unit), _value(got, unit), off, figure.tolerance)
    row = _row(cells)
    lines = [row if figure.passed else "FAIL" + row[4:]]
    return lines + (_wrapped(figure.note) if figure.note else [])


def _value(value: Any, unit: str, digits: int = 9) -> str:
    if isinstance(value, list):
        return f"{np.size(value)} values"
    if isinstance(value, bool | str):
        return "yes" if value is True else "no" if value is False else value
    text = f"{value:.{digits}g} {unit}".rstrip()
    longest = _COLUMNS[1]
    return text if len(text) <= longest or digits <= 3 else _value(value, unit, digits - 1)


def _row(cells: tuple[str, ...]) -> str:
    padded = [f"{cell:<{width}} " for cell, width in zip(cells, _COLUMNS, strict=True)]
    return (_INDENT[:-2] + "".join(padded)).rstrip()


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=_INDENT,
        subsequent_indent=_INDENT,
        break_long_words=False,
        break_on_hyphens=False,
    )
