"""The critical circle of a section: what the plan, the sheets and the checks ask for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import OutOfRange
from hillwright.stability import polyline, section, trial
from hillwright.stability.circles import Circles
from hillwright.stability.scan import again, scan, starts
from hillwright.stability.search import Minimum, minima
from hillwright.stability.section import Section
from hillwright.stability.skin import skin
from hillwright.stability.slices import SLICES, cut

TRIALS = 2000
_OTHER_SIDE = 0.25  # of the relief: a second face lower than this is not searched
_EDGE = 0.01  # of the section's length: an end this near to the ground's own end was stopped by it
_NEARBY = 0.4  # first steps of a further method over those of the first
_DRAWN = 65  # points of the arc on a drawing


@dataclass(frozen=True, slots=True)
class FamilyMinimum:
    """The least factor among one family of circles by one method."""

    family: str  # "toe", "base", "layer 1" and so on, "free"
    method: str
    factor: float


@dataclass(frozen=True, slots=True, eq=False)
class CriticalCircle:
    """The circle with the least factor of safety, and what else the search saw."""

    methods: tuple[str, ...]
    factors: Array  # (j,) least factor by each method, each on its own circle; nan: none balances
    centre: Array  # (2,) of the circle of the last method that has one [m]
    radius: float  # [m]
    foot: Array  # (2,) where it comes out below [m]
    head: Array  # (2,) where it breaks the ground above, at the top of the crack [m]
    arc: Array  # (m, 2) from foot to head, crack and all, for drawing [m]
    depth: float  # most ground over the arc, upright [m]
    area: float  # of the sliding mass [m2]
    weight: float  # of it and what stands on it [N/m]
    skin: float  # factor of the face's skin; infinite where it has cohesion [-]
    families: tuple[FamilyMinimum, ...]  # least first; near-equal minima are all worth a look
    tried: int  # circles worked out
    at_edge: bool  # an end lies at the end of the ground that was given: give more ground
    anchors: str  # "none", or the side that their pull was counted on: "resisting", "driving"

    def factor(self, method: str) -> float:
        """Give the least factor by one of the methods."""
        return float(self.factors[self.methods.index(method)])


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """What one side of the section gave."""

    section: Section
    best: tuple[Minimum | None, ...]  # by method
    families: tuple[FamilyMinimum, ...]
    tried: int


def _search(given: Section, methods: Sequence[str], trials: int, depth: float | None) -> _Side:
    space = trial.of(given, depth)
    seen = scan(space, trials, trial.named("bishop"))
    start, tried = starts(space, seen), seen.tried
    order = sorted(range(len(methods)), key=lambda i: methods[i] != "bishop")
    best: dict[int, Minimum | None] = {}
    families: list[FamilyMinimum] = []
    for i in order:
        rating = trial.named(methods[i])
        begin = start
        if best or methods[i] != "bishop":
            # a family's circle lies near by any method, but the weakest family may be another
            second = again(space, seen, rating)
            begin = start.joined(starts(space, second, families=False))
            tried += second.tried
        found, ended, more = minima(space, begin, rating)
        if found and not best:
            start = ended.nearer(_NEARBY)
        best[i] = found[0] if found else None
        families += [FamilyMinimum(m.family, methods[i], m.factor) for m in found]
        tried += more
    told = tuple(best[i] for i in range(len(methods)))
    return _Side(given, told, tuple(sorted(families, key=lambda f: f.factor)), tried)


def critical_on(
    given: Section,
    methods: Sequence[str] = ("bishop", "spencer"),
    *,
    trials: int = TRIALS,
    least_depth: float | None = None,
) -> CriticalCircle:
    """Find the critical circle of a section.

    Parameters
    ----------
    given : Section
        Falling either way; both sides of a ridge are searched.
    methods : sequence of str
        Of "bishop", "spencer", "ordinary"; each finds its own circle, and the circle of the last
        is the one that is given.
    trials : int
        About how many circles to scan, before the polish.
    least_depth : float, optional
        Least depth of ground over an arc; 1/20 of the slope's height where the face has no
        cohesion (its skin is told apart), else next to nothing. [m]

    Returns
    -------
    CriticalCircle
        In the frame of the given section.

    Raises
    ------
    OutOfRange
        No circle slides, no method, or an unknown one.
    """
    if not methods:
        raise OutOfRange("methods", "names none", f"give some of {', '.join(trial.METHODS)}")
    if trials < 100:
        raise OutOfRange("trials", f"{trials} circles see too little", "give 100 or more")
    if least_depth is not None and not 0 <= least_depth < given.relief:
        raise OutOfRange(
            "least_depth", "is not a depth in this slope", "give less than the slope's height"
        )
    for name in methods:
        trial.named(name)
    sides = []
    for one in (given, section.mirrored(given)):
        z = one.ground[:, 1]
        rise = float((z - np.minimum.accumulate(z)).max())
        if rise > _OTHER_SIDE * given.relief:
            sides.append(_search(one, methods, trials, least_depth))
    lead = [min((b.factor for b in s.best if b), default=np.inf) for s in sides]
    side = sides[int(np.argmin(lead))]
    found = [b for b in side.best if b]
    if not found:
        right = "give more ground beyond toe and crest, a lower base, or a shallower crack"
        raise OutOfRange("surface", "no circle of this section slides", right)
    factors = np.array([b.factor if b else np.nan for b in side.best])
    tried = sum(s.tried for s in sides)
    return _told(side, tuple(methods), factors, found[-1].circle, tried, side.section is not given)


def _told(
    side: _Side,
    methods: tuple[str, ...],
    factors: Array,
    circle: Circles,
    tried: int,
    flipped: bool,
) -> CriticalCircle:
    mine, sign = side.section, np.array([-1.0 if flipped else 1.0, 1.0])
    s = cut(mine, circle, SLICES)
    arc = drawn(mine, circle)
    x, ground = arc[:, 0], mine.ground[:, 0]
    edge = _EDGE * float(np.ptp(ground))
    side_of_anchors = "none"
    if mine.anchors is not None:
        side_of_anchors = "resisting" if mine.anchors.resisting else "driving"
    return CriticalCircle(
        methods=methods,
        factors=frozen(factors),
        centre=frozen(np.array([circle.x[0], circle.z[0]]) * sign),
        radius=float(circle.radius[0]),
        foot=frozen(arc[0] * sign),
        head=frozen(arc[-1] * sign),
        arc=frozen(arc * sign),
        depth=float(s.deepest[0]),
        area=float(s.area[0]),
        weight=float(s.weight.sum()),
        skin=skin(mine),
        families=side.families,
        tried=tried,
        at_edge=bool(x[0] < ground[0] + edge or x[-1] > ground[-1] - edge),
        anchors=side_of_anchors,
    )


def drawn(given: Section, circle: Circles) -> Array:
    """Give the (m, 2) points of one circle from its foot up to the ground, crack and all [m]."""
    at = np.linspace(circle.foot, circle.head, _DRAWN, axis=1)
    x, z = circle.points(at)
    arc = np.column_stack([x[0], z[0]])
    if given.crack > 0:
        top = float(polyline.height(given.ground, x[0, -1:])[0])
        arc = np.vstack([arc, [x[0, -1], top]])
    return arc
