"""Steady flow of a whole tree of drip tubing with every emitter, by Newton's method.

Emitters follow their flow where their law is steep and their pressure where it is flat, so that
turbulent and compensating ones share a network and a handful of rounds does for both.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.irrigation.careful import descend
from hillwright.irrigation.chains import Chains
from hillwright.irrigation.losses import GRAVITY, DarcyWeisbach, Loss
from hillwright.irrigation.network import STEEP, Network, Outlets, Solution

WATER_20C = 1.0032e-6  # kinematic viscosity, Hydraulic Institute tables [m2/s]

_MOST_ROUNDS = 30
_SETTLED = 1e-6  # heads that the slow road leaves open [m]
_CLOSE = 1e-11  # of the heads in the network


class _Laws(NamedTuple):
    """Emitters sorted by law: places whose exponents are the same on both sides."""

    groups: tuple[tuple[Any, float, float], ...]  # which emitters, exponent below, above
    outlets: Outlets

    @classmethod
    def of(cls, outlets: Outlets) -> _Laws:
        pairs = np.column_stack([outlets.below, outlets.above])
        kinds, which = np.unique(pairs, axis=0, return_inverse=True)
        which = which.reshape(-1)
        if len(kinds) == 1:
            return cls(((slice(None), float(kinds[0, 0]), float(kinds[0, 1])),), outlets)
        groups = tuple(
            (np.flatnonzero(which == k), float(b), float(a)) for k, (b, a) in enumerate(kinds)
        )
        return cls(groups, outlets)

    def at(self, pressure: Array) -> tuple[Array, Array]:
        """Give flow and slope dq/dp at pressure heads; nothing flows below zero."""
        flow, slope = np.zeros_like(pressure), np.zeros_like(pressure)
        o = self.outlets
        for which, below, above in self.groups:
            p = np.maximum(pressure[which], 0.0)
            share = p / o.onset[which]
            if below == above:
                x: Array | float = below
                grown = _power(share, below)
            else:
                over = share > 1
                x = np.where(over, above, below)
                grown = np.where(over, _power(share, above), _power(share, below))
            q = o.nominal[which] * grown
            flow[which] = q
            slope[which] = x * q / np.maximum(p, 1e-300)
        return flow, slope

    def pressure(self, flow: Array, otherwise: Array) -> Array:
        """Give the pressure head at flows; ``otherwise`` where the law is too flat to tell."""
        found = otherwise.copy()
        o = self.outlets
        for which, below, above in self.groups:
            share = np.maximum(flow[which], 0.0) / o.nominal[which]
            onset = o.onset[which]
            if below == above:
                if below >= STEEP:
                    found[which] = onset * _power(share, 1 / below)
                continue
            # over the onset a compensating emitter is followed by pressure
            low = onset * _power(np.minimum(share, 1.0), 1 / below)
            found[which] = np.where(share < 1, low, np.maximum(otherwise[which], onset))
        return found


def _power(base: Array, exponent: float) -> Array:
    if exponent == 0.5:
        return np.sqrt(base)
    if exponent == 2.0:
        return base * base
    if exponent == 1.0:
        return base
    if exponent == 0.0:
        return np.ones_like(base)
    return np.asarray(base**exponent)


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A network ready to be solved for many heads at its source."""

    network: Network
    chains: Chains
    loss: Loss  # of the links in the chains' order
    laws: _Laws
    at: Index  # (m,) place of each emitter's node
    height: Array  # (m,) of each emitter [m]


def prepare(network: Network, loss: Loss | None = None, viscosity: float = WATER_20C) -> Prepared:
    """Cut a network into chains and set its losses up.

    Parameters
    ----------
    network : Network
        The tree.
    loss : Loss, optional
        Of its links in the network's own order, source left out; Darcy-Weisbach where none is
        given.
    viscosity : float
        Of the water, kinematic [m2/s].

    Raises
    ------
    OutOfRange
        A link without length or bore, an emitter without a law, or nodes out of order.
    """
    _check(network)
    chains = Chains.of(network.parent)
    if loss is None:
        loss = darcy_weisbach(network, chains, viscosity)
    outlets = network.outlets
    return Prepared(
        network,
        chains,
        loss,
        _Laws.of(outlets),
        chains.place[outlets.node],
        network.elevation[outlets.node],
    )


def darcy_weisbach(
    network: Network, chains: Chains, viscosity: float = WATER_20C, gravity: float = GRAVITY
) -> DarcyWeisbach:
    """Set up the losses of a network's links in the order of its chains."""
    put = chains.gathered
    return DarcyWeisbach.of(
        put(network.length),
        put(network.bore),
        put(network.roughness),
        put(network.minor),
        viscosity,
        gravity,
    )


def _check(network: Network) -> None:
    for name, values, least in (
        ("length", network.length[1:], 0.0),
        ("bore", network.bore[1:], 0.0),
        ("nominal flow", network.outlets.nominal, 0.0),
        ("onset pressure", network.outlets.onset, 0.0),
        ("exponent below the onset", network.outlets.below, 0.0),
    ):
        if (bad := np.flatnonzero(~(values > least) | ~np.isfinite(values))).size:
            # links are named by the node they lead to, emitters by their number from 0
            first = int(bad[0]) + (name in ("length", "bore"))
            raise OutOfRange(f"{name} {first}", "is not above 0", "give every one its own")
    o = network.outlets
    if len(o.node) == 0:
        raise OutOfRange("network", "has no emitter", "plant at least one cell")
    if (bad := np.flatnonzero((o.node < 1) | (o.node >= len(network.parent)))).size:
        raise OutOfRange(
            f"emitter {int(bad[0])}", "hangs on no node but the source", "give its node's number"
        )
    odd = (o.above < 0) | (o.above > 1) | (o.below > 1) | (o.below < STEEP)
    if (bad := np.flatnonzero(odd)).size:
        raise OutOfRange(
            f"emitter {int(bad[0])}",
            f"has an exponent outside 0 to 1, or one below {STEEP} under its onset",
            "take it from its class",
        )


def solve(prepared: Prepared, source_head: float, start: Array | None = None) -> Solution:
    """Find the steady flow for one head at the source.

    Parameters
    ----------
    prepared : Prepared
        From :func:`prepare`.
    source_head : float
        Total head at the source: pressure head and elevation [m].
    start : (m,) array, optional
        Emitter flows to start from, as of a solution nearby [m3/s].

    Returns
    -------
    Solution
        Heads, flows and how well they close.

    Raises
    ------
    OutOfRange
        No steady flow is found: a fault of the numbers given, told with how far it came.
    """
    laws, height = prepared.laws, prepared.height
    static = np.maximum(source_head - height, 0.0)
    q = laws.at(0.7 * static)[0] if start is None else start
    found = _quick(prepared, source_head, laws.pressure(q, static))
    if found is not None:
        return found
    head = descend(
        prepared.chains, prepared.loss, laws.at, prepared.at, height, source_head, _eliminate
    )
    there = head[prepared.at] - height
    found = _quick(prepared, source_head, np.where(there > 0, there, np.minimum(there, 0.0)))
    return found or _settled(prepared, source_head, head)


def _quick(prepared: Prepared, source_head: float, pressure: Array) -> Solution | None:
    """Follow Newton's method from emitter pressures; None where it runs in circles."""
    chains, laws, at, height = prepared.chains, prepared.laws, prepared.at, prepared.height
    places, p = len(chains.order), pressure
    close = _CLOSE * (1.0 + abs(source_head) + float(np.ptp(height)))
    step, best = 1.0, np.inf
    for rounds in range(1, _MOST_ROUNDS + 1):
        own, slope = laws.at(p)
        flow = chains.summed(_at(at, own, places))
        drop, hardness = prepared.loss(flow)
        head = chains.swept(source_head, drop)
        there = head[at] - height
        # an emitter above its head is closed: it stands at whatever is below zero there
        off = np.where((p <= 0) & (there <= 0), 0.0, there - p)
        worst = float(np.max(np.abs(off)))
        if worst <= close:
            return _told(prepared, source_head, head, flow, own, there, rounds, worst)
        # a round that makes things worse is followed by a shorter one
        step = max(0.5 * step, 0.05) if worst > 1.5 * best else min(1.0, 2 * step)
        best = min(best, worst)
        change = _eliminate(
            chains, 1 / hardness, _at(at, slope, places), _at(at, -slope * off, places)
        )
        p_new = there + change[at]
        q_new = own + slope * (p_new - p)
        if step < 1:
            p_new = p + step * (p_new - p)
            q_new = own + step * (q_new - own)
        shut = q_new <= 0
        p = laws.pressure(q_new, p_new)
        if shut.any():
            p[shut] = np.where(p_new[shut] > 0, p_new[shut] / 4, np.minimum(p_new[shut], 0.0))
    return None


def _settled(prepared: Prepared, source_head: float, head: Array) -> Solution:
    """Give the solution at heads that were found by the slow road."""
    chains, at = prepared.chains, prepared.at
    there = head[at] - prepared.height
    own = prepared.laws.at(there)[0]
    flow = chains.summed(_at(at, own, len(chains.order)))
    swept = chains.swept(source_head, prepared.loss(flow)[0])
    worst = float(np.max(np.abs(swept - head)))
    if not worst <= _SETTLED:
        raise OutOfRange(
            "network",
            f"no steady flow found; heads still differ by {worst:.2g} m",
            "look for a bore or a flow in the wrong unit",
        )
    return _told(prepared, source_head, swept, flow, own, there, _MOST_ROUNDS, worst)


def _at(place: Index, values: Array, places: int) -> Array:
    return np.asarray(np.bincount(place, values, places), float)


def _eliminate(chains: Chains, carry: Array, drawn: Array, pushed: Array) -> Array:
    """Solve the linear tree: leaf to root by chains, and back.

    ``carry`` is dQ/dh of each link, ``drawn`` dq/dp at each place, ``pushed`` the right side.
    """
    from scipy.linalg.lapack import dpttrf, dpttrs

    diagonal, right = drawn + carry, pushed
    inner = np.flatnonzero(chains.inside)
    diagonal[inner + 1] += carry[inner]  # a chain's next place carries this link too
    for level in chains.levels:
        hung = level.hangs >= 0
        np.add.at(diagonal, level.hangs[hung], carry[level.head[hung]])
    coupling = np.where(chains.inside, -carry, 0.0)
    factors = []
    for level in chains.levels:
        a, b = level.begin, level.end
        pivots, ratios, _ = (
            dpttrf(diagonal[a:b], coupling[a : b - 1])
            if b - a > 1
            else (diagonal[a:b].copy(), coupling[a : b - 1].copy(), 0)
        )
        factors.append((pivots, ratios))
        hung = level.hangs >= 0
        if hung.any():
            head, on = level.head[hung], level.hangs[hung]
            held = _back(dpttrs, pivots, ratios, right[a:b])
            np.add.at(diagonal, on, -(carry[head] ** 2) / pivots[head - a])
            np.add.at(right, on, carry[head] * held[head - a])
    found = np.empty_like(right)
    for level, (pivots, ratios) in zip(reversed(chains.levels), reversed(factors), strict=True):
        hung = level.hangs >= 0
        side = right[level.begin : level.end].copy()
        head = level.head[hung]
        side[head - level.begin] += carry[head] * found[level.hangs[hung]]
        found[level.begin : level.end] = _back(dpttrs, pivots, ratios, side)
    return found


def _back(dpttrs: Any, pivots: Array, ratios: Array, right: Array) -> Array:
    if len(right) == 1:
        return np.asarray(right / pivots)
    return np.asarray(dpttrs(pivots, ratios, right)[0])


def _told(
    prepared: Prepared,
    source_head: float,
    head: Array,
    flow: Array,
    own: Array,
    there: Array,
    rounds: int,
    worst: float,
) -> Solution:
    network, chains = prepared.network, prepared.chains
    n = len(network.parent)
    heads, flows, velocity = np.full(n, float(source_head)), np.zeros(n), np.zeros(n)
    heads[chains.order], flows[chains.order] = head, flow
    velocity[1:] = flows[1:] / (np.pi / 4 * network.bore[1:] ** 2)
    # counted link by link again, independent of the sums above
    lost = flows.copy()
    np.add.at(lost, network.parent[1:], -flows[1:])
    np.add.at(lost, network.outlets.node, -own)
    inflow = -lost[0]
    flows[0] = inflow
    missing = float(np.max(np.abs(lost[1:]))) / max(float(inflow), 1e-300) if n > 1 else 0.0
    return Solution(
        frozen(heads),
        frozen(heads - network.elevation),
        frozen(flows),
        frozen(velocity),
        frozen(there),
        frozen(own),
        rounds,
        missing,
        worst,
    )
