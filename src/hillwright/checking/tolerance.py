"""How far a figure may lie from a published one."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from hillwright import units
from hillwright.checking.written import Written
from hillwright.method import Method, described
from hillwright.units import UnitError

# what arithmetic and unit conversion may lose; "exact" means no more than this
ROUNDING = 1e-12

_RIGHT = 'write "1e-6 m", "0.1 %", "exact" or "as printed"'
_NUMBER = re.compile(r"^[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?$")


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far one figure may lie off."""

    kind: Literal["absolute", "relative", "exact", "as printed"]
    text: str  # as it is told
    size: float = 0.0  # SI, or the share

    @classmethod
    def read(cls, value: object, figure: Written, tag: str) -> Tolerance:
        """Read a tolerance for one figure.

        Parameters
        ----------
        value : object
            "0.1 %" of the figure, "1e-6 m" either way, "exact" (but for rounding), "as printed"
            (half a unit in the last place that the expected figure is written to), or a bare
            number in the unit that the figure is written in.
        figure : Written
            What is expected.
        tag : str
            SI tag of the method's result.

        Raises
        ------
        UnitError
            None of these, below zero, or a unit that does not fit the figure.
        """
        if isinstance(value, int | float) and not isinstance(value, bool):
            value = repr(float(value))
        if not isinstance(value, str):
            raise UnitError(f"{value!r} is not a tolerance", _RIGHT)
        text = value.strip().removeprefix("±").strip()
        if text == "exact":
            return cls("exact", text)
        if text == "as printed":
            return cls("as printed", text)
        if _NUMBER.match(text):
            number, name = float(text), figure.unit
        else:
            try:
                number, name = units.split(text)
            except UnitError as error:
                raise UnitError(error.what, _RIGHT) from None
        if not (number >= 0 and np.isfinite(number)):
            raise UnitError(f"{value!r} is below zero or without limit", _RIGHT)
        if text.endswith("%"):
            return cls("relative", text, number / 100)
        scale = units.scale(name, tag)
        if scale.of_slope:
            raise UnitError(f"{value!r} has no unit", f"write {units.EXAMPLES['angle']}")
        return cls("absolute", f"{number:g} {name}".rstrip(), number * scale.factor)

    @classmethod
    def for_all(
        cls, value: object, method: Method, figures: Mapping[str, Written], *, strict: bool = True
    ) -> dict[str, Tolerance]:
        """Read one tolerance for every figure of a check.

        A figure of another kind than the unit of the tolerance (an angle beside lengths) is held
        to the last place that it is written to.

        Raises
        ------
        UnitError
            Not a tolerance, or its unit fits none of the figures (unless not ``strict``).
        """
        tags = {a.name: a.unit for a in described(method.function).outputs}
        found, misfits = {}, []
        for name, figure in figures.items():
            try:
                found[name] = cls.read(value, figure, tags[name])
            except UnitError as error:
                misfits.append(error)
                found[name] = cls("as printed", "as printed")
        if misfits and len(misfits) == len(figures) and strict:
            raise misfits[0]
        return found

    def allowed(self, figure: Written) -> Any:
        """Give how far each element of the figure may lie off, SI."""
        expected = np.asarray(figure.si, float)
        rounding = ROUNDING * np.maximum(1.0, np.abs(expected))
        room = {
            "exact": np.zeros_like(expected),
            "as printed": np.broadcast_to(figure.half, expected.shape),
            "relative": self.size * np.abs(expected),
            "absolute": np.full_like(expected, self.size),
        }[self.kind]
        return room * (1 + 1e-9) + rounding
