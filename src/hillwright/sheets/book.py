"""The calculation book: how every figure of the plan came about, in the order of the questions."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from hillwright.estimate.workings import AMOUNT
from hillwright.method import Number, Working, all_methods, described, symbols_of
from hillwright.sheets import maths
from hillwright.sheets.pages import Page
from hillwright.units import System, show
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

# which question a figure belongs to, by how its name begins; the first that fits
PARTS: tuple[tuple[str, int], ...] = (
    ("terrain.", 1),
    ("layout.", 2),
    ("setout.", 2),
    ("stability.slope.", 1),
    ("stability.circle.", 1),
    ("stability.", 3),
    ("runoff.", 4),
    ("drains.", 4),
    ("fill.", 5),
    ("crew.lift", 5),
    ("crew.limit", 5),
    ("crew.fill-line", 5),
    ("crew.haul", 5),
    ("planting.", 6),
    ("watering.", 7),
    ("irrigation.", 7),
    ("crew.", 8),
    ("takeoff.", 9),
    ("estimate.", 9),
    ("price.", 9),
    ("cost.", 9),
)
MOST_COLUMNS = 6  # inputs that differ, shown in the table of a group
INTRO = (
    "Each figure that somebody may act on: the equation in symbols, the numbers put in, the "
    "result, the source, and where the method holds. Where the same working gives a figure for "
    "many cells or rows, one is worked in full and the others follow in a table.",
    "The figures are of one plan. They do not replace the judgement of a licensed engineer, and "
    "local codes come first.",
)


def book_sheets(plan: Plan) -> tuple[Page, ...]:
    """Give the book; none for a plan without a working."""
    if not plan.workings:
        return ()
    system = plan.opened.job.units
    methods = all_methods()
    groups: dict[tuple[str, str, str, str], list[Working]] = {}
    for name, working in plan.workings.items():
        w = working.with_units()
        line = w.equation == AMOUNT
        title, source = ("line of the order", "") if line else (w.title, w.source)
        key = (str(question(name)), title, w.equation, source)
        groups.setdefault(key, []).append(w)
    parts: list[dict[str, Any]] = []
    index: list[tuple[str, str]] = []
    for answer in plan.answers:
        mine = [g for key, g in groups.items() if key[0] == str(answer.number)]
        entries = []
        for k, group in enumerate(mine, 1):
            number = f"{answer.number}.{k}"
            entries.append(_entry(group, number, system, methods))
            index += [(w.figure, number) for w in group]
        if entries:
            title = f"{answer.number}  {answer.question}"
            parts.append({"title": title, "said": answer.short, "entries": entries})
    data = {"intro": list(INTRO), "parts": parts, "figures": [list(i) for i in sorted(index)]}
    return (Page("book", "Calculation book", "", data, {}, "office"),)


def question(figure: str) -> int:
    """Give the number of the question that a figure belongs to."""
    return next((number for begins, number in PARTS if figure.startswith(begins)), 10)


def _entry(
    group: list[Working], number: str, system: System, methods: dict[str, Any]
) -> dict[str, Any]:
    w = group[0]
    stands, words = symbols_of(w)
    given = [[_named(n.name, stands, system), _shown(n.value, n.unit, system)] for n in w.given]
    # an input in words needs the width of the page
    across = 1 if any(len(name) + len(v) > 46 for name, v in given) else 2
    found = methods.get(w.method)
    return {
        "number": number,
        "title": in_units(w.title, system),
        "figure": w.figure,
        "maths": _lines(w.equation) + _where(words),
        "given": given,
        "across": across,
        "result_name": w.result.name.replace("_", " ") or "result",
        "result": _shown(w.result.value, w.result.unit, system),
        "source": w.source,
        "range": in_units(described(found.function).range, system) if found else "",
        "note": in_units(w.note, system),
        "others": _bought(group, system)
        if w.equation == AMOUNT
        else _others(group, stands, system),
    }


def _bought(group: list[Working], system: System) -> dict[str, Any]:
    """Give what is bought line by line: the packs and prices of a line are its last numbers."""
    if len(group) < 2:
        return {"head": [], "rows": []}
    known = ("used", "waste", "to order")
    rows = []
    for w in group:
        given = {n.name: _shown(n.value, n.unit, system) for n in w.given}
        packs = [
            f"{n.name.split(' from ')[0].removesuffix(', each')} at {given[n.name]}"
            for n in w.given
            if n.name not in known
        ]
        result = _shown(w.result.value, w.result.unit, system)
        rows.append([w.figure, *(given.get(k, "") for k in known), "; ".join(packs), result])
    return {"head": ["figure", *known, "packs", "amount"], "rows": rows}


def _named(name: str, stands: dict[str, str], system: System) -> str:
    """Name an input, with its symbol in brackets where the equation has one."""
    words = in_units(name.replace("_", " "), system)
    symbol = stands.get(name, "")
    return f"{words} ({symbol})" if symbol and symbol != name else words


def _where(words: dict[str, str]) -> list[list[str]]:
    """Say what the symbols are that no number stands for."""
    return [["words", "; ".join(f"{k}: {v}" for k, v in words.items())]] if words else []


def _lines(equation: str) -> list[list[str]]:
    """Give the lines of an equation: as mathematics, or as words where they are a sentence."""
    found = [
        ["words", plain] if maths.worded(line) else ["maths", line]
        for plain, line in zip(maths.parts(equation), maths.lines(equation), strict=True)
    ]
    return found


def _others(group: list[Working], stands: dict[str, str], system: System) -> dict[str, Any]:
    """Give the further figures of a group: what differs between them, and what came of it."""
    if len(group) < 2:
        return {"head": [], "rows": []}
    names = [n.name for n in group[0].given]
    alike = all(sorted(n.name for n in w.given) == sorted(names) for w in group)
    if alike:  # in the order of the first: a default that is left out comes last elsewhere
        group = [replace(w, given=tuple(sorted(w.given, key=_order(names)))) for w in group]
    differ: list[int] = []
    if alike:
        differ = [
            k
            for k in range(len(names))
            if len({_shown(w.given[k].value, w.given[k].unit, system) for w in group}) > 1
        ]
        words = any(
            len(_shown(w.given[k].value, w.given[k].unit, system)) > 24
            for w in group
            for k in differ
        )
        if len(differ) > MOST_COLUMNS or words:
            differ = []
    head = ["figure", *(_named(names[k], stands, system) for k in differ), "result"]
    rows = [
        [
            w.figure,
            *(_shown(w.given[k].value, w.given[k].unit, system) for k in differ),
            _shown(w.result.value, w.result.unit, system),
        ]
        for w in group
    ]
    return {"head": head, "rows": rows}


def _order(names: list[str]) -> Callable[[Number], int]:
    return lambda number: names.index(number.name)


def _shown(value: float | int | str, unit: str, system: System) -> str:
    if isinstance(value, str):
        return in_units(value, system)
    if isinstance(value, float) and math.isnan(value):
        return "not known"
    return show(value, unit, system)
