"""Values as people write them in a check, turned into what a method takes: SI, floats, arrays."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from hillwright import units
from hillwright.checking.expression import Formula
from hillwright.errors import HillwrightError
from hillwright.method import Argument
from hillwright.units import Scale, UnitError

_LIST = re.compile(r"^\s*(\[.*\])\s*([^\[\]]*)$", re.DOTALL)
_LIST_NUMBER = re.compile(r"[-+]?(?:(?:\d[\d_]*\.?\d*|\.\d+)(?:[eE][-+]?\d+)?|(?:nan|inf)\b)")
_PLAIN = re.compile(r"^\s*[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?\s*$")
_SEVERAL = re.compile(r"^(sequence|tuple|list|iterable)\b", re.IGNORECASE)
_SHAPE = re.compile(r"^\(([^()]*)\)[^()]*$")


class Printed(float):
    """A number that remembers how it was written, for `tomllib`'s ``parse_float``."""

    text: str

    def __new__(cls, text: str) -> Printed:
        """Read the text as a float and keep it."""
        number = super().__new__(cls, text)
        number.text = text
        return number


@dataclass(frozen=True, slots=True)
class Written:
    """One value of a check."""

    si: Any  # what the method takes, or would give
    scale: Scale | None = None  # None for words, yes or no, and surfaces
    half: Any = 0.0  # half a unit in the last place that was written, SI

    @property
    def unit(self) -> str:
        """Name of the unit it was written in; "" for a pure number or words."""
        return self.scale.unit if self.scale else ""


def read(value: object, argument: Argument) -> Written:
    """Read a value written for one parameter or result of a method.

    Parameters
    ----------
    value : object
        A number, text, yes or no, or a list of them, as TOML gives it.
    argument : Argument
        What the method's docstring says of the parameter or result.

    Raises
    ------
    UnitError
        No unit, a unit of another kind, or numbers that do not go with the parameter.
    """
    if argument.unit == "text":
        return Written(_words(value))
    if argument.unit == "surface":
        return Written(_surface(value))
    if _SEVERAL.match(argument.shape) and isinstance(value, list | str):
        each = [read(v, Argument(argument.name, "", argument.unit, "")) for v in _parts(value)]
        return Written(tuple(e.si for e in each), each[0].scale if each else None)
    if argument.unit == "rad" and isinstance(value, str) and ":" in value:
        return Written(units.slope(value), units.scale("rad", "rad"))
    numbers, halves, scale = _numbers(value, argument.unit)
    if numbers.dtype == bool or re.search(r"\bbool", argument.shape):
        return Written(_yes_or_no(numbers, argument))
    with np.errstate(invalid="ignore"):  # a case may hold what is no number, to see it refused
        half = np.abs(scale.si(numbers + halves) - scale.si(numbers - halves)) / 2
    return Written(_fit(scale.si(numbers), argument), scale, half)


def _parts(value: list[Any] | str) -> list[Any]:
    """Give the items of a list, each with the unit that stands behind the whole."""
    if isinstance(value, list):
        return value
    match = _LIST.match(value)
    nested = _literal(match[1], value) if match else None
    if match is None or not isinstance(nested, list):
        return [value]
    return [f"{item} {match[2]}".replace("'", "") for item in nested]


def _words(value: object) -> Any:
    if isinstance(value, str):
        return value
    if isinstance(value, list):
        return tuple(_words(v) for v in value)
    raise UnitError(f"{value!r} is not text", 'write it in "quotes"')


def _surface(value: object) -> Formula:
    right = 'write a formula in x and y (metres), as in "-x**2/30 - y**2/80"'
    if not isinstance(value, str):
        raise UnitError(f"{value!r} is not a surface", right)
    try:
        return Formula(value)
    except HillwrightError as error:
        problem = error.problems[0]
        raise UnitError(f"{problem.where}: {problem.what}", problem.right) from None


def _yes_or_no(numbers: Any, argument: Argument) -> Any:
    if numbers.dtype != bool:
        raise UnitError(f"{numbers.tolist()} is not yes or no", "write true or false")
    if "bool" not in argument.shape:
        raise UnitError(
            "true or false does not belong here", f"write {units.example(argument.unit)}"
        )
    return bool(numbers) if numbers.ndim == 0 else numbers


def _numbers(value: object, tag: str) -> tuple[Any, Any, Scale]:
    """Give numbers and half their last places as arrays of one shape, and their unit."""
    if isinstance(value, str):
        if match := _LIST.match(value):
            nested = _literal(match[1], value)
            return *_arrays(nested, _plain_leaf), units.scale(match[2].strip(), tag)
        if _PLAIN.match(value):
            return *_arrays(value, _plain_leaf), units.scale("", tag)
        number, name = units.split(value)
        half = _half(value) if number else 0.0
        return np.asarray(number), np.asarray(half), units.scale(name, tag)
    if isinstance(value, list) and (first := _first_text(value)) is not None:
        scale = units.scale(units.split(first)[1], tag)

        def leaf(item: object) -> tuple[float, float]:
            if not isinstance(item, str):
                raise UnitError(f"{item!r} has no unit among others that do", "write it behind it")
            number, name = units.split(item)
            return float(scale.back(units.scale(name, tag).si(number))), _half(item)

        return *_arrays(value, leaf), scale
    found = _arrays(value, _plain_leaf)
    if found[0].dtype == bool:
        return *found, Scale("", 1.0)
    try:
        return *found, units.scale("", tag)
    except UnitError as error:
        raise UnitError(f"{_brief(value)} has no unit", error.right) from None


def _literal(text: str, whole: str) -> Any:
    # each number is quoted first, so that it keeps how it was written and only lists remain
    try:
        return ast.literal_eval(_LIST_NUMBER.sub(r"'\g<0>'", text))
    except (SyntaxError, ValueError, MemoryError, RecursionError):
        right = 'write it as in "[1, 2, 3] ft" or "[[0, 0], [1, 1]] m"'
        raise UnitError(f"{_brief(whole)} cannot be read as a list of numbers", right) from None


def _first_text(value: list[Any]) -> str | None:
    for item in value:
        found = _first_text(item) if isinstance(item, list) else item
        if isinstance(found, str):
            return found
    return None


def _half(text: str) -> float:
    number = re.match(r"\s*[-+]?[\d,]*(?:\.(\d*))?(?:[eE]([-+]?\d+))?(?!\s*/|\d|\s+\d)", text)
    if not number or not any(
        c.isdigit() for c in number[0]
    ):  # a fraction, or feet and inches: exact as far as anyone can say
        return 0.0
    return float(0.5 * 10.0 ** (int(number[2] or 0) - len(number[1] or "")))


def _plain_leaf(item: object) -> tuple[float | bool, float]:
    if isinstance(item, bool):
        return item, 0.0
    if isinstance(item, str):
        return float(item.replace("_", "")), _half(item)
    if isinstance(item, Printed):
        return float(item), _half(item.text)
    if isinstance(item, int | float):
        return float(item), _half(repr(item))
    raise UnitError(f"{_brief(item)} is not a number", "write a number")


def _arrays(value: object, leaf: Callable[[object], tuple[float | bool, float]]) -> tuple[Any, Any]:
    def part(item: object, which: int) -> Any:
        return [part(i, which) for i in item] if isinstance(item, list) else leaf(item)[which]

    try:
        return np.asarray(part(value, 0)), np.asarray(part(value, 1))
    except UnitError:
        raise
    except ValueError:
        right = "give every row the same length, and numbers only"
        raise UnitError(f"{_brief(value)} is not a regular list of numbers", right) from None


def _fit(si: Any, argument: Argument) -> Any:
    """Give the numbers the type and dimensions that the parameter's docstring says."""
    whole = re.search(r"\b(int|intp|index|indices)\b", argument.shape, re.IGNORECASE)
    array, wanted = np.asarray(si, float), _SHAPE.match(argument.shape)
    if wanted and "..." not in wanted[1]:
        sizes = [s.strip() for s in wanted[1].split(",") if s.strip()]
        if array.ndim < len(sizes):
            array = array.reshape((1,) * (len(sizes) - array.ndim) + array.shape)
        fixed = zip(sizes, array.shape, strict=False)
        if array.ndim > len(sizes) or any(s.isdigit() and int(s) != n for s, n in fixed):
            raise UnitError(
                f"it has the shape {np.shape(si)}", f"give it the shape {argument.shape}"
            )
    if whole:
        if not np.array_equal(array, np.round(array)):
            raise UnitError(f"{_brief(array.tolist())} is not whole", "write a whole number")
        return int(array) if array.ndim == 0 else array.astype(np.intp)
    return float(array) if array.ndim == 0 else array


def _brief(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else f"{text[:37]}..."
