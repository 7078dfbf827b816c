"""A surface written as a formula in x and y, with exact derivatives.

The text is read with Python's own parser and only what is listed here is worked out, so a file
of checks from anybody can be run: no name, call or attribute outside the list is ever looked up.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import HillwrightError, did_you_mean

_STEP = 1e-30  # imaginary: far below rounding, since nothing is subtracted
_LONGEST = 600  # characters
_DEEPEST = 80  # brackets or signs within each other


class FormulaError(HillwrightError):
    """A formula is not one that can be worked out."""


def _absolute(v: Any) -> Any:
    return np.where(np.real(v) < 0, -v, v)


def _root_of_squares(a: Any, b: Any) -> Any:
    return np.sqrt(a * a + b * b)


def _angle_of(y: Any, x: Any) -> Any:
    if not (np.iscomplexobj(y) or np.iscomplexobj(x)):
        return np.arctan2(y, x)
    turn = (np.real(x) * np.imag(y) - np.real(y) * np.imag(x)) / (np.real(x) ** 2 + np.real(y) ** 2)
    return np.arctan2(np.real(y), np.real(x)) + 1j * turn


def _least(a: Any, b: Any) -> Any:
    return np.where(np.real(a) <= np.real(b), a, b)


def _most(a: Any, b: Any) -> Any:
    return np.where(np.real(a) >= np.real(b), a, b)


NAMES: dict[str, float] = {"pi": np.pi, "e": np.e}
CALLS: dict[str, tuple[int, Callable[..., Any]]] = {
    "sqrt": (1, np.sqrt),
    "sin": (1, np.sin),
    "cos": (1, np.cos),
    "tan": (1, np.tan),
    "asin": (1, np.arcsin),
    "acos": (1, np.arccos),
    "atan": (1, np.arctan),
    "atan2": (2, _angle_of),
    "sinh": (1, np.sinh),
    "cosh": (1, np.cosh),
    "tanh": (1, np.tanh),
    "exp": (1, np.exp),
    "log": (1, np.log),
    "abs": (1, _absolute),
    "hypot": (2, _root_of_squares),
    "min": (2, _least),
    "max": (2, _most),
}
_OPERATORS: dict[type[ast.AST], Callable[..., Any]] = {
    ast.Add: np.add,
    ast.Sub: np.subtract,
    ast.Mult: np.multiply,
    ast.Div: np.true_divide,
    ast.Pow: np.power,
    ast.USub: np.negative,
    ast.UAdd: np.positive,
}


@dataclass(frozen=True, slots=True)
class Formula:
    """A surface z(x, y) from a formula such as ``"-x**2/30 - y**2/80"``; a terrain Ground.

    Raises
    ------
    FormulaError
        Not a formula, or one with a name or call that is not listed here.
    """

    text: str

    def __post_init__(self) -> None:
        parsed(self.text)

    def at(self, x: Array, y: Array) -> tuple[Array, Array, Array]:
        """Give height z [m], dz/dx and dz/dy [-] at plan positions [m], all of one shape.

        All three are not a number where the formula has no real value, as outside a dome.
        The derivatives are the complex step's, exact to rounding (Squire and Trapp 1998, SIAM
        Review 40(1); from memory).
        """
        x, y = (np.asarray(v, float) for v in np.broadcast_arrays(x, y))
        tree = parsed(self.text)
        with np.errstate(all="ignore"):
            z = np.asarray(_work_out(tree, {"x": x, "y": y}), float)
            zx = np.imag(_work_out(tree, {"x": x + _STEP * 1j, "y": y})) / _STEP
            zy = np.imag(_work_out(tree, {"x": x, "y": y + _STEP * 1j})) / _STEP
        real = np.isfinite(z)
        found = (np.where(real, np.broadcast_to(v, x.shape), np.nan) for v in (z, zx, zy))
        height, along_x, along_y = found
        return height, along_x, along_y


@cache
def parsed(text: str) -> ast.expr:
    """Read a formula and check that it holds only what is listed here.

    Raises
    ------
    FormulaError
        Not a formula, or one with a name or call that is not listed here.
    """
    right = 'write a formula in x and y (metres), as in "-x**2/30 - y**2/80"'
    body = re.sub(r"^\s*z\s*=(?!=)", "", text).replace("^", "**").strip()
    if len(body) > _LONGEST:
        raise FormulaError(f"formula {body[:30]!r}...", f"longer than {_LONGEST} signs", right)
    try:
        tree = ast.parse(body, mode="eval").body
        _check(tree, text)
    except (SyntaxError, ValueError, OverflowError, MemoryError, RecursionError):
        raise FormulaError(f"formula {text!r}", "cannot be read", right) from None
    return tree


def _check(node: ast.AST, text: str, depth: int = 0) -> None:
    where = f"formula {text!r}"
    if depth > _DEEPEST:
        raise FormulaError(where, f"nested more than {_DEEPEST} deep", "write it more plainly")
    match node:
        case ast.Constant(value=bool() | complex() | str() | bytes() | None):
            raise FormulaError(where, f"{node.value!r} is not a number", "write plain numbers")
        case ast.Constant(value=value):
            float(value)  # type: ignore[arg-type]  # too large a whole number: no formula
        case ast.Name(id=name):
            known = ["x", "y", *NAMES]
            if name not in known:
                right = did_you_mean(name, [*known, *CALLS], f"use {', '.join(known)}")
                raise FormulaError(where, f"{name!r} is not known", right)
        case ast.UnaryOp(op=op, operand=operand) if type(op) in _OPERATORS:
            _check(operand, text, depth + 1)
        case ast.BinOp(left=left, op=op, right=right_side) if type(op) in _OPERATORS:
            _check(left, text, depth + 1)
            _check(right_side, text, depth + 1)
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]):
            if name not in CALLS:
                right = did_you_mean(name, CALLS, f"use {', '.join(CALLS)}")
                raise FormulaError(where, f"{name}() is not known", right)
            if len(args) != CALLS[name][0]:
                right = f"give it {CALLS[name][0]}"
                raise FormulaError(where, f"{name}() is given {len(args)} numbers", right)
            for arg in args:
                _check(arg, text, depth + 1)
        case _:
            what = f"{ast.unparse(node)!r} is not allowed"
            right = f"use + - * / **, {', '.join(['x', 'y', *NAMES])} and {', '.join(CALLS)}"
            raise FormulaError(where, what, right)


def _work_out(node: ast.AST, places: dict[str, Any]) -> Any:
    match node:
        case ast.Constant(value=value):
            # a numpy number overflows to infinity where Python's would raise
            return np.float64(value)  # type: ignore[arg-type]
        case ast.Name(id=name):
            return places[name] if name in places else np.float64(NAMES[name])
        case ast.UnaryOp(op=op, operand=operand):
            return _OPERATORS[type(op)](_work_out(operand, places))
        case ast.BinOp(left=left, op=op, right=right):
            return _OPERATORS[type(op)](_work_out(left, places), _work_out(right, places))
        case ast.Call(func=ast.Name(id=name), args=args):
            return CALLS[name][1](*(_work_out(arg, places) for arg in args))
        case _:  # pragma: no cover - refused by _check
            raise AssertionError(ast.dump(node))
