"""How sure the length is: whole schedules drawn with times that are better and worse than planned.

Every kind of work has its own luck (the ground is harder than thought for all stakes of the hill,
not for one), the order of work stays as planned, and each task waits for the people and tools that
it takes over from others. The chance of the critical path alone would be too good.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.crew.assign import Stint
from hillwright.crew.works import Work

DRAWS = 2000
_SEED = 7


def drawn_lengths(
    start: Index,
    finish: Index,
    after: Sequence[Sequence[int]],
    stints: Sequence[Stint],
    kinds: Sequence[str],
    works: Mapping[str, Work],
    draws: int = DRAWS,
) -> Array:
    """Give the lengths of drawn schedules, in slots of working time.

    Parameters
    ----------
    start, finish : (n,) array of int
        The plan.
    after : sequence of sequences
        Tasks that each waits for.
    stints : sequence of Stint
        Who does what: a task waits for those who come from another.
    kinds : sequence of str
        Kind of work of each task.
    works : mapping
        With the best and the worst of each kind.
    draws : int
        How many schedules.

    Returns
    -------
    (draws,) array
        Lengths, in order of the draws.
    """
    rng = np.random.default_rng(_SEED)
    factor = {
        kind: rng.triangular(works[kind].low, 1.0, works[kind].high, draws)
        for kind in dict.fromkeys(kinds)
    }
    waits = [set(each) for each in after]
    mine: dict[int, list[Stint]] = {}
    for stint in stints:
        mine.setdefault(stint.person, []).append(stint)
    for own in mine.values():
        for i, one in enumerate(own):
            for two in own[i + 1 :]:
                if finish[one.task] <= start[two.task]:
                    waits[two.task].add(one.task)
                    break
    ends = np.zeros((len(start), draws))
    for i in np.lexsort((finish, start)).tolist():
        ready = np.zeros(draws)
        for j in waits[i]:
            ready = np.maximum(ready, ends[j])
        # idle time that the plan leaves before a task for other reasons (a day, a tool) stays
        latest = max((int(finish[j]) for j in waits[i]), default=0)
        gap = max(0, int(start[i]) - latest)
        ends[i] = ready + gap + (finish[i] - start[i]) * factor[kinds[i]]
    return np.asarray(ends.max(axis=0)) if len(start) else np.zeros(draws)
