"""What the stability room gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["clear", "with measures", "stop"]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why somebody else must be asked before anything is built or ordered."""

    condition: str
    verdict: Verdict
    who: str
    source: str
