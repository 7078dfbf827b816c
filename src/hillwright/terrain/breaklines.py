"""Breaklines as segments that meet only at points: cut where they cross, or refused."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import Problem, SurveyError

_ON = 1e-3  # a spot this near a breakline lies on it [m]
_LEAST = 0.02  # heights nearer than this agree, however small their standard errors [m]


def segments_of(breaklines: Sequence[Sequence[int]]) -> Index:
    """(s, 2) pairs of points that breaklines join, each pair once."""
    pairs = {(min(a, b), max(a, b)) for line in breaklines for a, b in pairwise(line) if a != b}
    return np.array(sorted(pairs), dtype=np.intp).reshape(-1, 2)


def cut_segments(
    xyz: Array, breaklines: Sequence[Sequence[int]], sigma: Array, where: Sequence[str]
) -> tuple[Array, Index]:
    """Cut breaklines at the spots that they pass over and where they cross each other.

    Parameters
    ----------
    xyz : (n, 3) array
        Survey points [m].
    breaklines : sequence of sequences of int
        Points along each line.
    sigma : (n,) array
        Standard error of each height [m].
    where : sequence of str
        Where each point was written down.

    Returns
    -------
    xyz : (n + c, 3) array
        The points and the crossings [m].
    segments : (s, 2) array
        Pairs of points; no two segments share more than an end.

    Raises
    ------
    SurveyError
        A breakline passes over a spot, or two cross, at different heights; names every case.
    """
    segments = segments_of(breaklines)
    if not len(segments):
        return xyz, segments
    cuts: list[list[tuple[float, int]]] = [[(0.0, int(a)), (1.0, int(b))] for a, b in segments]
    problems = _over_spots(xyz, segments, sigma, where, cuts)
    crossings, more = _crossings(xyz, segments, sigma, where, cuts)
    if problems + more:
        raise SurveyError.all(problems + more)
    pieces = segments_of([[k for _, k in sorted(cut)] for cut in cuts])
    return np.concatenate([xyz, crossings]), pieces


def _allowed(*sigmas: float) -> float:
    return max(_LEAST, 3 * float(np.hypot.reduce(sigmas)))


def _over_spots(
    xyz: Array,
    segments: Index,
    sigma: Array,
    where: Sequence[str],
    cuts: list[list[tuple[float, int]]],
) -> list[Problem]:
    problems = []
    for k, (a, b) in enumerate(segments):
        along = xyz[b, :2] - xyz[a, :2]
        length = float(np.hypot(*along))
        away = xyz[:, :2] - xyz[a, :2]
        t = away @ along / length**2
        off = np.abs(away @ np.array([-along[1], along[0]])) / length
        near = (off < _ON) & (t * length > _ON) & ((1 - t) * length > _ON)
        for p in np.flatnonzero(near).tolist():
            line = xyz[a, 2] + t[p] * (xyz[b, 2] - xyz[a, 2])
            if abs(line - xyz[p, 2]) > _allowed(sigma[a], sigma[b], sigma[p]):
                problems.append(
                    Problem(
                        f"{where[p]}",
                        f"the breakline from {where[a]} to {where[b]} passes over this spot, "
                        f"{line - xyz[p, 2]:+.2f} m off its height",
                        "make the spot a point of the breakline, or correct one of them",
                    )
                )
            cuts[k].append((float(t[p]), p))
    return problems


def _crossings(
    xyz: Array,
    segments: Index,
    sigma: Array,
    where: Sequence[str],
    cuts: list[list[tuple[float, int]]],
) -> tuple[Array, list[Problem]]:
    start, along = xyz[segments[:, 0]], xyz[segments[:, 1]] - xyz[segments[:, 0]]
    length = np.hypot(along[:, 0], along[:, 1])
    problems: list[Problem] = []
    found: list[Array] = []
    for i in range(len(segments) - 1):
        rest = slice(i + 1, None)
        d, e = along[i], along[rest]
        gap = start[rest] - start[i]
        cross = d[0] * e[:, 1] - d[1] * e[:, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (gap[:, 0] * e[:, 1] - gap[:, 1] * e[:, 0]) / cross
            u = (gap[:, 0] * d[1] - gap[:, 1] * d[0]) / cross
            inside = (np.minimum(t, 1 - t) * length[i] > _ON) & (
                np.minimum(u, 1 - u) * length[rest] > _ON
            )
        for j in np.flatnonzero(inside):
            first = start[i] + t[j] * d
            second = start[i + 1 + j] + u[j] * e[j]
            ends = [*segments[i], *segments[i + 1 + j]]
            if abs(first[2] - second[2]) > _allowed(*(float(sigma[k]) for k in ends)):
                names = [where[k] for k in ends]
                problems.append(
                    Problem(
                        f"{names[0]} to {names[1]}",
                        f"this breakline crosses the one from {names[2]} to {names[3]} "
                        f"{abs(first[2] - second[2]):.2f} m apart in height",
                        "put a point of both lines where they cross, or correct one of them",
                    )
                )
            index = len(xyz) + len(found)
            found.append((first + second) / 2)
            cuts[i].append((float(t[j]), index))
            cuts[i + 1 + int(j)].append((float(u[j]), index))
    return np.array(found).reshape(-1, 3), problems
