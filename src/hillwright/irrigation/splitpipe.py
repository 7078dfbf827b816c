"""The split-pipe program written out for a table of sizes: lengths by size of every link."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange
from hillwright.irrigation.friction import hazen_williams
from hillwright.irrigation.sizing import Choice, one_size, split_sizes
from hillwright.method import method


class Sized(NamedTuple):
    """Pipe sizes of a tree."""

    length_by_size: Array
    head: Array
    flow: Array
    cost: float
    one_size_cost: float


@method(
    title="Pipe sizes of least cost on a branched network with known flows",
    equation="min sum c_s L_ls; sum_s L_ls = L_l; H_up - H_down = sum_s J_ls L_ls; H >= needed",
    source="Karmeli, Gadish and Meyers 1968; Labye; Ijjas 1972 (own solution by convex lines)",
)
def split_pipe(
    parent: Index,
    length: ArrayLike,
    demand: ArrayLike,
    needed_head: ArrayLike,
    source_head: float,
    sizes: ArrayLike,
    price: ArrayLike,
    max_velocity: float = 5 * 0.3048,
    c: float = 150.0,
) -> Sized:
    """Choose the lengths of each size in each link, with Hazen-Williams as the loss.

    Parameters
    ----------
    parent : (n,) int array
        Link that each link hangs on, numbered before it; -1 is the source. [-]
    length : (n,) array
        Of the links. [m]
    demand : (n,) array
        Flow taken at each link's end. [m3/s]
    needed_head : (n,) array
        Total head to be left at each link's end. [m]
    source_head : float
        Total head at the source. [m]
    sizes : (k,) array
        Bores offered. [m]
    price : (k,) array
        Of a metre of each. [-]
    max_velocity : float
        Sizes that would run faster in a link are left out there. [m/s]
    c : float
        Hazen-Williams C. [-]

    Returns
    -------
    length_by_size : (n, k) array
        Lengths; at most two sizes to a link. [m]
    head : (n,) array
        At each link's end. [m]
    flow : (n,) array
        In each link. [m3/s]
    cost : float
        Of all pipe: the least possible. [-]
    one_size_cost : float
        Least with one size to a link. [-]

    Raises
    ------
    OutOfRange
        No size keeps the velocity, or the head is not enough with the widest.
    """
    up = np.atleast_1d(np.asarray(parent, np.intp))
    n = len(up)
    long, drawn, need = (
        np.broadcast_to(v, n)
        for v in (
            given.above_zero("length", length),
            given.at_least_zero("demand", demand),
            given.number("needed_head", needed_head),
        )
    )
    bore, paid = given.above_zero("sizes", sizes), given.above_zero("price", price)
    if bore.shape != paid.shape:
        raise OutOfRange(
            "price", "has another number of values than sizes", "give one price a size"
        )
    limit = float(given.above_zero("max_velocity", max_velocity))
    flow = drawn.copy()
    for i in range(n - 1, -1, -1):
        if up[i] >= i:
            raise OutOfRange(
                f"parent {i}", "is not before its link", "number links from the source"
            )
        if up[i] >= 0:
            flow[up[i]] += flow[i]
    fits = flow[:, None] <= limit * np.pi / 4 * bore**2 * (1 + 1e-12)
    if (bad := ~fits.any(axis=1)).any():
        raise OutOfRange(
            f"link {int(np.flatnonzero(bad)[0])}",
            f"runs faster than {limit:.2f} m/s in every size offered",
            "offer a wider one, or part the flow",
        )
    loss = tuple(
        hazen_williams(float(q), bore[k], float(m), c)
        for q, k, m in zip(flow, fits, long, strict=True)
    )
    cost = tuple(paid[k] * m for k, m in zip(fits, long, strict=True))
    choice = Choice(up, loss, cost, need)
    found = split_sizes(choice, float(source_head))
    try:
        single = one_size(choice, float(source_head)).cost
    except OutOfRange:  # two sizes to a link can hold where a single one of each cannot to the mm
        single = np.inf
    lengths = np.zeros((n, len(bore)))
    for i, share in enumerate(found.share):
        lengths[i, fits[i]] = share * long[i]
    return Sized(lengths, found.head, flow, float(found.cost), float(single))
