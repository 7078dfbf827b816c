"""Arrays on their way to the page: "HWA1", the length of a JSON header, the header, plain arrays.

The header is ``{"arrays": [{name, dtype, shape, offset, unit}], "meta": {...}}``; dtypes are "f4",
"f8", "i4", "u4" and "u1", little-endian; offsets count from the first multiple of 8 behind the
header, and each array starts at a multiple of 8, so that a browser reads it where it lies.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

MAGIC = b"HWA1"
MEDIA = "application/vnd.hillwright.arrays"
JSON = "application/json"
_TYPES = {"f4": "<f4", "f8": "<f8", "i4": "<i4", "u4": "<u4", "u1": "u1"}


class Made(NamedTuple):
    """A part as it is sent: its media type and its bytes."""

    media: str
    body: bytes


class Column(NamedTuple):
    """An array, the type that it is sent as, and its SI unit."""

    dtype: str
    values: Any
    unit: str = "-"


def pack(arrays: Mapping[str, Column], meta: Mapping[str, Any] | None = None) -> Made:
    """Pack arrays and what goes with them; the same values give the same bytes."""
    heads: list[dict[str, Any]] = []
    bodies: list[bytes] = []
    at = 0
    for name, (dtype, values, unit) in arrays.items():
        array = np.ascontiguousarray(values, dtype=_TYPES[dtype])
        body = array.tobytes()
        body += b"\0" * (-len(body) % 8)
        heads.append(
            {"name": name, "dtype": dtype, "shape": array.shape, "offset": at, "unit": unit}
        )
        bodies.append(body)
        at += len(body)
    header = written({"arrays": heads, "meta": meta or {}})
    head = MAGIC + struct.pack("<I", len(header)) + header
    return Made(MEDIA, head + b"\0" * (-len(head) % 8) + b"".join(bodies))


def unpack(body: bytes) -> tuple[dict[str, Any], dict[str, Any]]:
    """Give the arrays by name, and the meta, of packed bytes.

    Raises
    ------
    ValueError
        The bytes are something else.
    """
    if body[:4] != MAGIC:
        raise ValueError("not packed arrays")
    (length,) = struct.unpack("<I", body[4:8])
    header = json.loads(body[8 : 8 + length])
    start = 8 + length + (-(8 + length) % 8)
    found = {}
    for each in header["arrays"]:
        count = math.prod(each["shape"])
        flat = np.frombuffer(body, _TYPES[each["dtype"]], count, start + each["offset"])
        found[each["name"]] = flat.reshape(each["shape"])
    return found, header["meta"]


def as_json(value: Any) -> Made:
    """Give a part that is small enough for JSON; what is unknown or without limit is null."""
    return Made(JSON, written(value))


def written(value: Any) -> bytes:
    """Write JSON in UTF-8."""
    return json.dumps(plain(value), ensure_ascii=False, separators=(",", ":")).encode()


def plain(value: Any) -> Any:
    """Give a value as JSON can hold it."""
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, np.ndarray | np.generic):
        return plain(value.tolist())
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(v) for v in value]
    if hasattr(value, "_asdict"):
        return plain(value._asdict())
    raise TypeError(f"{type(value).__name__} cannot be sent")
