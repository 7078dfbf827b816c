"""What the parts of the document are made of: values with a unit, arrays with named axes.

A key ends in its SI unit (``depth_m``, ``area_m2``, ``slope_rad``); one without such an end is a
pure number, a count or words. The same unit stands in the schema, beside what the value is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import PurePath
from typing import Any, TypeVar

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

SUFFIX = {
    "m": "_m",
    "m2": "_m2",
    "m3": "_m3",
    "m3/s": "_m3_s",
    "m/s": "_m_s",
    "1/m": "_per_m",
    "kg": "_kg",
    "kg/m3": "_kg_m3",
    "N": "_n",
    "Pa": "_pa",
    "rad": "_rad",
    "s": "_s",
    "J/m2": "_j_m2",
    "-": "",
}
DIGITS = 7  # of an array's numbers: a tenth of a millimetre in a kilometre
FINE = 10  # of single figures

Vector = list[float | None]
Matrix = list[list[float | None]]
Cube = list[list[list[float | None]]]


class Part(BaseModel):
    """A part of the document; it holds nothing that its schema does not name."""

    model_config = ConfigDict(frozen=True, extra="forbid")


P = TypeVar("P", bound=Part)


def si(unit: str, about: str, **more: Any) -> Any:
    """Declare a number with its SI unit; "-" is a pure number or a count."""
    SUFFIX[unit]  # an unknown unit is a fault of the program, found at import
    return Field(description=about, json_schema_extra={"unit": unit}, **more)


def axes(unit: str, names: str, about: str, **more: Any) -> Any:
    """Declare an array with its SI unit and the names of its axes, outermost first."""
    SUFFIX[unit]
    extra: dict[str, Any] = {"unit": unit, "axes": names.split()}
    return Field(description=about, json_schema_extra=extra, **more)


def text(about: str, **more: Any) -> Any:
    """Declare words, a choice or a part."""
    return Field(description=about, **more)


def significant(values: Any, digits: int = DIGITS) -> Any:
    """Round numbers to so many significant digits; what is none stays none."""
    array = np.asarray(values, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        power = digits - 1 - np.floor(np.log10(np.abs(array)))
        scale = 10.0 ** np.clip(np.where(np.isfinite(power), power, 0.0), -300, 22)
        return np.where(np.isfinite(array), np.round(array * scale) / scale, np.nan)


def plain(value: Any) -> Any:
    """Give a value as JSON holds it, rounded; a number that is none or endless becomes null."""
    if isinstance(value, np.ndarray):
        if value.dtype.kind != "f":
            return value.tolist()
        rounded = significant(value)
        if np.isnan(rounded).any():
            rounded = rounded.astype(object)
            rounded[np.isnan(rounded.astype(float))] = None
        return rounded.tolist()
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not isinstance(value, bool):
        return float(f"{value:.{FINE}g}") if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if isinstance(value, PurePath):
        return value.name
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    return value


def read(kind: type[P], source: object, **given: Any) -> P:
    """Make a part from the attributes of a room's result that have its keys' names.

    Parameters
    ----------
    kind : type
        The part; the end of a key that is its unit is not in the attribute's name.
    source : object
        Where the attributes are.
    **given : Any
        Values of keys that have another name there, or are worked out.
    """
    found = {key: plain(value) for key, value in given.items()}
    for key, info in kind.model_fields.items():
        if key not in found:
            extra = info.json_schema_extra
            unit = extra.get("unit", "-") if isinstance(extra, dict) else "-"
            found[key] = plain(getattr(source, key.removesuffix(SUFFIX[str(unit)])))
    return kind(**found)
