"""The fonts that every sheet carries, and how wide a text comes out in them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path
from threading import Lock
from typing import Any

import hillwright.data

FOLDER = Path(hillwright.data.__file__).parent / "fonts"
_FILES = {False: "SourceSans3-Regular.ttf", True: "SourceSans3-SemiBold.ttf"}


@cache
def _widths(bold: bool) -> tuple[dict[int, float], float]:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(FOLDER / _FILES[bold], lazy=True) as font:
        em = font["head"].unitsPerEm
        advance = font["hmtx"].metrics
        wide = {code: advance[glyph][0] / em for code, glyph in font.getBestCmap().items()}
    return wide, max(wide.values())


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Give the printed width of one line of text, in the unit of its size."""
    wide, widest = _widths(bold)
    return size * sum(wide.get(ord(letter), widest) for letter in text)


@lru_cache(maxsize=100_000)
def set_width(text: str, bold: bool = False) -> float:
    """Give the width of one line as it is set, pairs of letters drawn together, in its size.

    It is never less than what is printed; a letter that the font lacks counts as its widest.
    """
    wide, widest = _widths(bold)
    kerning = _kerning(bold)
    total = sum(wide.get(ord(letter), widest) for letter in text)
    return total + sum(kerning(a, b) for a, b in pairwise(text))


@lru_cache(maxsize=100_000)
def has_letters(text: str) -> bool:
    """Say whether the font has all letters of a text; another font is of another height."""
    wide, _ = _widths(False)
    return all(ord(letter) in wide for letter in text)


@cache
def cap_height() -> float:
    """Give the height of a line of text as it is set: that of its capitals, in its size."""
    from fontTools.ttLib import TTFont

    with TTFont(FOLDER / _FILES[False], lazy=True) as font:
        return float(font["OS/2"].sCapHeight / font["head"].unitsPerEm)


@cache
def _kerning(bold: bool) -> Callable[[str, str], float]:
    """Give how much nearer or farther two letters are set than their widths say."""
    from fontTools.ttLib import TTFont

    with TTFont(FOLDER / _FILES[bold], lazy=True) as font:
        em, names, table = font["head"].unitsPerEm, font.getBestCmap(), font["GPOS"].table
    used = {
        k
        for feature in table.FeatureList.FeatureRecord
        if feature.FeatureTag == "kern"
        for k in feature.Feature.LookupListIndex
    }
    parts = [
        part.ExtSubTable if part.LookupType == 9 else part
        for k in sorted(used)
        for part in table.LookupList.Lookup[k].SubTable
    ]
    covered = [(part, {name: i for i, name in enumerate(part.Coverage.glyphs)}) for part in parts]

    reading = Lock()  # the library reads a part of a table at its first use

    @cache
    def kerning(one: str, other: str) -> float:
        first, second = names.get(ord(one)), names.get(ord(other))
        with reading:
            for part, cover in covered:
                if first not in cover:
                    continue
                if (found := _pair(part, cover[first], first, second)) is not None:
                    return float(found / em)
        return 0.0

    return kerning


def _pair(part: Any, index: int, first: str, second: str) -> float | None:
    """Look a pair up in a part of the font's table of pairs (OpenType: GPOS, lookup type 2)."""
    if part.Format == 1:
        for record in part.PairSet[index].PairValueRecord:
            if record.SecondGlyph == second:
                return float(getattr(record.Value1, "XAdvance", 0))
        return None
    one, other = part.ClassDef1.classDefs.get(first, 0), part.ClassDef2.classDefs.get(second, 0)
    value = part.Class1Record[one].Class2Record[other].Value1
    return float(getattr(value, "XAdvance", 0))
