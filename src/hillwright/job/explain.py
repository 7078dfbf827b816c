"""What is wrong with a value, in the reader's words and as it stands in the file."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel

from hillwright.errors import Problem
from hillwright.job.fields import Conflicts, OutsideLimits, UpsideDown, joined, nearest
from hillwright.job.lines import Keys, Lines
from hillwright.job.model import Job
from hillwright.units import System, UnitError

_TO_ADD: dict[Keys, tuple[str, str]] = {
    ("survey",): ("the section [survey] is missing", 'add [survey] with its "kind" and "file"'),
    ("survey", "kind"): ("is missing", 'add kind = "sections", "points" or "dem"'),
    ("survey", "file"): ("is missing", 'add file = "sections.csv", or what your survey is called'),
    ("exclusion", "name"): ("is missing", 'add name = "oak", or what it is'),
    ("person", "name"): ("is missing", 'add name = "Ana", or what the person is called'),
    ("measured", "task"): ("is missing", 'add task = "fill", or what was timed'),
    ("measured", "done"): ("is missing", 'add done = "3 yd3", or how much was done'),
    ("measured", "people"): ("is missing", "add people = 4, or how many did it"),
    ("measured", "took"): ("is missing", 'add took = "2 h", or how long it took'),
    ("mix", "name"): ("is missing", 'add name = "herb mix", or what you call it'),
    ("mix", "parts"): ("is missing", 'add parts = [["topsoil", "70 %"], ["compost", "30 %"]]'),
    ("shade", "name"): ("is missing", 'add name = "fence", or what it is'),
    ("shade", "height"): ("is missing", 'add height = "6 ft" or the like'),
    ("wish", "plant"): ("is missing", 'add plant = "tomato", or a kind as "herb"'),
    ("pin", "cell"): ("is missing", 'add cell = "R3-12"'),
    ("pin", "plant"): ("is missing", 'add plant = "sage"'),
    ("emitter", "name"): ("is missing", 'add name = "0.5 gph", or what it is called'),
    ("emitter", "flow"): ("is missing", 'add flow = "0.5 gal/h", or what it gives'),
    ("emitter", "pressure"): ("is missing", 'add pressure = "10 psi", at which it gives that'),
    ("emitter", "highest"): ("is missing", 'add highest = "50 psi", up to which it may be used'),
    ("tubing", "name"): ("is missing", 'add name = "1/2 in", or what it is called'),
    ("tubing", "use"): ("is missing", 'add use = "line", or "small" for tubes to stakes'),
    ("tubing", "bore"): ("is missing", 'add bore = "0.52 in": measure it inside'),
    ("tubing", "price"): ("is missing", "add price = 0.60, of one metre"),
    ("choice", "name"): ("is missing", 'add name = "cell", or what is to be chosen'),
    ("choice", "options"): ("is missing", 'add options = [{name = "as drawn"}, ...]'),
}
_OPTIONS = 'write [{name = "as drawn"}, {name = "low", "cell.depth" = "6 in"}] or the like'
_PLACE = 'write two lengths, as in ["12 ft", "20 ft"]'
_LISTS: dict[Keys, tuple[str, str]] = {
    ("holding", "bars"): ("bars", 'write a list, as in ["#4", "#5"]'),
    ("mix", "parts"): ("parts", 'write a list, as in [["topsoil", "70 %"], ["compost", "30 %"]]'),
    ("mix", "rows"): ("rows", "write a list of whole numbers, as in [1, 2]"),
    ("carry", "ways"): ("ways", 'write a list, as in ["bucket brigade"]'),
    ("fill", "part_full"): ("cells", 'write a list of rows, as in [["12 ft", "8 ft", "50 %"]]'),
    ("crew", "days"): ("days", 'write a list, as in ["Sat", "Sun"]'),
    ("crew", "off"): ("days", 'write a list, as in ["2026-07-04"]'),
    ("crew", "daylight"): ("times", 'write two times of day, as in ["06:30", "17:45"]'),
    ("person", "may"): ("kinds of work", 'write a list, as in ["light", "plant"]'),
    ("person", "days"): ("days", 'write a list, as in ["Sat", "Sun"]'),
    ("person", "away"): ("days", 'write a list, as in ["2026-07-04"]'),
    ("planting", "plants"): ("names", 'write a list of names, as in ["sage", "thyme"]'),
    ("planting", "avoid"): ("names", 'write a list of names, as in ["sage", "thyme"]'),
    ("planting", "walk"): ("cells", 'write a list of cells, as in ["R3-5", "R3-6"]'),
    ("planting", "open"): ("cells", 'write a list of cells, as in ["R3-5", "R3-6"]'),
    ("planting", "horizon"): ("bearings and heights", 'write [["90 deg", "5 deg"]] or the like'),
    ("climate", "reference"): ("depths", 'write twelve, as in ["1.5 in", ...], January first'),
    ("climate", "rain"): ("depths", 'write twelve, as in ["1.5 in", ...], January first'),
    ("watering", "windows"): ("windows", 'write a list, as in [["04:00", "09:00"]]'),
    ("watering", "weekdays"): ("days", 'write a list, as in ["Mon", "Wed", "Fri"]'),
    ("choice", "options"): ("options", _OPTIONS),
    ("rain", "depths"): ("rains", 'write a list of rows, as in [["10 years", "24 h", "4.2 in"]]'),
}
_RAIN = 'write return period, duration and depth, as in ["10 years", "24 h", "4.2 in"]'
_PART = 'write component and share, as in ["compost", "30 %"]'
_PART_FULL = 'write a place and a share, as in ["12 ft", "8 ft", "50 %"]'
# sections that may be there several times
SEVERAL = (
    *("exclusion", "mix", "person", "measured", "shade", "wish", "pin"),
    *("emitter", "tubing", "choice"),
)
_PLACES = 'write a list of places, as in [["0 ft", "0 ft"], ["12 ft", "0 ft"]]'


def named(keys: Keys) -> str:
    """Write a key's path for people, list items counted from 1: "exclusion[2].radius"."""
    text = ""
    for key in keys:
        if isinstance(key, int):
            text += f"[{key + 1}]"
        else:
            bare = re.fullmatch(r"[A-Za-z0-9_-]+", key)
            text += ("." if text else "") + (key if bare else json.dumps(key, ensure_ascii=False))
    return text


def sections() -> dict[str, type[BaseModel]]:
    """Every section of a job by name; one that may be there several times gives one of its own."""
    found = {}
    for name, field in Job.model_fields.items():
        for kind in (field.annotation, *get_args(field.annotation)):
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                found[name] = kind
    return found


class Explainer:
    """Turns what the model found wrong into problems that name file, line and key."""

    def __init__(self, file: str, lines: Lines, system: System) -> None:
        self.file, self.lines, self.system = file, lines, system

    def where(self, keys: Keys) -> str:
        """Name a place in the file: "hill.toml line 12: cell.width"."""
        line = self.lines.line(keys)
        place = self.file if line is None else f"{self.file} line {line}"
        return f"{place}: {named(keys)}" if keys else place

    def problems(self, error: Mapping[str, Any]) -> Iterator[tuple[int, Problem]]:
        """Explain one error of the model, each problem with its line for sorting."""
        keys: Keys = tuple(error["loc"])
        cause = (error.get("ctx") or {}).get("error")
        if isinstance(cause, Conflicts):
            for conflict in cause.found:
                at = (*keys, *conflict.key)
                yield (
                    self.lines.line(at) or 0,
                    Problem(self.where(at), conflict.what, conflict.right),
                )
            return
        if error["type"] == "missing" and isinstance(keys[-1], int):
            keys = keys[:-1]  # half a place: show the whole of it
        while isinstance(keys[-1], int) and self.lines.find(keys) is None:
            keys = keys[:-1]  # one value where a list could stand
        what, right = self._say(error, keys, cause)
        place = self.file if what.startswith("the section") else self.where(keys)
        yield self.lines.line(keys) or 0, Problem(place, what, right)

    def _written(self, keys: Keys, value: object) -> str:
        """Give a value as it stands in the file."""
        if (found := self.lines.find(keys)) and found.text:
            return found.text
        return "a table" if isinstance(value, dict) else "a list of tables"

    def _say(self, error: Mapping[str, Any], keys: Keys, cause: object) -> tuple[str, str]:
        kind, value, known = error["type"], error.get("input"), error.get("ctx") or {}
        written = self._written(keys, value)
        if kind == "missing":
            if isinstance(error["loc"][-1], int):
                return _not_an_item(keys, written)
            plain = tuple(k for k in keys if isinstance(k, str))
            return _TO_ADD.get(plain, ("is missing", f"add {plain[-1]}"))
        if kind == "extra_forbidden":
            return _unknown(keys, table=written.startswith("a table"))
        if isinstance(cause, UpsideDown):
            return f"{written} is upside down", "write the lowest value first, the highest last"
        if isinstance(cause, OutsideLimits):
            return f"{written} makes no sense here", f"write from {cause.limits(self.system)}"
        if isinstance(cause, UnitError):
            return _as_written(cause.what, value, written), cause.right
        if kind == "literal_error":
            return _not_among(value, written, tuple(re.findall(r"'([^']*)'", known["expected"])))
        if kind in _PLAIN:
            what, right = _PLAIN[kind]
            if kind == "string_type" and isinstance(value, int | float):
                right = f'put it in quotes: "{written}"'
            return what.format(written=written, **known), right.format(written=written, **known)
        return self._shape(kind, keys, value, written)

    def _shape(self, kind: str, keys: Keys, value: object, written: str) -> tuple[str, str]:
        """Explain a table where a value should be, or the other way round."""
        tables = [n for n in Job.model_fields if n in sections()]
        several = str(keys[0]) if keys[0] in SEVERAL else ""
        if keys[0] in tables and len(keys) == 1 + (len(keys) > 1 and isinstance(keys[1], int)):
            if several:
                return f"{written} where tables should be", f"write [[{several}]], keys below it"
            return (
                f"{written} where one table should be",
                f"write [{keys[0]}] and its keys below it",
            )
        if (
            kind == "tuple_type"
            and isinstance(keys[-1], str)
            and (wanted := _LISTS.get(_plain(keys)))
        ):
            return f"{written} is not a list of {wanted[0]}", wanted[1]
        if kind == "tuple_type" and not isinstance(keys[-1], int) and not _single(keys):
            return f"{written} is not a list of places", _PLACES
        if kind in ("tuple_type", "too_long"):
            return _not_an_item(keys, written)
        return f"{written} cannot stand here", "see the manual of the job file for this key"


_PLAIN = {
    "string_type": ("{written} is not text", "put text in quotes"),
    "bool_type": ("{written} is neither true nor false", "write true or false, without quotes"),
    "float_type": ("{written} is not a number", "write a number without quotes, as in 0.15"),
    "int_type": ("{written} is not a whole number", "write a whole number without quotes"),
    "finite_number": ("{written} is not a number to reckon with", "write one such as 0.15"),
    "greater_than_equal": ("{written} is too small", "write {ge:g} or more"),
    "less_than_equal": ("{written} is too large", "write {le:g} or less"),
}


def _plain(keys: Keys) -> Keys:
    """Give a path without the numbers of its items."""
    return tuple(k for k in keys if isinstance(k, str))


def _not_an_item(keys: Keys, written: str) -> tuple[str, str]:
    """Explain what is no item of the list that it stands in."""
    plain = _plain(keys)
    if plain == ("rain", "depths"):
        return f"{written} is not a rain", _RAIN
    if plain == ("crew", "daylight"):
        return f"{written} is not a pair of times", 'write it as in ["06:30", "17:45"]'
    if plain == ("mix", "parts"):
        return f"{written} is not a part of a mix", _PART
    if plain == ("fill", "part_full"):
        return f"{written} is not a cell and how full it is", _PART_FULL
    if plain == ("planting", "horizon"):
        what = f"{written} is not a bearing and a height"
        return what, 'write both, as in ["90 deg", "5 deg"]'
    return f"{written} is not a place", _PLACE


def _single(keys: Keys) -> bool:
    """Tell whether a key takes one place rather than a list of them."""
    field = sections()[str(keys[0])].model_fields.get(str(keys[-1]))
    return field is None or field.default is None


def _as_written(what: str, value: object, written: str) -> str:
    for shown in (repr(value), repr(value.strip()) if isinstance(value, str) else ""):
        if shown and shown in what:
            return what.replace(shown, written, 1)
    return what


def _not_among(value: object, written: str, words: tuple[str, ...]) -> tuple[str, str]:
    choice = joined(tuple(f'"{w}"' for w in words))
    meant = nearest(value, words) if isinstance(value, str) else None
    right = f'did you mean "{meant}"? (it takes {choice})' if meant else f"write {choice}"
    return f"{written} is not known here", right


def _unknown(keys: Keys, table: bool) -> tuple[str, str]:
    """Explain a key that its section does not take, with the nearest that somewhere is taken."""
    key, inside, tables = str(keys[-1]), keys[0] if len(keys) > 1 else "", sections()
    own = tuple((tables[str(inside)] if inside else Job).model_fields)
    what = f'unknown {"section" if table else "key"} "{key}"'
    heads = {n: f"[[{n}]]" if n in SEVERAL else f"[{n}]" for n in tables}
    homes = tuple(heads[n] for n, m in tables.items() if key in m.model_fields)
    if homes:
        return what, f'"{key}" belongs in {joined(homes)}'
    if meant := nearest(key, own):
        return (
            what,
            f"did you mean {heads.get(meant, meant)}?" if table else f'did you mean "{meant}"?',
        )
    elsewhere = {k: heads[n] for n, m in reversed(tables.items()) for k in m.model_fields}
    if meant := nearest(key, tuple(elsewhere)):
        return what, f'did you mean "{meant}" in {elsewhere[meant]}?'
    place = heads[str(inside)] if inside else "a job file"
    return what, f"take it out; {place} takes {joined(own, 'and')}"
