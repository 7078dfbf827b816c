"""A whole solution near a broken one, and how far it can be from the best: quick and repeatable.

The broken program of plants beside a path is nearly whole: a few hundred of its columns are
broken, and its bound is within a few tenths of a percent of the best planting. So its columns are
settled a few at a time, wide plants first, each time solved again from where it stood; then what
the broken and the settled solution agree on is fixed, and the rest solved exactly.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from hillwright.arrays import Array
from hillwright.planting.resolved import Resolved
from hillwright.planting.solver import Program, Solved, solve

_WHOLE = 1e-6  # a column that is nearer to 0 or 1 than this is whole
REST_NODES = 30  # what ends the exact part


def dive(program: Program, size: Array, enough: float, seed: int) -> Solved:
    """Solve a program of yes and no to within a share of the bound of the broken one.

    Parameters
    ----------
    program : Program
        Its whole columns are 0 or 1.
    size : (columns,) array
        Those with the largest are settled first.
    enough : float
        How far below the bound of the broken program is near enough, in its own unit.
    seed : int
        Of the solver.

    Returns
    -------
    Solved
        The best whole solution found, None where the dive ended nowhere; the bound holds anyway.
    """
    model = Resolved(program, seed)
    bound, broken = model.bound, model.x.copy()
    if not model.solved or not _settle(model, program, size):
        return Solved(None, -np.inf, bound, None)
    x = np.where(program.whole, np.round(model.x), model.x)
    value = float(program.cost @ x)
    if bound - value > enough:
        rest = _rest(program, broken, x, bound - enough, seed)
        if rest.x is not None and rest.value > value:
            x, value = rest.x, rest.value
    return Solved(x, value, bound, None)


def _settle(model: Resolved, program: Program, size: Array) -> bool:
    """Settle broken columns until none is left; say whether that came to an end."""
    whole, settled = program.whole.astype(bool), np.zeros(len(program.cost), bool)
    while True:
        x = model.x
        open_ = ~settled & (x > _WHOLE) & (x < 1 - _WHOLE)
        broken = np.flatnonzero(whole & open_ & (program.low < 1))
        if not len(broken):
            return True
        most = broken[size[broken] == size[broken].max()]
        order = most[np.argsort(-x[most], kind="stable")]
        # no two that are over a half bar one another
        some = order[x[order] > 0.5] if x[order[0]] > 0.5 else order[:1]
        if not model.limit(some, 1.0, 1.0):
            model.limit(some[1:], 0.0, 1.0)
            some = some[:1]
            if not model.solved and not model.limit(some, 0.0, 0.0):
                return False
        settled[some] = True


def _rest(program: Program, broken: Array, x: Array, enough: float, seed: int) -> Solved:
    """Solve what the broken and the settled solution do not agree on, the rest held."""
    held = program.whole.astype(bool) & (np.abs(broken - x) < _WHOLE)
    low, high = program.low.copy(), program.high.copy()
    low[held] = high[held] = x[held]
    left = replace(program, low=low, high=high, start=x)
    return solve(left, gap=1e-4, nodes=REST_NODES, seconds=3600.0, seed=seed, enough=enough)
