"""The fonts that every sheet carries, and how wide a text comes out in them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import hillwright.data

FOLDER = Path(hillwright.data.__file__).parent / "fonts"


@cache
def _widths(bold: bool) -> tuple[dict[int, float], float]:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    name = "SourceSans3-SemiBold.ttf" if bold else "SourceSans3-Regular.ttf"
    with TTFont(FOLDER / name, lazy=True) as font:
        em = font["head"].unitsPerEm
        advance = font["hmtx"].metrics
        wide = {code: advance[glyph][0] / em for code, glyph in font.getBestCmap().items()}
    return wide, max(wide.values())


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Give the printed width of one line of text, in the unit of its size."""
    wide, widest = _widths(bold)
    return size * sum(wide.get(ord(letter), widest) for letter in text)
