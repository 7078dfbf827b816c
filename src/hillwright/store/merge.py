"""What changed between two jobs, and two people's changes put together.

Changes are found key by key. Items of a list keep their identity while others are put in or taken
out beside them, so that a wish that somebody changed and one that somebody else added are two
changes and not one. A place, a range or a window (a list of plain values that start with a digit)
is one value: half of it changed by each of two people would be a place that nobody meant.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from difflib import SequenceMatcher
from typing import Any, NamedTuple

from hillwright.store.pointer import Operation, Path, Tree, same

_QUANTITY = re.compile(r"\s*[-+.]?\d")
_GONE: Any = type("Gone", (), {"__repr__": lambda self: "gone"})()


class Change(NamedTuple):
    """One key that is not the same in two jobs; None stands for "not there"."""

    path: Path
    before: Any
    after: Any


class Clash(NamedTuple):
    """One key that two people changed in two ways."""

    path: Path
    base: Any
    mine: Any
    theirs: Any


def changes(before: Tree, after: Tree) -> tuple[Change, ...]:
    """Give every key that is not the same, in the order of the later job."""
    found = (_told(each, before) for each in difference(before, after))
    return tuple(found)


def _told(each: Operation, before: Tree) -> Change:
    old = None
    if each.op != "add":
        old = before
        for step in each.path:
            old = old[int(step)] if isinstance(old, list) else old[step]
    return Change(each.path, old, each.value)


def difference(before: Tree, after: Tree) -> tuple[Operation, ...]:
    """Give a patch that makes the later job of the earlier one.

    Places in lists are those of the earlier job for what is replaced and removed. Apply it in the
    order given: replacements first, then removals from the end, then additions.
    """
    steps = list(_difference(before, after, ()))
    removed = [s for s in steps if s.op == "remove"]
    return (
        *(s for s in steps if s.op == "replace"),
        *reversed(removed),
        *(s for s in steps if s.op == "add"),
    )


def _difference(before: Tree, after: Tree, at: Path) -> Iterator[Operation]:
    if same(before, after):
        return
    if isinstance(before, dict) and isinstance(after, dict):
        for key in before:
            if key not in after:
                yield Operation("remove", (*at, key))
        for key, value in after.items():
            if key in before:
                yield from _difference(before[key], value, (*at, key))
            else:
                yield Operation("add", (*at, key), value)
    elif isinstance(before, list) and isinstance(after, list) and mergeable(before, after):
        kept = aligned(before, after)
        for i, item in enumerate(before):
            if (j := kept.get(i)) is None:
                yield Operation("remove", (*at, str(i)))
            else:
                yield from _difference(item, after[j], (*at, str(i)))
        old = set(kept.values())
        for j, item in enumerate(after):
            if j not in old:
                yield Operation("add", (*at, str(j)), item)
    else:
        yield Operation("replace", at, after)


def mergeable(*lists: list[Any]) -> bool:
    """Tell whether the items of a list are things of their own rather than parts of one value."""
    return not any(
        isinstance(item, int | float) or (isinstance(item, str) and _QUANTITY.match(item))
        for each in lists
        for item in each
    )


def aligned(before: list[Any], after: list[Any]) -> dict[int, int]:
    """Give where each item of the earlier list stands in the later one; one taken out has none."""
    a, b = _tokens(before), _tokens(after)
    kept: dict[int, int] = {}
    for tag, i0, i1, j0, j1 in SequenceMatcher(None, a, b, autojunk=False).get_opcodes():
        if tag == "equal" or (tag == "replace" and i1 - i0 == j1 - j0):
            kept.update(zip(range(i0, i1), range(j0, j1), strict=True))
        elif tag == "replace":
            kept.update(_by_name(before, after, (i0, i1), (j0, j1)))
    return kept


def _by_name(
    before: list[Any], after: list[Any], old: tuple[int, int], new: tuple[int, int]
) -> dict[int, int]:
    """Pair changed items: those of one name as long as the order holds, then one by one."""
    names = {_name(after[j]): j for j in range(*new) if _name(after[j])}
    pairs = [(old[0] - 1, new[0] - 1)]
    for i in range(*old):
        if (j := names.get(_name(before[i]), -1)) > pairs[-1][1]:
            pairs.append((i, j))
    found = dict(pairs[1:])
    for (i, j), (i1, j1) in zip(pairs, [*pairs[1:], (old[1], new[1])], strict=True):
        found.update(zip(range(i + 1, i1), range(j + 1, j1), strict=False))
    return found


def _tokens(items: list[Any]) -> list[str]:
    return [json.dumps(item, sort_keys=True, default=repr) for item in items]


def _name(item: Any) -> str:
    if not isinstance(item, dict):
        return ""
    return next((str(item[k]) for k in ("name", "cell", "plant", "task") if k in item), "")


def merge(base: Tree, mine: Tree, theirs: Tree) -> tuple[Tree, tuple[Clash, ...]]:
    """Put two people's changes of one job together.

    Parameters
    ----------
    base, mine, theirs : dict
        The job that both started from, and what each of them made of it.

    Returns
    -------
    merged : dict
        The job with both changes; where both changed one key, theirs.
    clashes : tuple of Clash
        Each such key; empty where the two changes do not touch.
    """
    clashes: list[Clash] = []
    return _merge(base, mine, theirs, (), clashes), tuple(clashes)


def _merge(base: Any, mine: Any, theirs: Any, at: Path, clashes: list[Clash]) -> Any:
    if same(mine, theirs) or same(base, mine):
        return theirs
    if same(base, theirs):
        return mine
    if all(isinstance(v, dict) for v in (mine, theirs)):
        return _merge_tables(base if isinstance(base, dict) else {}, mine, theirs, at, clashes)
    if all(isinstance(v, list) for v in (base, mine, theirs)) and mergeable(base, mine, theirs):
        return _merge_lists(base, mine, theirs, at, clashes)
    clashes.append(Clash(at, *(None if v is _GONE else v for v in (base, mine, theirs))))
    return theirs


def _merge_tables(base: Any, mine: Any, theirs: Any, at: Path, clashes: list[Clash]) -> Any:
    found = {}
    for key in dict.fromkeys((*theirs, *mine)):
        old, own, other = (each.get(key, _GONE) for each in (base, mine, theirs))
        if (value := _merge(old, own, other, (*at, key), clashes)) is not _GONE:
            found[key] = value
    return found


def _merge_lists(base: Any, mine: Any, theirs: Any, at: Path, clashes: list[Clash]) -> Any:
    sides = [(side, aligned(base, side)) for side in (theirs, mine)]
    starts = [{j: i for i, j in kept.items()} for _, kept in sides]
    found: list[Any] = []
    positions = [0, 0]

    def put_in_up_to(ends: list[int]) -> None:
        """Take over what each side put in before the next item that both started from."""
        new = [
            [side[j] for j in range(positions[k], ends[k]) if j not in starts[k]]
            for k, (side, _) in enumerate(sides)
        ]
        found.extend(new[0])
        found.extend(v for v in new[1] if not any(same(v, w) for w in new[0]))

    for i, item in enumerate(base):
        there = [kept.get(i) for _, kept in sides]
        ends = [positions[k] if j is None else j for k, j in enumerate(there)]
        put_in_up_to(ends)
        positions = [positions[k] if j is None else j + 1 for k, j in enumerate(there)]
        own = [_GONE if j is None else sides[k][0][j] for k, j in enumerate(there)]
        value = _merge(item, own[1], own[0], (*at, str(i)), clashes)
        if value is not _GONE:
            found.append(value)
    put_in_up_to([len(side) for side, _ in sides])
    return found
