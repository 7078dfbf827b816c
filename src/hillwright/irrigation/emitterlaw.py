"""Emitters: flow by pressure, with or without compensation, and what pressure a flow asks for."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


@method(
    title="Emitter flow",
    equation="q = k h^x, k being the flow at a head of one unit",
    source="Keller and Karmeli 1974; as in USDA-NRCS NEH 623 ch. 7",
)
def emitter_flow(head: ArrayLike, k: ArrayLike, x: ArrayLike) -> Array:
    """Give the flow of an emitter that follows one power of pressure.

    Parameters
    ----------
    head : (n,) array
        Pressure head at the emitter; nothing flows below 0. [m]
    k : (n,) array
        Flow at a head of 1 m. [m3/s]
    x : (n,) array
        Exponent: 0.5 for turbulent paths, 1 for laminar ones. [-]

    Returns
    -------
    flow : (n,) array
        Of each emitter. [m3/s]

    Raises
    ------
    OutOfRange
        k of 0 or below, x outside 0 to 1.
    """
    h = np.maximum(given.number("head", head), 0.0)
    power = given.within("x", x, 0.0, 1.0, "give 0 (compensating) to 1 (laminar)")
    found = given.above_zero("k", k) * h**power
    return np.asarray(np.where(h > 0, found, 0.0))


@method(
    title="Flow of a compensating emitter",
    equation="q = qn (h/ho)^0.5 below the onset ho, qn (h/ho)^x from there on",
    source="Wagner's law below the onset, as in EPANET 2.2 User Manual ch. 12; NEH 623 ch. 7",
    symbols={"qn": "nominal", "h": "head", "ho": "onset"},
)
def compensating_flow(
    head: ArrayLike, nominal: ArrayLike, onset: ArrayLike, x: ArrayLike = 0.0, below: float = 0.5
) -> Array:
    """Give the flow of an emitter that holds its flow from the onset pressure on.

    Parameters
    ----------
    head : (n,) array
        Pressure head at the emitter. [m]
    nominal : (n,) array
        Flow at the onset. [m3/s]
    onset : (n,) array
        Pressure head from which it compensates. [m]
    x : (n,) array
        Exponent above the onset: 0 is perfect, 0.05 typical of tests. [-]
    below : float
        Exponent under the onset. [-]

    Returns
    -------
    flow : (n,) array
        Of each emitter. [m3/s]

    Raises
    ------
    OutOfRange
        A nominal flow or onset of 0 or below, an exponent outside 0 to 1.
    """
    share = np.maximum(given.number("head", head), 0.0) / given.above_zero("onset", onset)
    above = given.within("x", x, 0.0, 1.0)
    low = float(given.within("below", below, 0.0, 1.0))
    q = given.above_zero("nominal", nominal)
    return np.asarray(q * np.where(share < 1, share**low, np.maximum(share, 1.0) ** above))


@method(
    title="Head that an emitter needs for a flow",
    equation="h = (q/k)^(1/x)",
    source="inverse of q = k h^x",
)
def emitter_head(flow: ArrayLike, k: ArrayLike, x: ArrayLike) -> Array:
    """Give the pressure head at which an emitter gives a flow.

    Parameters
    ----------
    flow : (n,) array
        Wanted. [m3/s]
    k : (n,) array
        Flow at a head of 1 m. [m3/s]
    x : (n,) array
        Exponent, above 0. [-]

    Returns
    -------
    head : (n,) array
        At the emitter. [m]

    Raises
    ------
    OutOfRange
        A negative flow, k or x of 0 or below.
    """
    power = given.above_zero("x", given.within("x", x, 0.0, 1.0))
    return np.asarray((given.at_least_zero("flow", flow) / given.above_zero("k", k)) ** (1 / power))


@method(
    title="Change of flow with pressure",
    equation="dq = (1 + dh)^x - 1",
    source="Michael, Irrigation Theory and Practice (20 % head, 10 % flow); exact arithmetic",
)
def flow_change(head_change: ArrayLike, x: ArrayLike) -> Array:
    """Give the relative change of flow for one of head.

    Parameters
    ----------
    head_change : (n,) array
        Relative: 0.21 is 21 % more, -0.2 is 20 % less; -1 at the lowest. [-]
    x : (n,) array
        Exponent. [-]

    Returns
    -------
    change : (n,) array
        Relative, of the flow. [-]

    Raises
    ------
    OutOfRange
        A head below nothing, an exponent outside 0 to 1.
    """
    change = given.number("head_change", head_change)
    if (bad := change < -1).any():
        raise OutOfRange(
            given.where("head_change", bad), "leaves less than no head", "give -1 or more"
        )
    return np.asarray((1 + change) ** given.within("x", x, 0.0, 1.0) - 1)


@method(
    title="Number of emitters on a tube by its flow limit",
    equation="n = floor(Q / q)",
    source="common practice; 200 gph for 1/2 in tubing (Biology Insights)",
)
def most_emitters(limit: ArrayLike, emitter: ArrayLike) -> Array:
    """Give how many emitters a tube may feed.

    Parameters
    ----------
    limit : (n,) array
        Most flow in the tube. [m3/s]
    emitter : (n,) array
        Flow of one emitter. [m3/s]

    Returns
    -------
    count : (n,) array
        Whole emitters. [-]

    Raises
    ------
    OutOfRange
        A flow of 0 or below.

    Notes
    -----
    A rule of thumb: the loss depends on where the emitters are, and the solution governs.
    """
    found = given.above_zero("limit", limit) / given.above_zero("emitter", emitter)
    return np.asarray(np.floor(found * (1 + 1e-12)))
