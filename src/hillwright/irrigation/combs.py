"""Combs: a manifold down or up the slope with a lateral at each node, as networks to check by."""

from __future__ import annotations

import math

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.irrigation.network import Network, Outlets

PLASTIC = 1.5e-6  # roughness of new plastic: EPANET 2.2 User Manual, Table 3.2 [m]


def comb(
    rows: int,
    emitters_per_row: int,
    spacing: float,
    lateral_bore: float,
    manifold_bore: float,
    row_gap: float,
    drop_per_row: float,
    first_pipe: float,
    along_row_fall: float = 0.0,
) -> tuple[Index, Array, Array, Array]:
    """Give parents, heights, link lengths and bores of a comb; node 0 is its source.

    The manifold's nodes come first, then the laterals' one row after another. Emitter j of row i
    is node ``1 + rows + i * emitters_per_row + j``.
    """
    manifold = np.arange(rows)
    level = -manifold * drop_per_row
    j = np.arange(1, emitters_per_row + 1)
    z = level[:, None] - along_row_fall * spacing * j
    first = 1 + rows + emitters_per_row * np.arange(rows)[:, None]
    before = np.where(j == 1, 1 + manifold[:, None], first + j - 2)
    parent = np.concatenate([[-1], manifold, before.ravel()]).astype(np.intp)
    elevation = np.concatenate([[0.0], level, z.ravel()])
    gap = math.hypot(row_gap, drop_per_row)
    down = np.where(manifold == 0, first_pipe, gap)
    laterals = np.full(rows * emitters_per_row, spacing)
    length = np.concatenate([[0.0], down, laterals])
    bore = np.concatenate(
        [np.full(1 + rows, manifold_bore), np.full(rows * emitters_per_row, lateral_bore)]
    )
    return parent, elevation, length, bore


def comb_network(
    given: tuple[Index, Array, Array, Array], rows: int, coefficient: float, exponent: float
) -> Network:
    """Give a comb an emitter q = k h^x at every lateral node."""
    parent, elevation, length, bore = given
    n = len(parent)
    node = np.arange(1 + rows, n)
    return Network(
        parent,
        elevation,
        length,
        bore,
        np.full(n, PLASTIC),
        np.zeros(n),
        Outlets.power(node, coefficient, exponent),
    )
