"""Reads files of checks: each a published case with its inputs, expected figures and source.

The form is written out in :data:`FORM`, which ``hillwright verify --form`` prints.
"""

from __future__ import annotations

import inspect
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path
from typing import Any

from hillwright.checking.tolerance import Tolerance
from hillwright.checking.written import Printed, Written, read
from hillwright.errors import CheckError, Problem, did_you_mean
from hillwright.method import Argument, Method, all_methods, described
from hillwright.units import UnitError

FORM = """\
# Values: numbers are pure numbers; "18 in", "38 deg", "50 %", "[[0, 0], [1, 1]] ft" have a unit;
# ground is a formula in x and y (metres), as "-x**2/30 - y**2/80"; words stand in quotes.
# Tolerance: a bare number is in the unit of the expected figure; "as printed" is half a unit in
# the last place written, and holds too for a figure that the tolerance's unit does not fit (an
# angle beside lengths). In place of [check.expected], refused = "words" wants a refusal that
# says so. The only result of a method may be called value, whatever its name.

[[check]]
id = "two-tapes-level-ground"  # your own name for it, once in the file
method = "layout.two_tapes"    # an id that `hillwright methods` lists
source = "exact geometry"      # author, year, work, page
status = "memory"              # verified, memory or common practice
seen = ""                      # where the figure was seen
tolerance = "1e-6 m"           # or "0.1 %", "exact", "as printed", or a table by figure
[check.inputs]                 # by the method's parameter names
a = "[0, 0] m"
b = "[10, 0] m"
from_a = "8 m"
from_b = "7 m"
sigma = "0.01 m"
[check.expected]               # by the method's result names; leave out what you do not check
point = "[5.75, 5.562148865] m"
"""

STATUSES = ("verified", "memory", "common practice")
_TEXTS = ("id", "method", "topic", "source", "status", "seen", "note", "units", "refused")
_KEYS = (*_TEXTS, "tolerance", "inputs", "expected")


@dataclass(frozen=True, slots=True)
class Check:
    """One published case, ready to run: every value in SI."""

    id: str
    file: str
    method: Method
    topic: str
    source: str
    status: str
    seen: str
    note: str
    inputs: Mapping[str, Any]
    expected: Mapping[str, Written]
    tolerances: Mapping[str, Tolerance]
    refused: str  # text that the method's refusal must hold; "" when it must give figures


def shipped_checks() -> tuple[Check, ...]:
    """Read every file of checks that ships with the package.

    Raises
    ------
    CheckError
        Everything that is wrong in any of them.
    """
    folder = resources.files("hillwright.data") / "checks"
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    return read_texts([(f.name, f.read_text(encoding="utf-8")) for f in files])


def checks_in(*paths: Path) -> tuple[tuple[Check, ...], tuple[Problem, ...]]:
    """Read the checks of files that can be read, and what is wrong with the others.

    Raises
    ------
    CheckError
        A file cannot be opened, or no check of any can be read.
    """
    texts = []
    for path in paths:
        try:
            texts.append((path.name, path.read_text(encoding="utf-8-sig")))
        except OSError as error:
            reason = (error.strerror or "cannot be opened").lower()
            raise CheckError(str(path), reason, "give a file of checks (TOML)") from None
        except UnicodeDecodeError:
            raise CheckError(str(path), "is not text in UTF-8", "save it as UTF-8 text") from None
    checks, problems = sort_out(texts)
    if problems and not checks:
        raise CheckError.all(problems)
    return checks, problems


def read_texts(texts: Iterable[tuple[str, str]]) -> tuple[Check, ...]:
    """Read files of checks given as (name, text).

    Raises
    ------
    CheckError
        Everything that is wrong in any of them, in order.
    """
    checks, problems = sort_out(texts)
    if problems:
        raise CheckError.all(problems)
    return checks


def sort_out(
    texts: Iterable[tuple[str, str]],
) -> tuple[tuple[Check, ...], tuple[Problem, ...]]:
    """Give the checks of files given as (name, text), and everything that is wrong, in order."""
    problems: list[Problem] = []
    checks: list[Check] = []
    methods = all_methods()
    for name, text in texts:
        ids: dict[str, int] = {}
        for number, table in enumerate(_tables(name, text, problems), 1):
            one = _One(name, number, table, methods)
            if one.id in ids:
                one.wrong("id", f"is the id of check {ids[one.id]} too", "give it one of its own")
            ids.setdefault(one.id, number)
            found = one.check()
            problems += one.problems
            if found and not one.problems:
                checks.append(found)
    return tuple(checks), tuple(problems)


def _tables(name: str, text: str, problems: list[Problem]) -> list[dict[str, Any]]:
    try:
        whole = tomllib.loads(text, parse_float=Printed)
    except tomllib.TOMLDecodeError as error:
        problems.append(Problem(name, f"is not TOML: {error}", "see `hillwright verify --form`"))
        return []
    for key in whole.keys() - {"check"}:
        right = did_you_mean(key, ["check"], "write [[check]] above each check")
        problems.append(Problem(f"{name}: {key}", "is not known here", right))
    tables = whole.get("check", [])
    if not isinstance(tables, list) or not all(isinstance(t, dict) for t in tables):
        problems.append(Problem(f"{name}: check", "is not a list of tables", "write [[check]]"))
        return []
    if not tables and "check" not in {p.where.split(": ")[-1] for p in problems}:
        problems.append(Problem(name, "holds no check", "write [[check]] above each check"))
    return tables


class _One:
    """One check while it is being read; collects what is wrong with it."""

    def __init__(
        self, file: str, number: int, table: dict[str, Any], methods: Mapping[str, Method]
    ) -> None:
        self.file, self.table, self.methods = file, table, methods
        self.problems: list[Problem] = []
        self.id = str(table.get("id") or f"number {number}")

    def wrong(self, key: str, what: str, right: str) -> None:
        self.problems.append(Problem(f"{self.file}: check {self.id}: {key}", what, right))

    def text(self, key: str) -> str:
        value = self.table.get(key, "")
        if isinstance(value, str):
            return value.strip()
        self.wrong(key, f"{value!r} is not text", 'write it in "quotes"')
        return ""

    def mapping(self, key: str) -> dict[str, Any]:
        value = self.table.get(key, {})
        if isinstance(value, dict):
            return value
        self.wrong(key, "is not a table", f"write [check.{key}] and one name = value a line")
        return {}

    def check(self) -> Check | None:
        for key in self.table.keys() - set(_KEYS):
            right = did_you_mean(key, _KEYS, f"the keys are {', '.join(_KEYS)}")
            self.wrong(key, "is not a key of a check", right)
        text = {key: self.text(key) for key in _TEXTS}
        self._say_what_is_missing(text)
        method = self._method(text["method"])
        inputs, expected = self.mapping("inputs"), self.mapping("expected")
        if bool(expected) == bool(text["refused"]):
            what = "stands beside refused" if expected else "is missing"
            self.wrong("expected", what, 'give [check.expected] or refused = "...", one of them')
        if method is None:
            return None
        given = self._inputs(method, inputs)
        figures = self._expected(method, expected)
        return Check(
            id=text["id"],
            file=self.file,
            method=method,
            topic=text["topic"],
            source=text["source"],
            status=text["status"],
            seen=text["seen"],
            note=text["note"],
            inputs=given,
            expected=figures,
            tolerances=self._tolerances(method, figures, set(expected) - set(figures)),
            refused=text["refused"],
        )

    def _say_what_is_missing(self, text: Mapping[str, str]) -> None:
        if not text["id"] and "id" not in self.table:
            self.wrong("id", "is missing", "give the check a name of its own")
        if not text["source"]:
            right = 'write author, year and work, or "common practice, no source"'
            self.wrong("source", "is missing", right)
        status, choices = text["status"], ", ".join(STATUSES)
        if not status:
            self.wrong("status", "is missing", f"write one of {choices}")
        elif status not in STATUSES:
            right = did_you_mean(status, STATUSES, f"write one of {choices}")
            self.wrong("status", f"{status!r} is not known", right)

    def _method(self, name: str) -> Method | None:
        if name in self.methods:
            return self.methods[name]
        if not name:
            self.wrong("method", "is missing", "`hillwright methods` lists them")
        else:
            right = did_you_mean(name, self.methods, "`hillwright methods` lists them")
            self.wrong("method", f"{name!r} is not a method", right)
        return None

    def _inputs(self, method: Method, table: Mapping[str, Any]) -> dict[str, Any]:
        arguments = {a.name: a for a in described(method.function).inputs}
        parameters = inspect.signature(method.function).parameters
        found = {}
        for name, value in table.items():
            if name not in arguments:
                right = did_you_mean(name, arguments, f"it takes {', '.join(arguments)}")
                self.wrong(f"inputs.{name}", f"is not an input of {method.id}", right)
            elif (written := self._value(f"inputs.{name}", value, arguments[name])) is not None:
                found[name] = written.si
        for name, parameter in parameters.items():
            if parameter.default is inspect.Parameter.empty and name not in table:
                unit = arguments[name].unit if name in arguments else "any"
                self.wrong(f"inputs.{name}", f"is missing: {method.id} needs it", _how(unit))
        return found

    def _expected(self, method: Method, table: Mapping[str, Any]) -> dict[str, Written]:
        outputs = {a.name: a for a in described(method.function).outputs}
        found = {}
        for name, value in table.items():
            alone = next(iter(outputs.values())) if name == "value" and len(outputs) == 1 else None
            output = outputs.get(name) or alone
            if output is None:
                right = did_you_mean(name, outputs, f"it gives {', '.join(outputs)}")
                self.wrong(f"expected.{name}", f"is not a result of {method.id}", right)
                continue
            # what shape a result has is for the comparison to say, not for the reader
            loose = replace(output, shape="bool" if "bool" in output.shape else "")
            if (written := self._value(f"expected.{name}", value, loose)) is not None:
                found[output.name] = written
        return found

    def _value(self, key: str, value: object, argument: Argument) -> Written | None:
        try:
            return read(value, argument)
        except UnitError as error:
            self.wrong(key, error.what, error.right)
            return None

    def _tolerances(
        self, method: Method, figures: Mapping[str, Written], unread: set[str]
    ) -> dict[str, Tolerance]:
        given = self.table.get("tolerance")
        numeric = {n: w for n, w in figures.items() if w.scale is not None}
        if given is None:
            if numeric:
                right = 'write "1e-6 m", "0.1 %", "exact" or "as printed"'
                self.wrong("tolerance", "is missing", right)
            return {}
        try:
            if not isinstance(given, dict):
                return Tolerance.for_all(given, method, numeric, strict=not unread)
        except UnitError as error:
            self.wrong("tolerance", error.what, error.right)
            return {}
        found = {}
        tags = {a.name: a.unit for a in described(method.function).outputs}
        for name in given.keys() - tags.keys() - {"value"}:
            right = did_you_mean(name, tags, f"it gives {', '.join(tags)}")
            self.wrong(f"tolerance.{name}", f"is not a result of {method.id}", right)
        for name, written in numeric.items():
            text = given.get(name, given.get("value") if len(tags) == 1 else None)
            if text is None:
                self.wrong(f"tolerance.{name}", "is missing", "give every expected figure its own")
                continue
            try:
                found[name] = Tolerance.read(text, written, tags[name])
            except UnitError as error:
                self.wrong(f"tolerance.{name}", error.what, error.right)
        return found


def _how(unit: str) -> str:
    from hillwright import units

    ways = {"text": 'write text in "quotes"', "surface": "write a formula in x and y"}
    return ways.get(unit, f"write {units.example(unit)}" if unit != "any" else "write a value")
