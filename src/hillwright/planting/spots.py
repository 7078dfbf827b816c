"""Where in the sky things stand, told for those places and directions only where they hide it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.planting.screens import Band


class Spots(NamedTuple):
    """What k bands of angles hide, in the order of their directions."""

    at: Index  # (m + 1,) where those of each of the m directions begin
    place: Index  # (k,) from which each is seen
    lower: Array  # (k,) [rad]
    upper: Array  # (k,) [rad]


def spots(band: Band | Spots) -> Spots:
    """Leave out of a band all that hides nothing of the sky over level ground."""
    if isinstance(band, Spots):
        return band
    sector, place = np.nonzero((band.upper > np.maximum(band.lower, 0.0)).T)
    at = np.searchsorted(sector, np.arange(band.upper.shape[1] + 1))
    return Spots(at, place, band.lower[place, sector], band.upper[place, sector])


def all_of(things: Sequence[tuple[Spots, float]], sectors: int) -> tuple[Spots, Array]:
    """Gather the spots of several things, and (k,) the share of light that each lets through."""
    none = Spots(np.zeros(sectors + 1, np.intp), np.empty(0, np.intp), np.empty(0), np.empty(0))
    each = [none, *(one for one, _ in things)]
    sector = np.concatenate([np.repeat(np.arange(sectors), np.diff(one.at)) for one in each])
    order = np.argsort(sector, kind="stable")
    shares = [0.0, *(share for _, share in things)]
    passes = np.repeat(shares, [len(one.place) for one in each])
    place, lower, upper = (
        np.concatenate([getattr(one, name) for one in each])[order]
        for name in ("place", "lower", "upper")
    )
    at = np.searchsorted(sector[order], np.arange(sectors + 1))
    return Spots(at, place, lower, upper), passes[order]
