"""JSON Pointer and JSON Patch (RFC 6901 and RFC 6902) over the plain tables of a job file.

Of the operations of RFC 6902 those that a page needs are taken: add, remove, replace, test.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from hillwright.errors import HillwrightError, Problem

Tree = Any  # dicts, lists and values, as `tomllib` gives them
Path = tuple[str, ...]
OPERATIONS = ("add", "remove", "replace", "test")


class PatchError(HillwrightError):
    """An edit that cannot be made to this job."""


class Operation(NamedTuple):
    """One step of a patch."""

    op: str
    path: Path
    value: Any = None


def parse(pointer: str) -> Path:
    """Give the steps of a pointer: "/wish/2/count" -> ("wish", "2", "count").

    Raises
    ------
    PatchError
        The pointer does not start with "/", or holds a "~" that stands for nothing.
    """
    if pointer == "":
        return ()
    if not pointer.startswith("/"):
        raise PatchError(f"path {pointer!r}", "does not start with /", 'write it as "/cell/width"')
    steps = pointer[1:].split("/")
    for step in steps:
        if "~" in step.replace("~0", "").replace("~1", ""):
            right = 'write "~0" for "~" and "~1" for "/" within a key'
            raise PatchError(f"path {pointer!r}", 'holds a "~" alone', right)
    return tuple(step.replace("~1", "/").replace("~0", "~") for step in steps)


def pointer(path: Iterable[str | int]) -> str:
    """Write the steps of a pointer."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)


def operations(patch: Iterable[Mapping[str, Any]]) -> tuple[Operation, ...]:
    """Read a patch.

    Raises
    ------
    PatchError
        Every operation that is none, in one error.
    """
    found: list[Operation] = []
    wrong: list[Problem] = []
    for number, each in enumerate(patch, 1):
        op, path = each.get("op"), each.get("path")
        where = f"edit, operation {number}"
        if op not in OPERATIONS:
            what = f"{op!r} is not an operation"
            wrong.append(Problem(where, what, f"write one of {', '.join(OPERATIONS)}"))
        elif not isinstance(path, str):
            wrong.append(Problem(where, "has no path", 'give "path", as in "/cell/width"'))
        elif op != "remove" and "value" not in each:
            wrong.append(Problem(where, f"{op} has no value", 'give "value"'))
        else:
            try:
                found.append(Operation(op, parse(path), each.get("value")))
            except PatchError as error:
                wrong += error.problems
    if wrong:
        raise PatchError.all(wrong)
    return tuple(found)


def find(tree: Tree, path: Path) -> Any:
    """Give the value at a path.

    Raises
    ------
    PatchError
        There is none; names the first step that is not there.
    """
    for depth, step in enumerate(path):
        tree = _child(tree, step, path[: depth + 1])
    return tree


def index(step: str, length: int, path: Path) -> int:
    """Give the place in a list that a step means, 0 to length - 1."""
    if not (step.isascii() and step.isdigit()) or (len(step) > 1 and step[0] == "0"):
        raise PatchError(pointer(path), f"{step!r} is no place in a list", "count from 0")
    if len(step) > 9 or int(step) >= length:
        right = 'the list may have changed: look again, or "-" adds behind the last'
        raise PatchError(pointer(path), f"the list has {length}", right)
    return int(step)


def _child(tree: Tree, step: str, path: Path) -> Any:
    if isinstance(tree, dict):
        if step not in tree:
            raise PatchError(pointer(path), "is not in the job", "it may be gone: look again")
        return tree[step]
    if isinstance(tree, list):
        return tree[index(step, len(tree), path)]
    raise PatchError(pointer(path), "lies inside a plain value", "name the value itself")


def apply(tree: Tree, steps: Iterable[Operation]) -> Tree:
    """Give a copy of a tree with a patch applied; all of it or nothing.

    Raises
    ------
    PatchError
        A path that is not there, or a test that does not hold.
    """
    tree = copy.deepcopy(tree)
    for each in steps:
        tree = _applied(tree, each)
    return tree


def _applied(tree: Tree, each: Operation) -> Tree:
    op, path, value = each.op, each.path, copy.deepcopy(each.value)
    if op == "test":
        if not same(found := find(tree, path), value):
            what = f"is {found!r}, not {value!r}"
            raise PatchError(pointer(path), what, "somebody changed it: look again")
        return tree
    if not path:
        if op == "remove" or not isinstance(value, dict):
            raise PatchError("/", "is the whole job", "name a key of it")
        return value
    inside, last = find(tree, path[:-1]), path[-1]
    if op == "add":
        if isinstance(inside, dict):
            inside[last] = value
        elif isinstance(inside, list):
            at = len(inside) if last == "-" else index(last, len(inside) + 1, path)
            inside.insert(at, value)
        else:
            raise PatchError(pointer(path), "lies inside a plain value", "name the value itself")
        return tree
    _child(inside, last, path)  # it must be there
    key: Any = last if isinstance(inside, dict) else int(last)
    if op == "replace":
        inside[key] = value
    else:
        del inside[key]
    return tree


def same(a: Any, b: Any) -> bool:
    """Tell whether two values are the same in a job file: 1, 1.0 and true are three things."""
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(same(a[k], b[k]) for k in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(same(x, y) for x, y in zip(a, b, strict=True))
    return type(a) is type(b) and bool(a == b or (a != a and b != b))
