"""The search for the critical circle: a coarse scan of everything, then a polish of each family.

The families are searched apart, since one minimum hides the other: circles through the exact toe,
circles that touch each layer line, circles that touch the base, and free ones. The search is the
same every time: no chance is in it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.stability import polyline
from hillwright.stability.circles import Circles
from hillwright.stability.slices import SLICES
from hillwright.stability.trial import FREE, Rating, Space, place, rate

_SHARES = np.array([0.07, 0.16, 0.28, 0.42, 0.56, 0.7, 0.85, 1.0])
_SCAN_SLICES, _POLISH_SLICES = 16, 24
_TOES = 4  # corners of the ground that are tried as a toe
_SEEDS, _FAMILY_SEEDS = 4, 2  # basins that are polished: free ones, and of each other family
_ROUNDS, _FINEST = 60, 1e-4  # of the polish; its last step over its first


@dataclass(frozen=True, slots=True, eq=False)
class Minimum:
    """The least factor in one family of circles."""

    family: str  # "toe", "base", "layer 1", ..., "free"
    circle: Circles  # one
    factor: float


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """Places where the polish begins; p of them."""

    trials: Array  # (p, 3)
    family: Index  # (p,) FREE or a layer line
    moves: Array  # (p, 3) first steps, 0 where the family fixes the number
    names: tuple[str, ...]


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


def scan(space: Space, trials: int, rating: Rating) -> tuple[Start, int]:
    """Try circles all over the section and pick the best places of each family.

    Parameters
    ----------
    space : Space
        Where circles may lie.
    trials : int
        About how many to try.
    rating : callable
        By whose factor.

    Returns
    -------
    start : Start
        Where to polish.
    tried : int
        Circles that could be, with their factors worked out.
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
    factor[which] = rate(space, circles, rating, _SCAN_SLICES)
    return _pick(space, every, family, factor, spacing), len(which)


def _pick(space: Space, every: Array, family: Index, factor: Array, spacing: float) -> Start:
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
    add(np.flatnonzero(free), _SEEDS, FREE, (step, step, 0.08), "free")
    for x in toes(space):
        pool = np.flatnonzero(free & (every[:, 0] == x))
        add(pool, _FAMILY_SEEDS, FREE, (0.0, step, 0.08), "toe")
    if space.section.base is not None:
        pool = np.flatnonzero(free & (every[:, 2] == 1.0))
        add(pool, _FAMILY_SEEDS, FREE, (step, step, 0.0), "base")
    for i in range(len(space.section.lines)):
        pool = np.flatnonzero(family == i)
        add(pool, _FAMILY_SEEDS, i, (step, step, 0.0), f"layer {i + 1}")
    if not at:
        raise OutOfRange(
            "surface",
            "no circle of this section slides",
            "give more ground beyond its toe and crest, a lower base, or a shallower crack",
        )
    return Start(every[at], np.array(kinds, np.intp), np.array(moves), tuple(names))


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


def polish(
    space: Space, start: Start, rating: Rating, fine: float = 1.0
) -> tuple[Array, Array, int]:
    """Walk downhill from each start over a grid of neighbours that shrinks as it settles.

    Parameters
    ----------
    space : Space
        Where circles may lie.
    start : Start
        p places.
    rating : callable
        Whose factor to make least.
    fine : float
        First steps over those of the start.

    Returns
    -------
    trials : (p, 3) array
        Where each ended.
    factor : (p,) array
        Its factor there.
    tried : int
        Circles worked out.
    """
    low = np.array([space.left, space.left, 0.01])
    high = np.array([space.right, space.right, 1.0])
    best = start.trials.copy()
    steps = start.moves * fine
    first = steps.max(axis=1)
    value = np.full(len(best), np.inf)
    tried = 0
    around = np.array([d for d in product((-1, 0, 1), repeat=3) if any(d)], float)
    alive = np.arange(len(best))
    fixed = [around[~((around != 0) & (m == 0)).any(axis=1)] for m in start.moves]

    def factors(trials: Array, owner: Index) -> Array:
        nonlocal tried
        circles, which = place(space, trials, start.family[owner])
        found = np.full(len(trials), np.inf)
        found[which] = rate(space, circles, rating, _POLISH_SLICES)
        tried += len(which)
        return found

    value[:] = factors(best, alive)
    for _ in range(_ROUNDS):
        owner = np.repeat(alive, [len(fixed[i]) for i in alive])
        moved = np.concatenate([best[i] + fixed[i] * steps[i] for i in alive])
        moved = np.clip(moved, low, high)
        found = factors(moved, owner)
        for i in alive:
            mine = np.flatnonzero(owner == i)
            j = mine[int(np.argmin(found[mine]))]
            if found[j] < value[i] * (1 - 1e-7):
                best[i], value[i] = moved[j], found[j]
            else:
                steps[i] /= 2.5
        alive = np.flatnonzero((steps.max(axis=1) > _FINEST * first) & np.isfinite(value))
        if not alive.size:
            break
    return best, value, tried


def minima(
    space: Space, start: Start, rating: Rating, fine: float = 1.0
) -> tuple[tuple[Minimum, ...], Start, int]:
    """Give the least factor of each family by one rating, least first.

    Parameters
    ----------
    space : Space
        Where circles may lie.
    start : Start
        Where to polish.
    rating : callable
        By whose factor.
    fine : float
        First steps over those of the start.

    Returns
    -------
    found : tuple of Minimum
        One for each family that has any.
    ended : Start
        Where the polish ended, to begin that of another method from.
    tried : int
        Circles worked out.
    """
    trials, value, tried = polish(space, start, rating, fine)
    ended = Start(trials, start.family, start.moves, start.names)
    found = []
    for name in dict.fromkeys(start.names):
        mine = [i for i, n in enumerate(start.names) if n == name]
        i = mine[int(np.argmin(value[mine]))]
        if not np.isfinite(value[i]):
            continue
        circle, _ = place(space, trials[i : i + 1], start.family[i : i + 1])
        told = float(rate(space, circle, rating, SLICES)[0])
        # on the brink of what counts as a surface the finer slices may refuse it: it still is one
        found.append(Minimum(name, circle, told if np.isfinite(told) else float(value[i])))
    return tuple(sorted(found, key=lambda m: m.factor)), ended, tried
