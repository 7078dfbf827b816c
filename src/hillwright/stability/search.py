"""The search for the critical circle: the polish of each family, from the best of a coarse scan.

The search is the same every time: no chance is in it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from hillwright.arrays import Array, Index, Mask
from hillwright.stability.circles import Circles
from hillwright.stability.scan import Start
from hillwright.stability.slices import SLICES
from hillwright.stability.trial import Rating, Space, place, rate

_POLISH_SLICES = 24
_ROUNDS, _FINEST = 60, 2e-3  # of the polish; its last step over its first
_BEHIND, _FAIR = 1.15, 6  # a place this far behind its family's best after so many rounds is left


@dataclass(frozen=True, slots=True, eq=False)
class Minimum:
    """The least factor in one family of circles."""

    family: str  # "toe", "base", "layer 1", ..., "free"
    circle: Circles  # one
    factor: float


def polish(space: Space, start: Start, rating: Rating) -> tuple[Array, Array, int]:
    """Walk downhill from each start over a grid of neighbours that shrinks as it settles.

    Parameters
    ----------
    space : Space
        Where circles may lie.
    start : Start
        p places.
    rating : callable
        Whose factor to make least.

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
    steps = start.moves.copy()
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
    for i_round in range(_ROUNDS):
        owner = np.repeat(alive, [len(fixed[i]) for i in alive])
        moved = np.concatenate([best[i] + fixed[i] * steps[i] for i in alive])
        moved = np.clip(moved, low, high)
        found = factors(moved, owner)
        for i in alive:
            mine = np.flatnonzero(owner == i)
            j = mine[int(np.argmin(found[mine]))]
            if found[j] < value[i] * (1 - 1e-6):
                best[i], value[i] = moved[j], found[j]
            else:
                steps[i] /= 2.5
        going = (steps.max(axis=1) > _FINEST * first) & np.isfinite(value)
        alive = np.flatnonzero(going & ~_beaten(start.names, best, value, steps, i_round >= _FAIR))
        if not alive.size:
            break
    return best, value, tried


def _beaten(names: tuple[str, ...], best: Array, value: Array, steps: Array, late: bool) -> Mask:
    """Tell which places lead where a better one of their family is, or are far behind it."""
    beaten = np.zeros(len(names), bool)
    for i, name in enumerate(names):
        for j, other in enumerate(names):
            if other != name or beaten[j] or (value[j], j) >= (value[i], i):
                continue
            same = bool((np.abs(best[i] - best[j]) <= 2 * np.maximum(steps[i], steps[j])).all())
            beaten[i] |= same or (late and value[i] > _BEHIND * value[j])
    return beaten


def minima(space: Space, start: Start, rating: Rating) -> tuple[tuple[Minimum, ...], Start, int]:
    """Give the least factor of each family by one rating, least first.

    Parameters
    ----------
    space : Space
        Where circles may lie.
    start : Start
        Where to polish.
    rating : callable
        By whose factor.

    Returns
    -------
    found : tuple of Minimum
        One for each family that has any.
    ended : Start
        Where the polish ended, to begin that of another method from.
    tried : int
        Circles worked out.
    """
    trials, value, tried = polish(space, start, rating)
    ended = replace(start, trials=trials)
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
