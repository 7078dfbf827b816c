"""The coarse scan of a section: circles all over it, and the places worth a polish.

The families are kept apart, since one minimum hides the other: circles through the exact toe,
circles that touch each layer line, circles that touch the base, and free ones.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.stability import polyline
from hillwright.stability.trial import FREE, Rating, Space, place, rate

_SHARES = np.array([0.07, 0.16, 0.28, 0.42, 0.56, 0.7, 0.85, 1.0])
_SLICES = 16
_TOES = 4  # corners of the ground that are tried as a toe
_SEEDS, _FAMILY_SEEDS = 4, 2  # basins that are polished: free ones, and of each other family
_AGAIN = 400  # of the weakest circles that are rated once more by a second method


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """Places where the polish begins; p of them."""

    trials: Array  # (p, 3)
    family: Index  # (p,) FREE or a layer line
    moves: Array  # (p, 3) first steps, 0 where the family fixes the number
    names: tuple[str, ...]

    def nearer(self, share: float) -> Start:
        """Begin with smaller steps."""
        return replace(self, moves=self.moves * share)

    def joined(self, other: Start) -> Start:
        """Begin at the places of both."""
        return Start(
            np.concatenate([self.trials, other.trials]),
            np.concatenate([self.family, other.family]),
            np.concatenate([self.moves, other.moves]),
            self.names + other.names,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Scan:
    """All circles that were tried."""

    trials: Array  # (n, 3)
    family: Index  # (n,)
    factor: Array  # (n,) infinite where the circle is no surface [-]
    spacing: float  # of the feet and heads [m]
    tried: int  # circles that could be


def toes(space: Space) -> Array:
    """Give the x of the sharpest corners at which the ground turns up."""
    ground = space.section.ground
    slope = np.arctan2(np.diff(ground[:, 1]), np.diff(ground[:, 0]))
    turn = np.diff(slope)
    x = ground[1:-1, 0]
    up = np.flatnonzero((turn > np.radians(3)) & (x >= space.left) & (x < space.crest))
    return np.sort(x[up[np.argsort(-turn[up], kind="stable")[:_TOES]]])


def _grid(space: Space, trials: int) -> tuple[Array, Array, float]:
    """Give the x of trial feet and heads and their spacing."""
    n = max(8, round(np.sqrt(trials / len(_SHARES) / 0.6)))
    feet = np.linspace(space.left, max(space.crest, space.left + 1e-9), n + 1)[:-1]
    heads = np.linspace(space.toe, space.right, n + 1)[1:]
    corners = polyline.sharpest(space.section.ground, 6)
    inner = corners[(corners > space.left) & (corners < space.right)]
    feet = np.unique(np.concatenate([feet, toes(space), inner[inner < space.crest]]))
    heads = np.unique(np.concatenate([heads, inner[inner > space.toe]]))
    return feet, heads, (space.right - space.left) / n


def scan(space: Space, trials: int, rating: Rating) -> Scan:
    """Try circles all over the section.

    Parameters
    ----------
    space : Space
        Where circles may lie.
    trials : int
        About how many to try.
    rating : callable
        By whose factor.
    """
    feet, heads, spacing = _grid(space, trials)
    x1, x2 = (g.ravel() for g in np.meshgrid(feet, heads, indexing="ij"))
    pair = np.column_stack([x1, x2])[x2 - x1 > 0.1 * spacing]
    lines = range(len(space.section.lines))
    free = np.column_stack([np.repeat(pair, len(_SHARES), axis=0), np.tile(_SHARES, len(pair))])
    touch = np.column_stack([pair, np.ones(len(pair))])
    every = np.concatenate([free, *(touch for _ in lines)])
    family = np.repeat(np.array([FREE, *lines]), [len(free), *(len(touch) for _ in lines)]).astype(
        np.intp
    )
    circles, which = place(space, every, family)
    factor = np.full(len(every), np.inf)
    factor[which] = rate(space, circles, rating, _SLICES)
    return Scan(every, family, factor, spacing, len(which))


def again(space: Space, seen: Scan, rating: Rating) -> Scan:
    """Rate the weakest circles of a scan by another method; the rest are passed over."""
    weak = np.argsort(seen.factor, kind="stable")[:_AGAIN]
    weak = weak[np.isfinite(seen.factor[weak])]
    circles, which = place(space, seen.trials[weak], seen.family[weak])
    factor = np.full(len(seen.trials), np.inf)
    factor[weak[which]] = rate(space, circles, rating, _SLICES)
    return replace(seen, factor=factor, tried=len(which))


def starts(space: Space, seen: Scan, *, families: bool = True) -> Start:
    """Pick the weakest places of each family, or of the free circles alone.

    Raises
    ------
    OutOfRange
        No circle of the scan slides.
    """
    every, family, factor, spacing = seen.trials, seen.family, seen.factor, seen.spacing
    at: list[int] = []
    kinds: list[int] = []
    moves: list[tuple[float, float, float]] = []
    names: list[str] = []

    def add(pool: Index, most: int, kind: int, move: tuple[float, float, float], name: str) -> None:
        chosen = _apart(every, factor, pool, most, 1.5 * spacing)
        at.extend(chosen)
        kinds.extend([kind] * len(chosen))
        moves.extend([move] * len(chosen))
        names.extend([name] * len(chosen))

    step = 0.5 * spacing
    free = family == FREE
    add(
        np.flatnonzero(free),
        _SEEDS if families else _FAMILY_SEEDS,
        FREE,
        (step, step, 0.08),
        "free",
    )
    for x in toes(space) if families else ():
        pool = np.flatnonzero(free & (every[:, 0] == x))
        add(pool, _FAMILY_SEEDS, FREE, (0.0, step, 0.08), "toe")
    if families and space.section.base is not None:
        pool = np.flatnonzero(free & (every[:, 2] == 1.0))
        add(pool, _FAMILY_SEEDS, FREE, (step, step, 0.0), "base")
    for i in range(len(space.section.lines) if families else 0):
        pool = np.flatnonzero(family == i)
        add(pool, _FAMILY_SEEDS, i, (step, step, 0.0), f"layer {i + 1}")
    if not at and families:
        raise OutOfRange(
            "surface",
            "no circle of this section slides",
            "give more ground beyond its toe and crest, a lower base, or a shallower crack",
        )
    return Start(every[at], np.array(kinds, np.intp), np.array(moves).reshape(-1, 3), tuple(names))


def _apart(every: Array, factor: Array, pool: Index, most: int, far: float) -> list[int]:
    """Pick the best of a pool that lie apart from each other."""
    order = pool[np.argsort(factor[pool], kind="stable")]
    chosen: list[int] = []
    for i in order[np.isfinite(factor[order])].tolist():
        ends = every[i, :2]
        near = any(
            np.abs(ends - every[j, :2]).max() < far and abs(every[i, 2] - every[j, 2]) < 0.3
            for j in chosen
        )
        if not near:
            chosen.append(i)
        if len(chosen) == most:
            break
    return chosen
