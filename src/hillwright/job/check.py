"""Check the tables of a job file, and go on after the first problem to find the rest."""

from __future__ import annotations

import copy
from typing import Any

from pydantic import ValidationError

from hillwright.job.fields import Conflicts
from hillwright.job.lines import Keys
from hillwright.job.model import Job


def check(data: dict[str, Any]) -> tuple[Job | None, list[Any]]:
    """Make a job of a file's tables, or give everything that is wrong, as pydantic lists it.

    Keys that do not go together are only looked for in a section whose keys can all be read, so
    the tables are checked once more without the keys that cannot.
    """
    try:
        return Job.model_validate(data), []
    except ValidationError as error:
        # the values themselves are wanted too, to show them as they were written
        found = list(error.errors())
    bad = {_key(tuple(e["loc"])) for e in found if e["loc"]}
    unknown = {tuple(e["loc"][:-1]) for e in found if e["type"] == "extra_forbidden"}
    try:
        Job.model_validate(_without(data, found))
    except ValidationError as error:
        found += [left for e in error.errors() if (left := _still_true(e, bad, unknown))]
    return None, found


def _without(data: dict[str, Any], found: list[Any]) -> dict[str, Any]:
    """Take out the keys that cannot be read; give a name to what has none."""
    data = copy.deepcopy(data)
    for error in found:
        if isinstance((error.get("ctx") or {}).get("error"), Conflicts):
            continue
        *inside, key = _key(tuple(error["loc"]))
        table: Any = data
        try:
            for step in inside:
                table = table[step]
            if error["type"] == "missing" and not isinstance(error["loc"][-1], int):
                table[key] = "?"
            else:
                del table[key]
        except (KeyError, IndexError, TypeError):
            continue  # two problems of one key: it is out already
    return data


def _key(where: Keys) -> Keys:
    """Give the path of the key itself, without the place inside its value."""
    end = next((i for i, step in enumerate(where) if i and isinstance(step, str)), 0)
    return where[: end + 1]


def _still_true(error: Any, bad: set[Keys], unknown: set[Keys]) -> Any:
    """Keep the conflicts that do not rest on a key that was taken out, or is misspelt."""
    cause = (error.get("ctx") or {}).get("error")
    if not isinstance(cause, Conflicts):
        return None
    section = tuple(error["loc"])
    out = {where[len(section)] for where in bad if where[: len(section)] == section != where}
    there = set(error["input"])
    kept = tuple(
        c
        for c in cause.found
        if not out & {*c.beside, *c.key[:1]} and (section not in unknown or there >= {*c.beside})
    )
    return {**error, "ctx": {"error": Conflicts(kept)}} if kept else None
