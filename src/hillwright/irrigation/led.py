"""The ways of a valve's pipes, kept from one plan to the next for a first look at an edit.

A first look leads the pipes as they were led before, where the plants and what they stand on are
the same: another emitter or another need changes sizes and pressures, and only then the ways.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Protocol

from hillwright.arrays import Array, Index
from hillwright.digest import digest
from hillwright.irrigation.model import Irrigation, Wishes
from hillwright.irrigation.parts import Tubing
from hillwright.irrigation.routebound import bound
from hillwright.irrigation.routes import Field, Routes
from hillwright.layout.model import Layout

_GROUNDS = 4  # of which ways are kept


class Early(Protocol):
    """Told a first look; ``kept`` holds from one run to the next what that look is made from."""

    kept: dict[str, Any]

    def __call__(self, result: Irrigation) -> None:
        """Take the first look."""


@dataclass(frozen=True, slots=True, eq=False)
class Led:
    """How a valve's pipes are led."""

    field: Field
    first: int  # number of the field's first row
    routes: Routes

    def again(self, tubes: Index) -> Led:
        """Give the same ways for other numbers of tubes, with the least that any ways then cost."""
        field = replace(self.field, weight=tubes.astype(float))
        return Led(field, self.first, replace(self.routes, bound=bound(field)))


_Kept = tuple[Layout, str, dict[bytes, Led]]


class Before:
    """The ways of the plan before, by the plants that they led to; none on other ground."""

    def __init__(
        self,
        early: Early | None,
        layout: Layout,
        tap: Array,
        shut: tuple[Array, ...] | None,
        wishes: Wishes,
        tubes: tuple[Tubing, ...],
    ) -> None:
        w = wishes
        ground = digest(tap, shut, w.pass_height, w.longest_tube, w.beside, tubes)
        known: list[_Kept] = [] if early is None else early.kept.setdefault("ways", [])
        mine = next((k for k in known if k[0] is layout and k[1] == ground), (layout, ground, {}))
        # the newest last; undo and redo come back to those before
        known[:] = [*(k for k in known if k is not mine), mine][-_GROUNDS:]
        self._led: dict[bytes, Led] = mine[2]

    def knows(self, cells: Index) -> bool:
        """Tell whether there are ways to just these plants."""
        return cells.tobytes() in self._led

    def led(self, cells: Index, tubes: Index) -> Led:
        """Give the ways to these plants."""
        return self._led[cells.tobytes()].again(tubes)

    def keep(self, cells: Index, led: Led) -> None:
        """Keep ways for the next plan."""
        self._led[cells.tobytes()] = led
