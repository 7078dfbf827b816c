"""DEM GeoTIFF: the heights of a window round the outline, rows going north, in local metres."""

from __future__ import annotations

import math
import re
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import SurveyError
from hillwright.job.crs import parse
from hillwright.job.grid import Grid, System, of_crs, system, unit_factor
from hillwright.job.model import SurveyFile
from hillwright.job.site import HeightGrid
from hillwright.method import method

MOST = 4_000_000  # heights kept; finer rasters are averaged by blocks
_READ = 100_000_000  # pixels that are ever read
_NEVER = -1000.0  # no land lies so low: -9999, -32768, -999999 are "no data" left undeclared [m]
_BAND_UNITS = {
    **dict.fromkeys(("m", "metre", "meter", "metres", "meters"), "m"),
    **dict.fromkeys(("ft", "foot", "feet", "international foot"), "ft"),
    **dict.fromkeys(("us survey foot", "us survey feet", "us_survey_foot"), "us_survey_foot"),
    **dict.fromkeys(("us-ft", "ftus", "foot_us"), "us_survey_foot"),
}


class PixelCentre(NamedTuple):
    """Where a raster's height stands."""

    x: Array
    y: Array


@method(
    title="Centre of a raster's pixel",
    equation="x = a (col + 1/2) + b (row + 1/2) + c; y = d (col + 1/2) + e (row + 1/2) + f",
    source="Rasterio documentation, Transforms",
)
def pixel_centre(transform: Array, row: Array, col: Array) -> PixelCentre:
    """Give the map position of a pixel's centre, where its height holds.

    Parameters
    ----------
    transform : (6,) array
        a, b, c, d, e, f of the affine transform from pixel corners to the map. [any]
    row, col : array
        Counted from 0 at the upper left. [-]

    Returns
    -------
    x, y : array
        Map position of each centre. [any]
    """
    a, b, c, d, e, f = (float(v) for v in np.asarray(transform).ravel()[:6])
    i, j = np.asarray(row, dtype=float) + 0.5, np.asarray(col, dtype=float) + 0.5
    return PixelCentre(a * j + b * i + c, d * j + e * i + f)


@dataclass(frozen=True, slots=True, eq=False)
class Raster:
    """A DEM that has been opened and looked at, not yet read."""

    path: Path
    system: System
    transform: tuple[float, float, float, float, float, float]
    shape: tuple[int, int]  # rows, columns

    def corners(self, window: tuple[int, int, int, int]) -> Array:
        """Give the (4, 2) outer pixel centres of a window, in the file's numbers."""
        r0, r1, c0, c1 = window
        x, y = pixel_centre(
            np.array(self.transform),
            np.array([r0, r0, r1 - 1, r1 - 1]),
            np.array([c0, c1 - 1, c1 - 1, c0]),
        )
        return np.column_stack([x, y])


def open_dem(path: Path, survey: SurveyFile, where: str) -> Raster:
    """Look at a DEM: its coordinate system, units and size.

    Raises
    ------
    SurveyError
        Not a raster, not one band of heights, no place on the map, rotated, or a coordinate
        system or unit that is not what the job says.
    """
    import rasterio

    file = path.name
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", rasterio.errors.NotGeoreferencedWarning)
        try:
            with rasterio.open(path) as src:
                bands, kind, code = src.count, src.dtypes[0], src.crs
                band_unit, transform = (src.units[0] or "").strip().lower(), src.transform
                shape = (src.height, src.width)
                code_text = code.to_string() if code else ""
                wkt = code.to_wkt() if code else ""
        except rasterio.errors.RasterioError as error:
            raise SurveyError(file, "cannot be read as a raster", "export a GeoTIFF") from error
    if bands != 1 or "complex" in kind:
        what = f"has {bands} bands" if bands != 1 else f"holds {kind} numbers"
        raise SurveyError(file, f"{what}: a picture, not heights", "export one band of heights")
    if transform.is_identity:
        raise SurveyError(file, "has no place on the map", "export it with its georeference")
    if transform.b or transform.d:
        raise SurveyError(file, "is rotated against north", "export it with north up")
    if transform.a <= 0 or not all(math.isfinite(v) for v in transform[:6]):
        raise SurveyError(file, "its columns do not go east", "export it with north up")
    if min(shape) < 2:
        raise SurveyError(file, f"is {shape[0]} x {shape[1]} pixels", "export the whole hillside")
    used = _system(wkt, code_text, band_unit, survey, file, where)
    return Raster(path, used, tuple(float(v) for v in transform[:6]), shape)  # type: ignore[arg-type]


def _system(
    wkt: str, name: str, band_unit: str, survey: SurveyFile, file: str, where: str
) -> System:
    """Settle the coordinate system and the unit of height between the file and the job."""
    if not wkt:
        used = system(survey.crs, "" if survey.crs else survey.unit, where)
    else:
        # the code, where there is one: WKT in a raster does not say where the system holds
        crs = parse(name if re.fullmatch(r"EPSG:\d+", name) else wkt, file)
        used = of_crs(crs, name if len(name) < 40 else crs.name, "", where)
        if survey.crs and parse(survey.crs, f"{where}: survey.crs").to_2d() != crs.to_2d():
            same = of_crs(parse(survey.crs, where), survey.crs, "", where).crs.equals(
                used.crs, ignore_axis_order=True
            )
            if not same:
                raise SurveyError(
                    f"{where}: survey.crs",
                    f"the job says {survey.crs}, the file {file} says {used.name}",
                    "leave survey.crs out: the file knows its own",
                )
    given = unit_factor(survey.unit, f"{where}: survey.unit") if survey.unit else None
    band = unit_factor(_BAND_UNITS[band_unit], file) if band_unit in _BAND_UNITS else None
    if given and band and abs(given / band - 1) > 1e-9:
        raise SurveyError(
            f"{where}: survey.unit",
            f"the job says heights in {survey.unit}, the file {file} says {band_unit}",
            "leave survey.unit out: the file knows its own",
        )
    notes = used.notes
    z = band or given
    if z is None:
        z = used.z_unit
        if not notes and used.crs is not None:
            notes = (f"Heights taken in the unit of {used.name}: the file does not say.",)
    else:
        notes = ()
    return System(used.crs, used.name, used.unit, used.unit_name, z, notes)


def window(raster: Raster, outline: Array | None) -> tuple[int, int, int, int]:
    """Choose the rows and columns to read: the outline and a margin of a quarter of it.

    Parameters
    ----------
    raster : Raster
    outline : (k, 2) array or None
        In the file's numbers.

    Returns
    -------
    first row, row after the last, first column, column after the last

    Raises
    ------
    SurveyError
        The outline lies off the raster, or the site is too large to read.
    """
    rows, cols = raster.shape
    found = (0, rows, 0, cols)
    if outline is not None:
        a, _, c, _, e, f = raster.transform
        j, i = (outline[:, 0] - c) / a, (outline[:, 1] - f) / e
        edge = 4 + 0.25 * max(float(np.ptp(i)), float(np.ptp(j)))
        found = (
            max(0, math.floor(i.min() - edge)),
            min(rows, math.ceil(i.max() + edge)),
            max(0, math.floor(j.min() - edge)),
            min(cols, math.ceil(j.max() + edge)),
        )
        off = i.max() < 0 or j.max() < 0 or i.min() > rows or j.min() > cols
        if off or found[1] - found[0] < 2 or found[3] - found[2] < 2:
            raise SurveyError(
                raster.path.name,
                "the outline lies outside this DEM",
                "check the order (longitude, latitude) and the coordinate system of the outline",
            )
    if (found[1] - found[0]) * (found[3] - found[2]) > _READ:
        raise SurveyError(
            raster.path.name,
            f"has {found[1] - found[0]} x {found[3] - found[2]} pixels on the site",
            "cut it down to the hillside, or give an outline",
        )
    return found


def read_heights(
    raster: Raster, rows_cols: tuple[int, int, int, int], grid: Grid, sigma: float
) -> tuple[HeightGrid, list[str]]:
    """Read the heights of a window into the local frame.

    Raises
    ------
    SurveyError
        There is no height in it at all.
    """
    import rasterio
    from rasterio.windows import Window

    r0, r1, c0, c1 = rows_cols
    with rasterio.open(raster.path) as src:
        band = src.read(1, window=Window.from_slices((r0, r1), (c0, c1)), masked=True)
        z = np.ma.filled(band.astype(float), np.nan) * src.scales[0] + src.offsets[0]
    z *= grid.z_unit
    notes = _clean(z)
    a, _, _, _, e, _ = raster.transform
    x, y = pixel_centre(np.array(raster.transform), np.array([r0]), np.array([c0]))
    if raster.system.degrees:
        z, x0, y0, dx, dy = _projected(z, raster, rows_cols, grid)
    else:
        if e < 0:
            z, y = z[::-1], y + e * (r1 - r0 - 1)
        k = grid.unit / grid.scale
        x0, y0 = grid.local(np.array([x[0], y[0]]))
        dx, dy = a * k, abs(e) * k
    z, block = _averaged(z)
    if block > 1:
        x0, y0, dx, dy = (
            x0 + (block - 1) / 2 * dx,
            y0 + (block - 1) / 2 * dy,
            dx * block,
            dy * block,
        )
        notes.append(f"Heights averaged over {block} x {block} pixels.")
    if not np.isfinite(z).any():
        raise SurveyError(raster.path.name, "has no heights on the site", "check its no-data value")
    return HeightGrid(
        float(x0), float(y0), float(dx), float(dy), frozen(np.ascontiguousarray(z)),
        raster.path.name, sigma,
    ), notes  # fmt: skip


def _clean(z: Array) -> list[str]:
    """Blank, in place, what stands for "no data" without the file saying so."""
    with np.errstate(invalid="ignore"):
        bad = np.isfinite(z) & ((z < _NEVER) | (z > 1e5))
        z[bad | ~np.isfinite(z)] = np.nan
        notes = [f"{int(bad.sum())} pixels hold no height (undeclared)."] if bad.any() else []
        zero, rest = z == 0, z[np.isfinite(z) & (z != 0)]
        if zero.any() and rest.size and abs(np.median(rest)) > 10 + 5 * np.ptp(rest):
            z[zero] = np.nan
            notes.append(f"{int(zero.sum())} pixels of height 0 far off all others left out.")
    return notes


def _averaged(z: Array) -> tuple[Array, int]:
    """Average square blocks where there are more heights than any hillside needs."""
    block = math.ceil(math.sqrt(z.size / MOST))
    if block <= 1:
        return z, 1
    ny, nx = (n // block for n in z.shape)
    cut = z[: ny * block, : nx * block].reshape(ny, block, nx, block)
    # one blank pixel blanks its block: an average of what is left would lean to one side
    return np.asarray(cut.mean(axis=(1, 3))), block


def _projected(
    z: Array, raster: Raster, rows_cols: tuple[int, int, int, int], grid: Grid
) -> tuple[Array, float, float, float, float]:
    """Lay heights on degrees onto a square grid of local metres (cubic convolution)."""
    from rasterio.crs import CRS
    from rasterio.transform import Affine
    from rasterio.warp import Resampling, reproject

    ring = grid.local(raster.corners(rows_cols))
    low, high = ring.min(axis=0), ring.max(axis=0)
    ny, nx = z.shape
    step = float(min((high[0] - low[0]) / max(nx - 1, 1), (high[1] - low[1]) / max(ny - 1, 1)))
    out = np.full([max(2, round(float(v) / step) + 1) for v in (high - low)[::-1]], np.nan)
    r0, _, c0, _ = rows_cols
    a, _, c, _, e, f = raster.transform
    source = Affine(a, 0, c + a * c0, 0, e, f + e * r0)
    top = low[1] + (out.shape[0] - 1) * step
    target = Affine(step, 0, low[0] - step / 2, 0, -step, top + step / 2)
    reproject(
        z, out, src_transform=source, src_crs=CRS.from_wkt(raster.system.crs.to_wkt()),
        src_nodata=np.nan, dst_transform=target, dst_crs=CRS.from_string(grid.crs),
        dst_nodata=np.nan, resampling=Resampling.cubic, tolerance=0.0,
    )  # fmt: skip
    return out[::-1], float(low[0]), float(low[1]), step, step
