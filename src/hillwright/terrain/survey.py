"""From what was measured, by tape, shots or as a grid, to points that passed every check."""

from __future__ import annotations

import numpy as np
import shapely

from hillwright.arrays import Array, Mask, frozen
from hillwright.errors import Problem, SurveyError
from hillwright.job.site import HeightGrid, Site, Spots, TapeSections
from hillwright.terrain import checks
from hillwright.terrain.model import Survey
from hillwright.terrain.outline import cover, cover_problems, ring_problems, shrunk_hull
from hillwright.terrain.tape import reduce_legs


def gather(site: Site) -> Survey:
    """Make a site's measurements into points, checked, with the outline to be planted.

    Parameters
    ----------
    site : Site
        As read from the job's sidecar files.

    Returns
    -------
    Survey
        Points merged where measured twice alike. A grid gives its known nodes, and one text in
        ``where`` that stands for all of them.

    Raises
    ------
    SurveyError
        The measurements do not describe a hillside, or the outline does not lie on it; every
        thing wrong that can be told without guessing is named at once.
    """
    xyz, sigma, where, breaklines = _points(site)
    problems = checks.finite(xyz, where)
    outline: Array | None = None
    wrong: list[Problem] = []
    if site.outline is not None:
        outline, wrong = ring_problems(site.outline, site.outline_where or "outline")
    if problems:
        raise SurveyError.all(problems + wrong)
    problems = checks.duplicates(xyz, where) if len(where) > 1 else []
    keep, home = checks.merged(xyz)
    xyz, sigma = xyz[keep], sigma[keep]
    where = tuple(where[k] for k in keep) if len(where) > 1 else where
    breaklines = tuple(tuple(int(home[k]) for k in line) for line in breaklines)
    problems += checks.shape(xyz, where)
    if problems:
        raise SurveyError.all(problems + wrong)
    hull = _hull(xyz)
    if outline is None:
        outline = shrunk_hull(hull, checks.spacing(xyz, hull))
    elif not wrong:
        wrong = cover_problems(cover(outline, hull), outline, hull, site.outline_where or "outline")
    if problems := wrong + checks.steep(xyz, where):
        raise SurveyError.all(problems)
    return Survey(frozen(xyz), where, breaklines, frozen(sigma), frozen(outline), frozen(hull))


def _hull(xyz: Array) -> Array:
    hull = shapely.convex_hull(shapely.multipoints(xyz[:, :2]))
    ring = shapely.get_coordinates(hull.exterior)[:-1]
    return np.asarray(ring if shapely.is_ccw(hull.exterior) else ring[::-1])


def _points(
    site: Site,
) -> tuple[Array, Array, tuple[str, ...], tuple[tuple[int, ...], ...]]:
    """Points, standard error of each height, where each was written down, breaklines."""
    measured = site.measured
    if isinstance(measured, Spots):
        sigma = np.full(len(measured.xyz), measured.sigma)
        return np.asarray(measured.xyz, float), sigma, measured.where, measured.breaklines
    if isinstance(measured, TapeSections):
        return (*_taped(measured), ())
    return (*_gridded(measured, site.outline), ())


def _taped(taped: TapeSections) -> tuple[Array, Array, tuple[str, ...]]:
    """Reduce all legs to points; each section also has one where it leaves the base line."""
    section = np.asarray(taped.section)
    wrong = [
        Problem(
            taped.where[i],
            f"{taped.distance[i]:g} m at {np.degrees(taped.angle[i]):g} deg is no leg",
            "give a distance above 0 and an angle between -90 and 90 deg",
        )
        for i in np.flatnonzero(~((taped.distance > 0) & (np.abs(taped.angle) < np.pi / 2)))
    ]
    if wrong:
        raise SurveyError.all(wrong)
    xyz, sigma, where = [], [], []
    for k, (chainage, base, left) in enumerate(
        zip(taped.chainage, taped.base_height, taped.left, strict=True)
    ):
        mine = np.flatnonzero(section == k)
        xyz.append([[chainage, 0.0, base]])
        sigma.append([taped.tape_sigma])
        where.append(
            f"{taped.where[mine[0]]} (start of the section)" if mine.size else f"section {k + 1}"
        )
        if mine.size:
            legs = reduce_legs(
                taped.distance[mine], taped.angle[mine], taped.tape_sigma, taped.angle_sigma
            )
            across = legs.offset if left else -legs.offset
            xyz.append(
                np.column_stack([np.full(mine.size, chainage), across, base + legs.height]).tolist()
            )
            sigma.append(np.hypot(legs.height_sigma, taped.tape_sigma).tolist())
            where += [taped.where[i] for i in mine]
    return np.concatenate(xyz), np.concatenate(sigma), tuple(where)


def _gridded(grid: HeightGrid, outline: Array | None) -> tuple[Array, Array, tuple[str, ...]]:
    """Known nodes; of a grid far larger than the outline just those near it."""
    ny, nx = grid.heights.shape
    x = np.asarray(grid.x0 + grid.dx * np.arange(nx), float)
    y = np.asarray(grid.y0 + grid.dy * np.arange(ny), float)
    if outline is not None and np.isfinite(outline).all() and len(outline):
        low, high = outline.min(axis=0), outline.max(axis=0)
        reach = 0.25 * float((high - low).max()) + 4 * max(grid.dx, grid.dy)
        columns = (x >= low[0] - reach) & (x <= high[0] + reach)
        rows = (y >= low[1] - reach) & (y <= high[1] + reach)
        if columns.any() and rows.any():  # else the whole grid, so that the message can say where
            return _nodes(grid, x, y, columns, rows)
    return _nodes(grid, x, y, np.ones(nx, bool), np.ones(ny, bool))


def _nodes(
    grid: HeightGrid, x: Array, y: Array, columns: Mask, rows: Mask
) -> tuple[Array, Array, tuple[str, ...]]:
    heights = grid.heights[np.ix_(rows, columns)]
    xx, yy = np.meshgrid(x[columns], y[rows])
    known = np.isfinite(heights)
    xyz = np.column_stack([xx[known], yy[known], heights[known]])
    return xyz, np.full(len(xyz), grid.sigma), (grid.where,)
