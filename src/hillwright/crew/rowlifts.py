"""Lifts of assembled rows: how many are dragged up in one go, and which are set one at a time.

Rows are clipped together at the foot, dragged up, hung and staked (common practice).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.crew.given import above_zero, at_least_zero
from hillwright.crew.pull import drag_force
from hillwright.errors import OutOfRange
from hillwright.method import method


class RowLifts(NamedTuple):
    """Which lift each of k rows goes up in."""

    lift: Index
    pull: Array
    people: Index


@method(
    title="Rows dragged up in one lift",
    equation="rows go together from the top while sum m g (sin a + mu cos a) <= N f",
    source="statics, with the pull that a mixed crew sustains; the way itself is common practice",
    symbols={
        "m": "mass",
        "g": "gravity, 9.81 m/s2",
        "a": "slope",
        "mu": "friction",
        "N": "people",
        "f": "each",
    },
)
def row_lifts(
    mass: ArrayLike,
    slope: ArrayLike,
    friction: float,
    people: int,
    each: float,
    most: int = 12,
) -> RowLifts:
    """Share rows out over lifts, from the top row down.

    Parameters
    ----------
    mass : (k,) array
        Of each assembled row, top row first. [kg]
    slope : (k,) array or float
        Of the ground that it is dragged over. [rad]
    friction : float
        Of the cells on the ground. [-]
    people : int
        Who pull together. [-]
    each : float
        What one of them sustains. [N]
    most : int, optional
        Rows that go in one lift at most. [-]

    Returns
    -------
    lift : (k,) array of int
        Number of the lift, from 1; 0 for a row that is too heavy to be dragged whole and is set
        cell by cell on the hill. [-]
    pull : (k,) array
        That each row asks for by itself. [N]
    people : (k,) array of int
        Who it takes by itself. [-]

    Raises
    ------
    OutOfRange
        Nobody to pull, a force of 0 or less, or rows of no mass.
    """
    if people < 1:
        raise OutOfRange("people", "nobody to pull", "give 1 or more")
    if most < 1:
        raise OutOfRange("most", f"{most} rows in a lift", "give 1 or more")
    one = float(above_zero("each", each))
    kg = np.atleast_1d(above_zero("mass", mass))
    pull = np.broadcast_to(
        drag_force(kg, slope, float(at_least_zero("friction", friction))), kg.shape
    )
    have = people * one * (1 + 1e-9)
    lift = np.zeros(len(kg), np.intp)
    number, left, count = 0, 0.0, 0
    for k, t in enumerate(pull.tolist()):
        if t > have:
            left = 0.0  # a row that is set by itself ends the lift: the next hangs below it
            continue
        if t > left or count >= most:
            number, left, count = number + 1, have, 0
        lift[k] = number
        left, count = left - t, count + 1
    alone = np.ceil(np.maximum(pull, 0) / one - 1e-9).astype(np.intp)
    return RowLifts(lift, np.array(pull), alone)
