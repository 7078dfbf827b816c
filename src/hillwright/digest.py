"""A digest of frozen inputs: two inputs with the same digest are the same to every stage."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from decimal import Decimal
from pathlib import PurePath
from typing import Any

import numpy as np


def digest(*inputs: object) -> str:
    """Give a short digest of frozen values: numbers, text, tuples, arrays, dataclasses, models.

    Parameters
    ----------
    *inputs : object
        Values without live objects.

    Raises
    ------
    TypeError
        A value that has no stable content, such as an open file or a set.
    """
    state = hashlib.blake2b(digest_size=16)
    for each in inputs:
        _feed(state.update, each)
    return state.hexdigest()


def _feed(update: Callable[[bytes], None], value: Any) -> None:
    if value is None or isinstance(value, (bool, int, float, str, bytes, PurePath, Decimal)):
        update(f"{type(value).__name__}:{value!r};".encode())
    elif isinstance(value, np.ndarray):
        update(f"array:{value.dtype.str}:{value.shape};".encode())
        update(np.ascontiguousarray(value).tobytes())
    elif isinstance(value, (tuple, list)):
        update(f"{type(value).__name__}:{len(value)};".encode())
        for each in value:
            _feed(update, each)
    elif isinstance(value, dict):
        update(f"dict:{len(value)};".encode())
        for key, each in value.items():
            _feed(update, key)
            _feed(update, each)
    elif is_dataclass(value) and not isinstance(value, type):
        update(f"{type(value).__qualname__};".encode())
        for one in fields(value):
            _feed(update, getattr(value, one.name))
    elif hasattr(value, "model_dump"):
        # what was left out may be judged otherwise than the same value written down
        _feed(update, [type(value).__qualname__, sorted(value.model_fields_set)])
        _feed(update, {name: getattr(value, name) for name in type(value).model_fields})
    else:
        raise TypeError(f"{type(value).__name__} has no stable content to digest")
