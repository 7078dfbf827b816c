"""The course of a lateral on one side of the header: along its row, and round its holes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.rounds import over, passed, tubes_by
from hillwright.irrigation.routes import Field


@dataclass(frozen=True, slots=True)
class _Turn:
    """A way round a hole, on the lateral's way out."""

    row: int  # of the field, that it runs along
    begin: float  # where the tubing leaves its own row, outwards from the header [m]
    end: float  # where it comes back, infinite where it does not [m]
    rise: float  # [m]
    tube: dict[int, tuple[float, float, bool]]  # plant -> its tube, station, punched into the way


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """A lateral's side as a line that is walked outwards; places on it are metres walked.

    Along rows they are counted in plan as stations are, up and down the slope along it.
    """

    field: Field
    rows: Rows
    first: int  # number of the field's first row
    carrier: int
    station: float  # where it leaves the header [m]
    sign: float  # 1 to the right, -1 to the left
    turns: tuple[_Turn, ...]  # from the header out
    tube: dict[int, tuple[float, float, bool]]  # of plants at holes that nothing leads round
    crosses: bool  # it runs straight across such a hole

    @classmethod
    def of(
        cls,
        field: Field,
        rows: Rows,
        first: int,
        carrier: int,
        station: float,
        sign: float,
        plants: Index,
    ) -> Course:
        """Lead a lateral to one side; ``plants`` are all that hang on it, on both sides."""
        block = range(int(field.row[plants].min()), int(field.row[plants].max()) + 1)
        span = float(field.station[plants].min()), float(field.station[plants].max())
        turns, tube, crosses = list[_Turn](), dict[int, tuple[float, float, bool]](), False
        for hole in field.holes[carrier] if field.holes else ():
            middle = (hole.left + hole.right) / 2
            if (sign > 0) != (station <= middle):
                continue
            past = passed(field, hole, carrier, block, station, span)
            mine = np.intersect1d(over(field, hole, block), plants)
            half = 0.5 * field.strip + 1e-9
            far = field.station[mine].max(initial=-np.inf) > hole.left + half
            near = field.station[mine].min(initial=np.inf) < hole.right - half
            if not (past.through or (far if sign > 0 else near)):
                continue
            hung = (v.tolist() for v in tubes_by(field, hole, past.way, carrier, mine))
            found = dict(zip(mine.tolist(), zip(*hung, strict=True), strict=True))
            if past.way is None:
                tube |= found
                crosses = True
                continue
            ends = sorted(sign * (x - station) for x in (past.way.begin, past.way.end))
            end = ends[1] if past.through else np.inf
            turns.append(_Turn(past.way.row, ends[0], end, past.way.rise, found))
        turns.sort(key=lambda t: t.begin)
        return cls(field, rows, first, carrier, station, sign, tuple(turns), tube, crosses)

    def places(self, plants: Index) -> tuple[Array, Array]:
        """Give where the tubes of plants are punched in, and how long they are (p,) [m]."""
        known = dict(self.tube)
        for turn in self.turns:
            known |= turn.tube
        way, tube = np.zeros(len(plants)), np.zeros(len(plants))
        for i, q in enumerate(plants.tolist()):
            apart = abs(int(self.field.row[q]) - self.carrier)
            plain = self.field.tube(apart), float(self.field.station[q]), False
            tube[i], station, on = known.get(q, plain)
            way[i] = self._walked(max(self.sign * (station - self.station), 0.0), on)
        return way, tube

    def _walked(self, out: float, on: bool) -> float:
        """Give the place of a station so far out, on the way round a hole or on the row itself."""
        more = 0.0
        for turn in self.turns:
            if out >= turn.end - 1e-9 and not (on and out <= turn.end + 1e-9):
                more += 2 * turn.rise
            elif on and out >= turn.begin - 1e-9:
                more += turn.rise
        return out + more

    def corners(self, last: float) -> list[float]:
        """Give the places at which the tubing turns, as far as it goes."""
        found, more = list[float](), 0.0
        for turn in self.turns:
            found += [turn.begin + more, turn.begin + more + turn.rise]
            if np.isfinite(turn.end):
                found += [turn.end + more + turn.rise, turn.end + more + 2 * turn.rise]
            more += 2 * turn.rise
        return [at for at in found if 1e-9 < at < last - 1e-9]

    def points(self, places: Array, lift: float) -> Array:
        """Give the points (p, 3) of places."""
        found = np.empty((len(places), 3))
        left, more = np.ones(len(places), bool), 0.0  # that lie farther out than the turns so far
        own = np.zeros(len(places))  # how far up or down the slope, with the turns passed
        for turn in self.turns:
            up, along = turn.begin + more, turn.begin + more + turn.rise
            back, on = turn.end + more + turn.rise, turn.end + more + 2 * turn.rise
            beyond = left & (places > up)
            leaves = beyond & (places < along)
            runs = beyond & (places >= along) & (places <= back)
            comes = beyond & (places > back) & (places < on)
            if leaves.any():
                share = (places[leaves] - up) / turn.rise
                found[leaves] = self._between(turn, turn.begin, share, lift)
            if runs.any():
                found[runs] = self._on(turn.row, places[runs] - more - turn.rise, lift)
            if comes.any():
                share = 1 - (places[comes] - back) / turn.rise
                found[comes] = self._between(turn, turn.end, share, lift)
            own[left & ~beyond] = more
            left = beyond & ~(leaves | runs | comes)
            more += 2 * turn.rise
            own[leaves | runs | comes] = np.nan
        own[left] = more
        plain = ~np.isnan(own)
        found[plain] = self._on(self.carrier, places[plain] - own[plain], lift)
        return found

    def _on(self, row: int, out: Array, lift: float) -> Array:
        return self.rows.point(self.first + row, self.station + self.sign * out, lift)

    def _between(self, turn: _Turn, out: float, share: Array, lift: float) -> Array:
        """Give points up or down the slope, so far from the lateral's row to the other."""
        there = np.array([out])
        one, other = self._on(self.carrier, there, lift), self._on(turn.row, there, lift)
        return np.asarray(one + share[:, None] * (other - one))
