"""A height map of the ground around a site: what lies above may send its water down."""

from __future__ import annotations

import math

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import SurveyError
from hillwright.job import dem
from hillwright.job.crs import parse
from hillwright.job.files import find
from hillwright.job.grid import Grid
from hillwright.job.model import OpenJob, SurveyFile
from hillwright.job.site import HeightGrid, Site

REACH = 300.0  # around the site that water is followed from: a garden's hill, not a valley [m]
_NODES = 40_000  # kept; finer maps are averaged by blocks
_HOW = (
    "export the map in the survey's coordinate system, or give rain.water_from_above in its place"
)


def read_around(opened: OpenJob, site: Site) -> HeightGrid | None:
    """Read the height map that the job names, or what the survey's own DEM holds beyond the site.

    Parameters
    ----------
    opened : OpenJob
        The job.
    site : Site
        The site as read: its frame is that of the map.

    Returns
    -------
    HeightGrid or None
        In the local frame; none where there is no map, or nothing beyond the site in it.

    Raises
    ------
    SurveyError
        The map cannot be read, lies in another coordinate system, off the site, or is not square.
    """
    job, where = opened.job, opened.path.name
    if job.rain.water_from_above is not None:
        return None  # told by the job: nobody needs to look
    if job.rain.map.strip():
        path = find(opened.path, job.rain.map, "rain.map")
        survey = SurveyFile(kind="dem", file=job.rain.map, unit=_unit(opened))
    elif job.survey.kind == "dem":
        path = find(opened.path, job.survey.file, "survey.file")
        survey = job.survey
    else:
        return None
    raster = dem.open_dem(path, survey, where)
    grid = _grid(raster, site, path.name)
    if grid is None:
        return None
    window = _window(raster, grid, site, path.name)
    read, _ = dem.read_heights(raster, window, grid, 0.0)
    return _coarser(read)


def _unit(opened: OpenJob) -> str:
    """Give the unit of a map without a coordinate system: that of a survey on a local grid."""
    survey = opened.job.survey
    return "" if survey.crs else survey.unit


def _grid(raster: dem.Raster, site: Site, file: str) -> Grid | None:
    """Give the way from the map's numbers into the site's frame; none for a survey in degrees."""
    system, frame = raster.system, site.frame
    if system.degrees:
        if isinstance(site.measured, HeightGrid) and site.measured.where == file:
            return None  # the survey's own, read round the site already
        what = f"the map is in degrees ({system.name})"
        raise SurveyError(f"rain.map: {file}", what, _HOW)
    same = (system.crs is None) == (not frame.crs)
    if same and frame.crs:
        same = parse(frame.crs, file).to_2d().equals(system.crs, ignore_axis_order=True)
    if not same:
        survey = frame.crs or "on a local grid"
        what = f"the map is in {system.name or 'a local grid'}, the survey {survey}"
        raise SurveyError(f"rain.map: {file}", what, _HOW)
    origin = (frame.origin_x, frame.origin_y)
    return Grid(
        frame.crs, system.unit, system.unit_name, system.z_unit, frame.scale, origin, frame.north
    )


def _window(raster: dem.Raster, grid: Grid, site: Site, file: str) -> tuple[int, int, int, int]:
    """Choose the rows and columns of the map that lie within reach of the site."""
    places = _places(site)
    a, _, c, _, e, f = raster.transform
    k = grid.unit / grid.scale
    if abs(abs(a) - abs(e)) > 1e-3 * abs(a):
        what = f"its pixels are {abs(a) * k:.3g} m by {abs(e) * k:.3g} m"
        raise SurveyError(f"rain.map: {file}", what, "export it with square pixels")
    numbers = (places + np.asarray(grid.origin)) / k
    j, i = (numbers[:, 0] - c) / a, (numbers[:, 1] - f) / e
    reach = REACH / (abs(a) * k)
    rows, columns = raster.shape
    if i.max() < 0 or j.max() < 0 or i.min() > rows or j.min() > columns:
        raise SurveyError(f"rain.map: {file}", "the site lies off this map", _HOW)
    return (
        max(0, math.floor(i.min() - reach)),
        min(rows, math.ceil(i.max() + reach)),
        max(0, math.floor(j.min() - reach)),
        min(columns, math.ceil(j.max() + reach)),
    )


def _places(site: Site) -> Array:
    """Give places (k, 2) of the site in its frame [m]."""
    if site.outline is not None:
        return site.outline
    if isinstance(site.measured, HeightGrid):
        m = site.measured
        ny, nx = m.heights.shape
        return np.array([[m.x0, m.y0], [m.x0 + nx * m.dx, m.y0 + ny * m.dy]])
    xyz = getattr(site.measured, "xyz", None)
    return np.zeros((1, 2)) if xyz is None else np.asarray(xyz[:, :2])


def _coarser(read: HeightGrid) -> HeightGrid:
    """Average blocks of a fine map: where water gathers on a hill shows in a few metres."""
    block = math.ceil(math.sqrt(read.heights.size / _NODES))
    if block <= 1:
        return read
    ny, nx = (n // block for n in read.heights.shape)
    if min(ny, nx) < 2:
        return read
    cut = read.heights[: ny * block, : nx * block].reshape(ny, block, nx, block)
    shift = (block - 1) / 2
    return HeightGrid(
        read.x0 + shift * read.dx,
        read.y0 + shift * read.dy,
        read.dx * block,
        read.dy * block,
        frozen(np.ascontiguousarray(cut.mean(axis=(1, 3)))),
        read.where,
        read.sigma,
    )
