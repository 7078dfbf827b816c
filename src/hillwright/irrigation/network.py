"""A drip network as a tree: links, heights, emitters; and what a steady solution of it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index

STEEP = 0.3  # exponents from here on are followed by flow, flatter ones by pressure
TRICKLE = 0.05  # pressure head under which no emitter compensates [m]


@dataclass(frozen=True, slots=True, eq=False)
class Outlets:
    """m emitters, each with its own law: two powers of pressure that meet at the onset.

    q = nominal (p/onset)^below up to the onset and nominal (p/onset)^above from there on. An
    emitter that does not compensate has the same exponent on both sides.
    """

    node: Index  # (m,) where each hangs
    nominal: Array  # (m,) flow at the onset [m3/s]
    onset: Array  # (m,) pressure head where the laws meet [m]
    below: Array  # (m,) exponent under it [-]
    above: Array  # (m,) exponent over it, 0 for a perfectly compensating one [-]

    @classmethod
    def power(cls, node: Index, coefficient: Array | float, exponent: Array | float) -> Outlets:
        """Give emitters q = k h^x, k being the flow at one metre [m3/s].

        An emitter that hardly follows pressure still gives nothing at none: below ``TRICKLE`` it
        is let follow the square root.
        """
        k = np.broadcast_to(np.asarray(coefficient, float), node.shape).copy()
        x = np.broadcast_to(np.asarray(exponent, float), node.shape).copy()
        flat = x < STEEP
        onset = np.where(flat, TRICKLE, 1.0)
        return cls(node, k * onset**x, onset, np.where(flat, 0.5, x), x)

    @classmethod
    def compensating(
        cls, node: Index, nominal: Array | float, onset: Array | float, above: float = 0.0
    ) -> Outlets:
        """Give emitters that hold their nominal flow from the onset on."""
        q = np.broadcast_to(np.asarray(nominal, float), node.shape).copy()
        p = np.broadcast_to(np.asarray(onset, float), node.shape).copy()
        return cls(node, q, p, np.full(len(node), 0.5), np.full(len(node), above))


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """n nodes; node 0 is the source, and every other hangs on one before it by one link."""

    parent: Index  # (n,) -1 for the source
    elevation: Array  # (n,) [m]
    length: Array  # (n,) of the link that leads to the node, fittings' lengths included [m]
    bore: Array  # (n,) inside diameter of that link [m]
    roughness: Array  # (n,) [m]
    minor: Array  # (n,) sum of its fittings' K in v2/2g [-]
    outlets: Outlets


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Steady flow in a network."""

    head: Array  # (n,) total head at each node [m]
    pressure: Array  # (n,) pressure head at each node [m]
    flow: Array  # (n,) of the link that leads to each node; at the source all of it [m3/s]
    velocity: Array  # (n,) mean in that link [m/s]
    outlet_pressure: Array  # (m,) pressure head at each emitter [m]
    outlet_flow: Array  # (m,) [m3/s]
    rounds: int  # of Newton's method
    continuity: float  # worst flow that is lost at a node, over the inflow [-]
    energy: float  # worst departure of an emitter's own pressure from its node's [m]
