"""Which surface to lay through the survey: the one that best predicts points left out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from hillwright.arrays import Array, Mask
from hillwright.terrain import thinplate
from hillwright.terrain.breaklines import segments_of
from hillwright.terrain.checks import spacing
from hillwright.terrain.facets import predict_left_out, skirt, tin_on_grid, trend_of
from hillwright.terrain.heightfield import HeightField, Window
from hillwright.terrain.model import Survey, Tin, Trial
from hillwright.terrain.thinplate import ThinPlate, left_out_error
from hillwright.terrain.tin import triangulate

TIN = "flat triangles"
PLATE = "thin plate"
THROUGH = "thin plate through every point"
_ON_BREAKLINES = 150  # points set along breaklines for the thin plate
_FINE = 6  # nodes per spacing of the points that a thin plate is worked out at


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """Ground at the nodes of a window, and how it was chosen."""

    heights: Array  # (ny, nx), carried on beyond the survey [m]
    supported: Mask  # (ny, nx) nodes that the survey covers
    tin: Tin
    trials: tuple[Trial, ...]  # the one that is used first
    by_tin: Array  # (n,) each point as triangles of all others predict it; none for a grid [m]
    by_plate: Array  # (n,) the same by a thin plate [m]
    odd: Array  # (n,) the plate's miss over its own standard error, up to one common factor
    tested: int  # points that were left out and predicted
    warnings: tuple[str, ...]


def choose_surface(survey: Survey, window: Window) -> Choice:
    """Try flat triangles and thin plates on points left out one at a time; use the best.

    Every trial is scored on the same points: those that are not on a breakline (a line without
    one of its points is another line) nor at the edge of the survey (nothing surrounds them).
    A thin plate meets breaklines as extra points set along them. Where there are no breaklines a
    thin plate is kept unless triangles are better by more than chance.

    Parameters
    ----------
    survey : Survey
        Checked points.
    window : Window
        Nodes that heights are wanted at.
    """
    xyz, n = survey.xyz, len(survey.xyz)
    tin = triangulate(xyz, survey.breaklines, survey.sigma, survey.where)
    free = np.ones(n, bool)
    free[[k for line in survey.breaklines for k in line]] = False
    by_tin = predict_left_out(tin, free)
    scored = np.isfinite(by_tin)
    # too few points that others surround (a survey of its corners): score the plate on all
    scored_by_plate = scored if scored.sum() >= 3 else free
    along = _along_breaklines(tin, survey)
    lying = len(along)
    points = np.concatenate([xyz, along])
    sigma = np.concatenate([survey.sigma, np.full(lying, survey.sigma.min())])
    sigma = np.maximum(sigma, 1e-6)
    box = np.array([window.x[0], window.y[0], window.x[-1], window.y[-1]])
    plate = thinplate.fit(points, sigma, np.pad(scored_by_plate, (0, lying)), box)
    trials, warnings = _score(survey, by_tin, scored, plate, scored_by_plate)
    if trials[0].name == TIN:
        heights = _carried_on(survey, tin, window)
    else:
        nobody = np.zeros(len(points), bool)
        used = thinplate.fit(points, sigma, nobody, box) if trials[0].name == THROUGH else plate
        heights = _plate_on(used, window, spacing(points, survey.hull))
    tested = int(scored.sum() if scored.sum() >= 3 else scored_by_plate.sum())
    supported = _inside_hull(survey.hull, window)
    by_plate, odd = plate.left_out[:n], plate.odd[:n]
    return Choice(heights, supported, tin, trials, by_tin, by_plate, odd, tested, warnings)


def _inside_hull(hull: Array, window: Window) -> Mask:
    """(ny, nx) nodes inside a convex ring, its edge counted in."""
    x, y = window.mesh()
    out = np.ones(x.shape, bool)
    slack = 1e-9 * float(np.ptp(hull, axis=0).max())
    for a, b in zip(hull, np.roll(hull, -1, axis=0), strict=True):
        u = (b - a) / np.hypot(*(b - a))
        out &= u[0] * (y - a[1]) - u[1] * (x - a[0]) >= -slack
    return out


def _score(
    survey: Survey, by_tin: Array, scored: Mask, plate: ThinPlate, scored_by_plate: Mask
) -> tuple[tuple[Trial, ...], tuple[str, ...]]:
    z, n = survey.xyz[:, 2], len(survey.xyz)
    ways = [(PLATE, plate.left_out[:n]), (THROUGH, plate.through[:n])]
    if scored.sum() >= 3:
        ways.append((TIN, by_tin))
    common = scored_by_plate.copy()
    for _, predicted in ways:
        common &= np.isfinite(predicted)
    if n < 4 or not common.any():
        error = float(np.sqrt(np.mean(survey.sigma**2)))
        told = (
            f"{n} points leave none over to check the surface with: its error is given as that of "
            "one height; survey more points"
        )
        # a breakline survey without a spot beside it is best left as its own triangles
        return (Trial(TIN if survey.breaklines else PLATE, error),), (told,)
    trials = [Trial(name, left_out_error(z[common], p[common])) for name, p in ways]
    trials.sort(key=lambda t: t.rmse)
    if trials[0].name == TIN and not survey.breaklines:
        # creases between flat triangles would bend every row laid across them: without breaklines
        # they are taken only where better by more than chance (two standard errors)
        missed = {name: (z[common] - p[common]) ** 2 for name, p in ways}
        better = missed[trials[1].name] - missed[TIN]
        if better.mean() <= 2 * better.std() / np.sqrt(len(better)):
            trials[:2] = trials[1], trials[0]
    return tuple(trials), ()


def _along_breaklines(tin: Tin, survey: Survey) -> Array:
    """Points set evenly along breaklines, closer than those of the survey."""
    pairs = segments_of(survey.breaklines)
    if not len(pairs):
        return np.empty((0, 3))
    a, b = survey.xyz[pairs[:, 0]], survey.xyz[pairs[:, 1]]
    length = np.hypot(*(b - a)[:, :2].T)
    apart = max(0.35 * spacing(survey.xyz, survey.hull), length.sum() / _ON_BREAKLINES)
    pieces = np.maximum(1, np.ceil(length / apart)).astype(int)
    set_out = [
        a[k] + np.arange(1, m)[:, None] / m * (b[k] - a[k]) for k, m in enumerate(pieces) if m > 1
    ]
    crossings = tin.xyz[len(survey.xyz) :]
    if not set_out:
        return np.empty((0, 3))
    found = np.concatenate(set_out)
    # two points a hair apart would make the plate's equations nearly singular
    others = np.concatenate([survey.xyz, crossings])
    tree = shapely.STRtree(shapely.points(others[:, :2]))
    near = tree.query(shapely.points(found[:, :2]), predicate="dwithin", distance=0.05 * apart)[0]
    found = np.delete(found, near, axis=0)
    return np.asarray(found[np.unique(np.round(found[:, :2], 3), axis=0, return_index=True)[1]])


def _plate_on(plate: ThinPlate, window: Window, apart: float) -> Array:
    """Work a thin plate out at a few nodes per spacing and read the window off those.

    A plate is smooth between its points, so that bicubic reading adds far less than its error.
    """
    coarser = max(1, int(apart / _FINE / window.step))
    if coarser == 1:
        return plate.at(*window.mesh())
    step = coarser * window.step
    coarse = Window(
        window.x0 - step,
        window.y0 - step,
        step,
        -(-window.nx // coarser) + 3,
        -(-window.ny // coarser) + 3,
    )
    field = HeightField(coarse.x0, coarse.y0, step, plate.at(*coarse.mesh()))
    return field.on(window.x, window.y)


def _carried_on(survey: Survey, tin: Tin, window: Window) -> Array:
    """Heights on the triangles, and beyond their edge on the fall of the survey's own plane."""
    inside = tin_on_grid(tin, window.x, window.y)
    hull = survey.hull
    apart = spacing(survey.xyz, hull)
    closed = np.concatenate([hull, hull[:1]])
    length = np.hypot(*np.diff(closed, axis=0).T)
    pieces = np.maximum(1, np.ceil(length / apart)).astype(int)
    edge = np.concatenate(
        [
            closed[k] + np.arange(m)[:, None] / m * (closed[k + 1] - closed[k])
            for k, m in enumerate(pieces)
        ]
    )
    # the hull's own corners are points of the survey; between them heights lie in line
    corner = np.argmin(((survey.xyz[None, :, :2] - hull[:, None]) ** 2).sum(axis=2), axis=1)
    z = survey.xyz[corner, 2]
    follow = np.roll(z, -1)
    heights = np.concatenate(
        [z[k] + np.arange(m) / m * (follow[k] - z[k]) for k, m in enumerate(pieces)]
    )
    beyond = skirt(np.column_stack([edge, heights]), window.x, window.y, trend_of(survey.xyz))
    return np.where(np.isfinite(inside), inside, tin_on_grid(beyond, window.x, window.y))
