"""The list of published methods: as data, as text for a terminal, and as ``docs/methods.md``."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Any

from hillwright.errors import HillwrightError, did_you_mean
from hillwright.method import Argument, Method, described

HEAD = """\
# Methods and their sources

What Hillwright works out, by which equation, from which source, and where it holds. This page is
written by `hillwright methods --markdown`; the same list is in the program as `hillwright methods`.
Units are SI; `-` is a pure number, `any` is any unit that is kept throughout, `text` is words,
`surface` is ground (in a check: a formula in x and y). Any method can be checked against a
published figure with `hillwright verify --cases FILE`; `hillwright verify --form` shows how to
write one.
"""


class NoSuchMethod(HillwrightError):
    """Nothing is listed under that name."""


def pick(methods: Mapping[str, Method], name: str) -> Method:
    """Give the method of that id.

    Raises
    ------
    NoSuchMethod
        There is none; names the nearest.
    """
    if name not in methods:
        right = did_you_mean(name, methods, "`hillwright methods` lists them")
        raise NoSuchMethod(name, "is not a method", right)
    return methods[name]


def as_data(method: Method) -> dict[str, Any]:
    """Give everything that is known of a method as plain data."""
    found = described(method.function)
    return {
        "id": method.id,
        "title": method.title,
        "equation": method.equation,
        "symbols": dict(method.symbols),
        "inputs": [_argument(a) for a in found.inputs],
        "results": [_argument(a) for a in found.outputs],
        "range": found.range,
        "source": method.source,
    }


def _argument(a: Argument) -> dict[str, str]:
    return {"name": a.name, "shape": a.shape, "unit": a.unit, "about": a.about}


def as_text(method: Method, *, full: bool = False, width: int = 100) -> str:
    """Give a method as lines for a terminal; ``full`` says what each input and result is."""
    found = described(method.function)
    lines = textwrap.wrap(
        f"{method.id}  {method.title}", width, subsequent_indent="    ", break_on_hyphens=False
    )
    lines += _entry("equation", method.equation, width)
    lines += _entry("symbols", _symbols(method), width)
    for name, arguments in (("takes", found.inputs), ("gives", found.outputs)):
        if full:
            lines += [f"  {name}"]
            for a in arguments:
                lines += _entry(f"  {a.name}", f"{_shape(a)}  {a.about}", width, 20)
        else:
            each = "; ".join(f"{a.name} {_shape(a)}".strip() for a in arguments)
            lines += _entry(name, each, width)
    lines += _entry("range", found.range, width)
    lines += _entry("source", method.source, width)
    return "\n".join(lines)


def _entry(name: str, text: str, width: int, column: int = 12) -> list[str]:
    if not text:
        return []
    head = f"  {name}".ljust(column)
    if len(head) > column:
        head += " "
    wrapped = textwrap.wrap(
        text, width, initial_indent=head, subsequent_indent=" " * column, break_long_words=False
    )
    return wrapped or [head]


def _symbols(method: Method) -> str:
    return "; ".join(f"{k} {v.replace('_', ' ')}" for k, v in method.symbols.items())


def _shape(a: Argument) -> str:
    return f"{a.shape} [{a.unit}]".strip()


def as_markdown(methods: Iterable[Method]) -> str:
    """Give ``docs/methods.md``."""
    parts = [HEAD]
    for room, members in groupby(methods, key=lambda m: m.id.split(".")[0]):
        parts.append(f"\n## {room}\n")
        parts += [_section(method) for method in members]
    return "".join(parts)


def _section(method: Method) -> str:
    found = described(method.function)
    lines = [
        f"\n### {method.id}\n",
        f"{method.title}.\n",
        f"- Equation: `{method.equation}`",
        *([f"- Symbols: {_symbols(method)}"] if method.symbols else []),
        f"- Source: {method.source}",
    ]
    if found.range:
        lines.append(f"- Holds: {found.range}")
    lines += ["", "| | name | shape | unit | what it is |", "|---|---|---|---|---|"]
    for kind, arguments in (("takes", found.inputs), ("gives", found.outputs)):
        for a in arguments:
            cells = (kind, f"`{a.name}`", a.shape, a.unit, a.about)
            lines.append("| " + " | ".join(c.replace("|", "\\|") for c in cells) + " |")
    return "\n".join(lines) + "\n"
