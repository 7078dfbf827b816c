"""A patch made to a job file as text, so that its comments and its order stay."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from typing import Any

import tomlkit
from tomlkit.items import AoT, Item, Table, Whitespace

from hillwright.store.pointer import Operation, PatchError, Tree, apply, index, pointer, same

LARGEST = 262_144  # characters of a job file that is edited; a job is a page or two of text


def edited(text: str, steps: Iterable[Operation]) -> str:
    """Give the text of a job file with a patch applied.

    Parameters
    ----------
    text : str
        TOML that the standard library reads.
    steps : iterable of Operation
        The patch, in order.

    Returns
    -------
    str
        The new text. What the patch does not touch is as it was, comments and order included.

    Raises
    ------
    PatchError
        A path that is not there, a test that does not hold, a value that TOML cannot hold.
    """
    steps = tuple(steps)
    wanted = apply(tomllib.loads(text), steps)
    _check_values(steps)
    try:
        document = tomlkit.parse(text)
        for each in steps:
            _apply(document, each)
        found = tomlkit.dumps(document)
        right = same(tomllib.loads(found), wanted)
    except Exception:  # an editor of text has corners of its own: what it makes is checked anyway
        right, found = False, ""
    # a file of an unusual form: the data come first, the comments of what changed after them
    return found if right else _by_section(text, wanted)


def _apply(document: Any, each: Operation) -> None:
    if each.op == "test":
        return
    if not each.path:
        raise ValueError("the whole job")
    inside: Any = document
    for depth, step in enumerate(each.path[:-1]):
        inside = _child(inside, step, each.path[: depth + 1])
    last = each.path[-1]
    if isinstance(inside, list):
        _in_list(inside, last, each)
    elif each.op == "remove":
        del inside[last]
    else:
        table = inside is document or isinstance(inside, Table)
        value = item(each.value, table)
        new = last not in inside
        inside[last] = value
        if new and isinstance(value, Table) and inside is document:
            _apart(document, value)


def _child(inside: Any, step: str, path: tuple[str, ...]) -> Any:
    listed = isinstance(inside, list)
    return inside[index(step, len(inside), path) if listed else step]


def _in_list(inside: Any, last: str, each: Operation) -> None:
    length = len(inside)
    at = length if last == "-" else int(last)
    if each.op == "remove":
        del inside[at]
        return
    tables = isinstance(inside, AoT)
    if tables and not isinstance(each.value, dict):
        raise TypeError("a plain value among tables")
    value = item(each.value, tables)
    if isinstance(value, Table):
        value.add(Whitespace("\n"))
    if each.op == "replace":
        inside[at] = value
    elif at == length:
        inside.append(value)
    else:
        inside.insert(at, value)


def _apart(document: Any, table: Table) -> None:
    """Set a new section off by an empty line."""
    if len(document) > 1:
        table.trivia.indent = "\n" + table.trivia.indent


def item(value: Any, table: bool = True) -> Item:
    """Make a TOML item of plain data; tables are written out where they can be."""
    if isinstance(value, dict):
        found = tomlkit.table() if table else tomlkit.inline_table()
        for key, each in value.items():
            found[key] = item(each, table)
        return found
    if isinstance(value, list):
        if table and value and all(isinstance(v, dict) for v in value):
            several = tomlkit.aot()
            for each in value:
                several.append(item(each))
            return several
        array = tomlkit.array()
        for each in value:
            array.append(item(each, table=False))
        return array
    single: Item = tomlkit.item(value)
    return single


def _by_section(text: str, wanted: Tree) -> str:
    """Write the sections that changed anew, and if that will not do, the whole file."""
    try:
        document = tomlkit.parse(text)
        for key in [k for k in document if k not in wanted]:
            del document[key]
        before = tomllib.loads(text)
        for key, value in wanted.items():
            if key not in before or not same(before[key], value):
                document[key] = item(value)
        found = tomlkit.dumps(document)
        right = same(tomllib.loads(found), wanted)
    except Exception:  # as above
        right, found = False, ""
    return found if right else _dumped(wanted)


def _dumped(tree: Tree) -> str:
    document: Any = item(tree)
    return tomlkit.dumps(document)


def _check_values(steps: Iterable[Operation]) -> None:
    for each in steps:
        if each.op in ("add", "replace"):
            _check(each.value, pointer(each.path), 0)


def _check(value: Any, where: str, depth: int) -> None:
    if depth > 12:
        raise PatchError(where, "holds lists within lists", "a job file goes 5 deep at most")
    if value is None:
        right = 'use "remove" to take a key out'
        raise PatchError(where, "a job file cannot hold an empty value", right)
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) >= 2**63:
        raise PatchError(where, "is too large a number", "write fewer digits")
    if isinstance(value, str) and any(0xD800 <= ord(c) <= 0xDFFF for c in value):
        raise PatchError(where, "holds half a letter", "write it again")
    if isinstance(value, dict | list):
        parts = value.items() if isinstance(value, dict) else enumerate(value)
        for key, each in parts:
            if isinstance(key, str):
                _check(key, where, depth + 1)
            _check(each, f"{where}/{key}", depth + 1)
