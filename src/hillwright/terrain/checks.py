"""Checks on surveyed points: each says where, what is wrong, and what would be right."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from hillwright.arrays import Array, Index
from hillwright.errors import Problem

_FOOT = 3.28084
_SAME_PLACE = 1e-3  # two points this near in plan stand on one spot [m]
_SAME_HEIGHT = 2e-3  # and agree when their heights are this near [m]
_SMALLEST, _LARGEST = 1.0, 10_000.0  # a hillside across [m]
STEEPEST = np.radians(60)  # ground that a cell can be laid on is never this steep
_NAMED = 12  # cases named one by one


def _at(where: Sequence[str], k: int) -> str:
    return where[k] if len(where) > 1 else where[0]


def _first(problems: list[Problem]) -> list[Problem]:
    """Name a dozen cases and count the rest."""
    if len(problems) <= _NAMED:
        return problems
    last = problems[0]
    more = Problem(last.where, f"and {len(problems) - _NAMED} more like these", last.right)
    return [*problems[:_NAMED], more]


def finite(xyz: Array, where: Sequence[str]) -> list[Problem]:
    """Find points with a coordinate that is not a number."""
    bad = np.flatnonzero(~np.isfinite(xyz).all(axis=1))
    names = ("easting", "northing", "height")
    return _first(
        [
            Problem(
                _at(where, int(k)),
                f"the {names[int(np.flatnonzero(~np.isfinite(xyz[k]))[0])]} is not a number",
                "give the number, or leave the point out",
            )
            for k in bad
        ]
    )


def _groups(xyz: Array) -> Index:
    """(n,) number of the place that each point stands on."""
    if len(xyz) < 2:
        return np.zeros(len(xyz), np.intp)
    rounded = np.round(xyz[:, :2] / _SAME_PLACE).astype(np.int64)
    return np.unique(rounded, axis=0, return_inverse=True)[1].reshape(-1)


def duplicates(xyz: Array, where: Sequence[str]) -> list[Problem]:
    """Find pairs of points on one place at different heights."""
    group = _groups(xyz)
    order = np.lexsort((xyz[:, 2], group))
    a, b = order[:-1], order[1:]
    bad = (group[a] == group[b]) & (xyz[b, 2] - xyz[a, 2] > _SAME_HEIGHT)
    return _first(
        [
            Problem(
                f"{_at(where, min(i, j))} and {_at(where, max(i, j))}",
                f"one place with two heights, {abs(xyz[j, 2] - xyz[i, 2]):.3f} m apart",
                "keep the one that is right",
            )
            for i, j in zip(a[bad].tolist(), b[bad].tolist(), strict=True)
        ]
    )


def merged(xyz: Array) -> tuple[Index, Index]:
    """Which points to keep, one for each place, and (n,) where each point went among those."""
    group = _groups(xyz)
    _, first, back = np.unique(group, return_index=True, return_inverse=True)
    order = np.sort(first)
    return order, np.searchsorted(order, first[back.reshape(-1)])


def shape(xyz: Array, where: Sequence[str]) -> list[Problem]:
    """Refuse what no surface can be made of: too few points, one line, or no hillside's size."""
    source = where[0] if where else "survey"
    if len(xyz) < 3:
        return [Problem(source, f"{len(xyz)} different points", "survey at least 3 points")]
    off = xyz[:, :2] - xyz[:, :2].mean(axis=0)
    lengths = np.linalg.svd(off, compute_uv=False) / np.sqrt(len(xyz))
    across = float(np.ptp(xyz[:, :2], axis=0).max())
    if lengths[1] < max(1e-3 * lengths[0], 1e-3):
        return [
            Problem(
                source,
                "all points lie in one line",
                "survey to both sides of it as well: one line does not say how the hill falls",
            )
        ]
    if not _SMALLEST <= across <= _LARGEST:
        return [
            Problem(
                source,
                f"the survey is {across:.3g} m across",
                "a hillside is 1 m to 10 km across; give the unit of the file as it is",
            )
        ]
    return []


def spacing(xyz: Array, hull: Array) -> float:
    """Give how far points stand apart, as the side of the square that each has to itself [m]."""
    return float(np.sqrt(shapely.Polygon(hull).area / len(xyz)))


def steep(xyz: Array, where: Sequence[str]) -> list[Problem]:
    """Refuse ground that is on the whole too steep to be ground; feet among metres are named."""
    off = xyz - xyz.mean(axis=0)
    rise = np.linalg.lstsq(off[:, :2], off[:, 2], rcond=None)[0]
    gradient = float(np.hypot(*rise))
    if gradient <= np.tan(STEEPEST):
        return []
    told = f"the ground falls at {np.degrees(np.arctan(gradient)):.0f} deg on the whole"
    if gradient / _FOOT <= np.tan(np.radians(50)):
        other = np.degrees(np.arctan(gradient / _FOOT))
        return [
            Problem(
                where[0],
                told,
                f"with heights 3.28 times smaller it would be {other:.0f} deg: are the heights in "
                "feet and the distances in metres? Give the unit of each",
            )
        ]
    return [
        Problem(
            where[0],
            told,
            "check heights and distances; ground beyond 60 deg is a cliff and takes no cells",
        )
    ]
