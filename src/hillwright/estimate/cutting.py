"""Cutting plan: pieces from rolls or bars of the lengths sold, with the proven least number.

Lengths are whole steps, so that a sum of pieces is exact. A plan that needs no more rolls than the
pieces have length is proven by that alone. Where it does not, patterns are priced into a linear
program (column generation); its value is the bound, and a program over whole numbers of patterns
gives the plan.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.estimate import patterns
from hillwright.method import method


@dataclass(frozen=True, slots=True)
class Cut:
    """So many rolls of one kind cut alike."""

    roll: int  # which of the lengths sold
    pieces: tuple[tuple[int, int], ...]  # (which length, how many), longest first
    times: int


@dataclass(frozen=True, slots=True)
class CutPlan:
    """How pieces are cut."""

    cuts: tuple[Cut, ...]
    rolls: tuple[int, ...]  # of each length sold
    cost: float  # of them, in what was asked to be least
    bound: float  # no plan costs less
    patterns: int  # that the bound was worked out from; 0 where length alone proves it

    @property
    def proven(self) -> bool:
        """No plan is better."""
        return self.cost <= self.bound * (1 + 1e-9)


class Rolls(NamedTuple):
    """How many rolls it takes."""

    rolls: int
    lower_bound: int


@method(
    title="Least number of rolls that pieces are cut from",
    equation="min sum x_j, sum a_ij x_j >= demand_i, sum_i (length_i + kerf) a_ij <= stock + kerf; "
    "bound: the same with x_j not whole, rounded up",
    source="Gilmore and Gomory 1961, Oper. Res. 9:849-859 (column generation, from memory)",
)
def fewest_rolls(stock: float, lengths: ArrayLike, demand: ArrayLike, kerf: float = 0.0) -> Rolls:
    """Cut pieces from rolls of one length.

    Parameters
    ----------
    stock : float
        Length of a roll, in whole steps. [any]
    lengths : (n,) array
        Of the pieces, whole steps, none longer than a roll. [any]
    demand : (n,) array
        How many of each. [-]
    kerf : float
        Lost at a cut, whole steps. [any]

    Returns
    -------
    rolls : int
        Rolls of the plan that was found. [-]
    lower_bound : int
        No plan takes fewer. [-]

    Raises
    ------
    OutOfRange
        A piece longer than a roll, a length or a count that is not whole or not above zero.

    Notes
    -----
    A cut at the very end of a roll loses nothing more. The plan is the least where both figures
    agree, as they do in nearly all cases met.
    """
    plan = cut(lengths, demand, (stock,), (1.0,), kerf)
    return Rolls(sum(plan.rolls), math.ceil(plan.bound - 1e-9))


def cut(
    lengths: ArrayLike,
    demand: ArrayLike,
    stock: ArrayLike,
    cost: ArrayLike | None = None,
    kerf: float = 0,
) -> CutPlan:
    """Cut pieces from rolls of one or several lengths at the least cost.

    Parameters
    ----------
    lengths : (n,) array
        Of the pieces, whole steps.
    demand : (n,) array
        How many of each.
    stock : (k,) array
        Lengths sold, whole steps.
    cost : (k,) array, optional
        Of a roll of each; left out, the length bought is kept least, then the number.
    kerf : float
        Lost at a cut, whole steps.

    Raises
    ------
    OutOfRange
        As :func:`fewest_rolls`.
    """
    piece, want, roll = _checked(lengths, demand, stock, kerf)
    # nobody counts a millionth of a roll: it only tells few long rolls from many short ones
    price = roll * (1 + 1e-6 * roll.min() / roll) if cost is None else np.asarray(cost, float)
    order = np.argsort(-piece, kind="stable")
    task = patterns.Task(piece[order] + int(kerf), want[order], roll + int(kerf), price)
    if not want.sum():
        return CutPlan((), (0,) * len(roll), 0.0, 0.0, 0)
    plan, bound, many = patterns.solve(task)
    cuts = tuple(
        Cut(r, tuple((int(order[i]), int(n)) for i, n in enumerate(used) if n), times)
        for r, used, times in plan
    )
    rolls = tuple(sum(c.times for c in cuts if c.roll == r) for r in range(len(roll)))
    return CutPlan(cuts, rolls, float(np.dot(rolls, price)), bound, many)


def _checked(
    lengths: ArrayLike, demand: ArrayLike, stock: ArrayLike, kerf: float
) -> tuple[Index, Index, Index]:
    found = []
    for name, given in (("lengths", lengths), ("demand", demand), ("stock", stock)):
        values: Array = np.atleast_1d(np.asarray(given, float))
        if (values != np.floor(values)).any() or (values < (name != "demand")).any():
            right = "count in whole steps, as millimetres"
            raise OutOfRange(name, "a value that is not whole, or not above zero", right)
        found.append(values.astype(np.intp))
    if kerf < 0 or kerf != math.floor(kerf):
        raise OutOfRange("kerf", "is not a whole number of steps", "count in whole steps")
    piece, want, roll = found
    if len(piece) != len(want):
        raise OutOfRange("demand", "is not one count for each length", "give one for each")
    if len(piece) and piece[want > 0].max(initial=0) > roll.max():
        raise OutOfRange("lengths", "a piece is longer than the longest roll", "join it first")
    return piece, want, roll
