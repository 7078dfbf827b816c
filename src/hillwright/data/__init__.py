"""Lookup tables and published checks that ship with the package, each row with its source."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any


@cache
def table(name: str) -> dict[str, Any]:
    """Read ``data/<name>.toml`` whole, once."""
    text = (resources.files("hillwright.data") / f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
