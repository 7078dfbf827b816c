"""What a survey leaves in doubt: shots that do not fit, places it does not reach."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Mask
from hillwright.terrain.checks import STEEPEST, spacing
from hillwright.terrain.choose import Choice
from hillwright.terrain.model import Survey
from hillwright.terrain.outline import cover, named_corners

_FOOT = 3.28084
_ROBUST = 4.0  # robust standard deviations that a shot may be off (common practice, no source)
_LEAST = 0.15  # and this far in any case: rough ground is no mistake [m]
_NAMED = 5
_SURE = 3.0  # standard errors of a height that no three points in a row err by (our choice)
_WIDE = 2.0  # points further apart than this many cells do not see what a cell stands on


def misfits(survey: Survey, choice: Choice) -> tuple[str, ...]:
    """Name shots that stand far off what all others say of their place, worst first.

    Both the triangles and the thin plate must find it so. A wrong shot also spoils what is said of
    its neighbours, so those next to one that is named, and next to these, are not named as well;
    and a shot at the edge, which only the plate can judge, is named only when no other is.
    """
    n, tin, z = len(survey.xyz), choice.tin, survey.xyz[:, 2]
    off, by_tin = z - choice.by_plate, z - choice.by_tin
    known = np.isfinite(off) & np.isfinite(choice.odd)
    known[[k for line in survey.breaklines for k in line]] = False
    if known.sum() < 6:
        return ()
    inner = np.isfinite(by_tin)
    size = np.where(known, np.abs(choice.odd), 0.0)
    least = np.maximum(_LEAST, _ROBUST * survey.sigma)
    suspect = (size > _ROBUST * _robust(size[known])) & (np.abs(off) > least)
    if inner.any():
        least = np.maximum(least, _ROBUST * _robust(by_tin[inner]))
        suspect[inner] &= np.abs(by_tin[inner]) > least[inner]
    if (suspect & inner).any():
        suspect &= inner
    told: list[str] = []
    while suspect.any() and len(told) < _NAMED:
        k = int(np.argmax(np.where(suspect, size, 0.0)))
        told.append(
            f"{survey.where[k]}: stands {abs(off[k]):.2f} m {'above' if off[k] > 0 else 'below'} "
            "what the points round it say; check the shot, or leave it out"
        )
        near = np.zeros(len(tin.xyz), bool)
        near[k] = True
        for _ in range(2):
            near[tin.triangles[near[tin.triangles].any(axis=1)]] = True
        suspect &= ~near[:n]
    return tuple(told)


def _robust(miss: Array) -> float:
    """Give the standard deviation of misses by their median: wrong ones do not count."""
    return 1.4826 * float(np.median(np.abs(miss)))


def doubts(
    survey: Survey, choice: Choice, inside: Mask, cell: float, slope_mean: float, where: str
) -> tuple[float, tuple[str, ...]]:
    """How much of the outline is covered, and everything in doubt, in words.

    Parameters
    ----------
    survey : Survey
        Checked points.
    choice : Choice
        The surface through them.
    inside : (ny, nx) mask
        Nodes inside the outline.
    cell : float
        Longer side of a cell [m].
    slope_mean : float
        Mean slope inside the outline [rad].
    where : str
        Where the outline was given.
    """
    told = list(choice.warnings)
    gridded = not len(choice.by_plate)  # the surface of a grid
    found = cover(survey.outline, survey.hull)
    share = found.share
    if gridded:  # a grid may have holes inside its hull
        share = min(share, float(choice.supported[inside].mean()))
    if share < 0.9995:
        lying = named_corners(found) if found.outside else "places without a height lie in it"
        told.append(
            f"{where}: the survey covers {share:.1%} of the outline ({lying}); "
            "the ground there is only carried on from what was surveyed"
        )
    if not gridded:
        apart = spacing(survey.xyz, survey.hull)
        if apart > _WIDE * cell:
            told.append(
                f"the points stand {apart:.1f} m apart ({apart / cell:.0f} cells): dips and rocks "
                "smaller than that are not in the survey; look for them on the ground"
            )
        told += misfits(survey, choice)
        told += _steep_places(survey, choice)
    if slope_mean > np.radians(45):
        as_feet = np.degrees(np.arctan(np.tan(slope_mean) / _FOOT))
        told.append(
            f"the ground falls at {np.degrees(slope_mean):.0f} deg on the whole; if the heights "
            f"were in feet among metres it would be {as_feet:.0f} deg: check the units"
        )
    return share, tuple(told)


def _steep_places(survey: Survey, choice: Choice) -> list[str]:
    """Warn of triangles that are no ground to lay cells on."""
    tin = choice.tin
    a, b, c = (tin.xyz[tin.triangles[:, k]] for k in range(3))
    normal = np.cross(b - a, c - a)
    fall = np.hypot(normal[:, 0], normal[:, 1])
    # three points almost in a line tilt as their heights happen to err: what the errors of the
    # heights explain is no cliff
    longest = np.max([np.hypot(*(q - p)[:, :2].T) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    steep = (fall > np.tan(STEEPEST) * normal[:, 2]) & (
        fall > _SURE * float(survey.sigma.max()) * longest
    )
    if not steep.any():
        return []
    area = float(normal[steep, 2].sum() / 2)
    # named by the steepest pair of points that such a place hangs between
    t = tin.triangles[steep]
    pairs = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    pairs = pairs[(pairs < len(survey.xyz)).all(axis=1)]
    between = ""
    if len(pairs):
        d = tin.xyz[pairs[:, 1]] - tin.xyz[pairs[:, 0]]
        first, second = sorted(pairs[np.argmax(np.abs(d[:, 2]) / np.hypot(d[:, 0], d[:, 1]))])
        between = f", the steepest between {survey.where[first]} and {survey.where[second]}"
    size = f"({area:.2f} m2 in plan)"
    count = int(steep.sum())
    places = f"1 place {size} is" if count == 1 else f"{count} places {size} are"
    return [
        f"{places} steeper than 60 deg{between}: "
        "a cliff, a wall or a wrong shot; cells cannot lie there"
    ]
