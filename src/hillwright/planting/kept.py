"""A planting that was kept: read back into a problem, and written out of a result."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Index, Mask
from hillwright.job.site import KeptPlanting
from hillwright.layout.model import Layout
from hillwright.planting.model import OPEN, USE_WORDS, WALKING, Planting
from hillwright.planting.path import connected
from hillwright.planting.worth import Problem


def keep(planting: Planting, layout: Layout) -> KeptPlanting:
    """Write a planting as what is kept beside the job."""
    use = tuple(
        (
            int(layout.row[i]),
            int(layout.number[i]),
            USE_WORDS[planting.use[i]]
            if planting.plant[i] < 0
            else planting.plants[planting.plant[i]].id,
        )
        for i in range(len(layout.row))
    )
    starts = tuple(
        (int(layout.row[g.cells[0]]), int(layout.number[g.cells[0]])) for g in planting.groups
    )
    p = planting.proof
    found = f"worth {p.worth:.2f}, {100 * p.path_gap:.2f} % on its path, {100 * p.gap:.2f} % on any"
    return KeptPlanting(planting.key, found, (p.worth, p.path_bound, p.bound), use, starts)


def recall(problem: Problem, kept: KeptPlanting) -> tuple[Mask, Index, bool]:
    """Give the path and the placements of a kept planting that are still possible.

    Returns
    -------
    walking : (n,) array
        Cells of the path that still hang together and may be walked.
    chosen : (k,) array
        Placements that are still on the list.
    whole : bool
        Nothing of it was lost.
    """
    field, places = problem.field, problem.places
    at = {(int(r), int(n)): i for i, (r, n) in enumerate(zip(field.row, field.number, strict=True))}
    walking = np.zeros(field.count, bool)
    plant_at: dict[int, str] = {}
    lost = len(kept.use) != field.count
    for row, number, use in kept.use:
        cell = at.get((row, number))
        if cell is None:
            lost = True
        elif use == USE_WORDS[WALKING]:
            walking[cell] = True
        elif use != USE_WORDS[OPEN]:
            plant_at[cell] = use
    walking &= ~problem.must_open
    whole = connected(field, walking)
    lost |= bool((whole != walking).any())
    ids = {p.id: k for k, p in enumerate(problem.some.plants)}
    first = places.begin(len(ids), field.count)
    chosen = []
    for start in kept.start:
        cell = at.get(start, -1)
        plant = ids.get(plant_at.get(cell, ""), -1)
        k = int(first[plant, cell]) if plant >= 0 else -1
        if k < 0:
            lost = True
        else:
            chosen.append(k)
    return whole, np.array(chosen, np.intp), not lost
