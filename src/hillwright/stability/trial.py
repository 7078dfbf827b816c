"""Trial circles of a search: where they may start and end, how deep, and what factor each has.

A trial is (x of the foot, x of the head, share): the share, 0 to 1, is of the deepest arc that
still comes out at the foot, is nowhere upright and stays above the base. A trial of a family that
touches a layer line has its depth from that line instead.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.stability import circles as arcs
from hillwright.stability import polyline
from hillwright.stability.bishop import bishop, ordinary
from hillwright.stability.circles import Circles
from hillwright.stability.section import Section
from hillwright.stability.skin import skin
from hillwright.stability.slices import Slices, cut
from hillwright.stability.spencer import spencer

FREE = -1  # the family whose depth is its share; others are the index of a layer line
_AT_ONCE = 400  # circles cut together: as many as fit the processor's fast memory
_REACH = 3.5  # times the rise: circles end no further from the foot and head of the slope
_FLATTEST_RISE = 0.02  # of the rise, between the ends of a circle
_SKIN_SHARE, _LEAST_SHARE = 0.05, 0.002  # of the rise: least depth of a circle

Rating = Callable[[Slices], Array]
METHODS: dict[str, Rating] = {
    "ordinary": ordinary,
    "bishop": bishop,
    "spencer": lambda s: spencer(s, bishop(s)).factor,
}


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """Where the circles of one section may lie."""

    section: Section  # in the sliding frame
    left: float  # of all ends [m]
    right: float
    toe: float  # x where the slope has begun to rise [m]
    crest: float  # x where it has all but ended
    rise: float  # height of the slope on this side [m]
    least_depth: float  # of ground over the arc [m]


def of(section: Section, least_depth: float | None = None) -> Space:
    """Look over the side of a section that rises to the right.

    Raises
    ------
    OutOfRange
        The ground nowhere rises to the right.
    """
    ground = section.ground
    x, z = ground[:, 0], ground[:, 1]
    lowest = np.minimum.accumulate(z)
    rise = float((z - lowest).max())
    if rise <= 0:
        raise OutOfRange("surface", "does not rise on this side", "look from the other side")
    high = int(np.argmax(z - lowest))
    low = int(np.flatnonzero(z[: high + 1] == lowest[high])[-1])
    fine = np.linspace(x[low], x[high], 200)
    level = polyline.height(ground, fine)
    toe = float(fine[np.flatnonzero(level < z[low] + 0.03 * rise)[-1]])
    crest = float(fine[np.flatnonzero(level > z[high] - 0.03 * rise)[0]])
    toe = min(toe, crest)
    left = max(float(x[0]), toe - _REACH * rise)
    right = min(float(x[-1]), crest + _REACH * rise)
    if least_depth is None:
        # where the face has no cohesion every search ends in its skin, which is told apart
        least_depth = rise * (_SKIN_SHARE if np.isfinite(skin(section)) else _LEAST_SHARE)
    return Space(section, left, right, toe, crest, rise, least_depth)


def caps(space: Space, x1: Array, x2: Array) -> Array:
    """Give the half angle of the deepest arc between each two ends [rad]."""
    ends = arcs.ends(space.section, x1, x2)
    most = arcs.fullest(*ends)
    if space.section.base is not None:
        most = np.minimum(most, arcs.tangent_to(space.section.base, *ends))
    return most


def place(space: Space, trials: Array, family: Index) -> tuple[Circles, Index]:
    """Make the circles of trials.

    Parameters
    ----------
    space : Space
        Where they may lie.
    trials : (k, 3) array
        x of the foot, x of the head, share. [m], [m], [-]
    family : (k,) intp array
        FREE, or the layer line that each touches.

    Returns
    -------
    circles : Circles
        Those j <= k that can be.
    which : (j,) intp array
        Which trials they are.
    """
    x1, x2 = trials[:, 0], trials[:, 1]
    ends = arcs.ends(space.section, x1, x2)
    can = (x2 > x1) & (ends[3] - ends[1] > _FLATTEST_RISE * space.rise)
    which = np.flatnonzero(can)
    x1, x2, family = x1[which], x2[which], family[which]
    half = caps(space, x1, x2)
    touching = half.copy()
    for i, line in enumerate(space.section.lines):
        mine = np.flatnonzero(family == i)
        if mine.size:
            at = arcs.ends(space.section, x1[mine], x2[mine])
            touch = arcs.tangent_to(line, *at)
            # one that the cap stops before it reaches the line does not touch it
            touching[mine] = np.where(touch < half[mine] * (1 - 1e-9), touch, 0.0)
    half = np.where(family == FREE, trials[which, 2] * half, touching)
    good = half > 1e-4
    which, half = which[good], half[good]
    return arcs.through(*arcs.ends(space.section, x1[good], x2[good]), half), which


def named(method: str) -> Rating:
    """Give the function that rates slices by a method of this name, or refuse the name."""
    if method not in METHODS:
        right = did_you_mean(method, METHODS, f"give one of {', '.join(METHODS)}")
        raise OutOfRange("methods", f"{method!r} is not known to the search", right)
    return METHODS[method]


def rate(space: Space, circles: Circles, rating: Rating, count: int) -> Array:
    """Rate circles, the weakest least; infinite for those that are no surface.

    Parameters
    ----------
    space : Space
        Where they lie.
    circles : Circles
        k of them.
    rating : callable
        Gives (k,) numbers for slices: factors of safety.
    count : int
        Slices.
    """
    found = np.empty(len(circles))
    for start in range(0, len(circles), _AT_ONCE):
        part = slice(start, start + _AT_ONCE)
        with np.errstate(all="ignore"):
            s = cut(space.section, circles.take(part), count)
            each = rating(s)
        found[part] = np.where(s.inside & (s.deepest >= space.least_depth), each, np.inf)
    return found
