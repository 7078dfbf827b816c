"""Plan to GeoPackage: every cell, row, stake and spot with its figures, for a map program."""

from __future__ import annotations

import errno
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from hillwright.job.site import Frame
from hillwright.sheets.dripgis import drip_layers
from hillwright.sheets.ground import contour_lines, near_exclusions
from hillwright.sheets.plantlayers import planting_layers
from hillwright.sheets.rows import bar_names
from hillwright.sheets.tables import line_names
from hillwright.sheets.view import survey_xy

if TYPE_CHECKING:
    from hillwright.plan import Plan

DATE = "2000-01-01T00:00:00Z"  # stands in every file, so that the same plan gives the same bytes


def local_crs(frame: Frame) -> str:
    """Give an engineering coordinate system in the survey's unit, for a grid that has none."""
    unit = f'LENGTHUNIT["{frame.unit_name or "survey unit"}",{frame.unit!r}]'
    return (
        'ENGCRS["Local site grid",EDATUM["Site"],CS[Cartesian,2],'
        f'AXIS["easting (E)",east,ORDER[1]],AXIS["northing (N)",north,ORDER[2]],{unit}]'
    )


def layers(plan: Plan) -> dict[str, tuple[str, Any, dict[str, Any]]]:
    """Give each layer's geometry type, geometries (survey coordinates) and fields."""
    frame, layout, setout, surface = plan.site.frame, plan.layout, plan.setout, plan.surface
    bars, held = plan.stability.anchoring, plan.stability.map

    def place(xyz: Any) -> Any:
        xyz = np.asarray(xyz, dtype=float)
        xy = survey_xy(frame, xyz)
        return np.concatenate([xy, xyz[..., 2:] / frame.z_unit], axis=-1)

    rings = near_exclusions(plan.site, surface.outline)
    _, contours = contour_lines(surface, frame.z_unit)
    ends = np.stack([setout.start, setout.end], axis=1)
    degrees = np.degrees
    return {
        "cells": (
            "Polygon Z",
            shapely.polygons(place(layout.corners)),
            {
                "row": layout.row,
                "number": layout.number,
                "panel": layout.panel,
                "anchored": layout.anchored,
                "trimmed": layout.trimmed,
                "off_square_deg": degrees(layout.shear),
                "corner_off_m": layout.twist,
                "void_m": layout.gap,
                "hump_m": layout.hump,
                "run_slope_deg": degrees(layout.run_slope),
                "cross_slope_deg": degrees(layout.cross_slope),
            },
        ),
        "outline": ("Polygon", [shapely.Polygon(place(surface.outline))], {}),
        "exclusions": (
            "Polygon",
            [shapely.Polygon(place(ring)) for _, ring in rings],
            {"name": [name for name, _ in rings]},
        ),
        "rows": (
            "LineString Z",
            shapely.linestrings(place(ends)),
            {
                "line": list(line_names(setout)),
                "row": setout.row,
                "cells": setout.cells,
                "first": setout.first,
                "along_m": setout.along,
                "from_string_m": setout.from_string,
            },
        ),
        "stakes": (
            "Point",  # in plan: a height that is not known must not turn into one
            shapely.points(place(setout.stake)[:, :2]),
            {
                "point": list(setout.stake_name),
                "elevation": setout.stake[:, 2] / frame.z_unit,
                "description": list(setout.stake_note),
            },
        ),
        "bars": (
            "Point",
            shapely.points(place(bars.place)[:, :2]),
            {
                "point": bar_names(bars, layout),
                "row": layout.row[bars.place_cell],
                "number": layout.number[bars.place_cell],
                "elevation": bars.place[:, 2] / frame.z_unit,
                "depth_m": np.full(len(bars.place), bars.length),
            },
        ),
        "slope_factor": (
            "Point",
            shapely.points(survey_xy(frame, held.xy)),
            {
                "slope_deg": degrees(held.slope),
                "bare_as_found": held.bare[0],
                "bare_soaked": held.bare[1],
                "cells_soaked": held.filled[1],
                "p10": held.p10,
                "p50": held.p50,
                "p90": held.p90,
                "chance_below_1": held.chance,
            },
        ),
        "spots": (
            "Polygon",
            [shapely.Polygon(place(s.ring)) for s in surface.spots],
            {
                "number": np.array([s.number for s in surface.spots], dtype=np.int64),
                "what": ["dip" if s.fill > s.trim else "hump" for s in surface.spots],
                "depth_m": np.array([s.depth for s in surface.spots], dtype=float),
                "trim_m3": np.array([s.trim for s in surface.spots], dtype=float),
                "fill_m3": np.array([s.fill for s in surface.spots], dtype=float),
            },
        ),
        "seams": (
            "LineString",
            [shapely.LineString(place(np.reshape(s.at, (2, 2)))) for s in layout.seams],
            {
                "why": [s.why for s in layout.seams],
                "widest_m": np.array([s.widest for s in layout.seams], dtype=float),
            },
        ),
        "contours": (
            "LineString",
            [shapely.LineString(place(line)) for _, line in contours],
            {"elevation": np.array([level for level, _ in contours], dtype=float)},
        ),
        **planting_layers(plan, place),
        **drip_layers(plan, place),
    }


def write_gpkg(plan: Plan, path: Path) -> None:
    """Write the plan as a GeoPackage in the survey's coordinate system, or a local one.

    Raises
    ------
    OSError
        The disk is full or the file cannot be written.
    """
    import pyogrio

    crs = plan.site.frame.crs or local_crs(plan.site.frame)
    # the file is made aside: nothing is lost if the machine stops half way
    settings = {"OGR_CURRENT_DATE": DATE, "OGR_SQLITE_SYNCHRONOUS": "OFF"}
    before = {name: pyogrio.get_gdal_config_option(name) for name in settings}
    pyogrio.set_gdal_config_options(settings)
    try:
        for k, (name, (kind, shapes, fields)) in enumerate(layers(plan).items()):
            with warnings.catch_warnings():
                # a layer without features (no seam, no spot) is meant
                warnings.simplefilter("ignore", UserWarning)
                pyogrio.raw.write(
                    path,
                    geometry=np.array(shapely.to_wkb(np.array(shapes, dtype=object)), dtype=object),
                    field_data=[_column(values) for values in fields.values()],
                    fields=np.array(list(fields), dtype=object),
                    layer=name,
                    driver="GPKG",
                    geometry_type=kind,
                    crs=crs,
                    append=k > 0,
                )
    except (pyogrio.errors.DataSourceError, pyogrio.errors.DataLayerError) as error:
        said = str(error).rpartition(": ")[2]  # the statement that failed stands before it
        raise OSError(errno.EIO, f"map file: {said}") from error
    finally:
        pyogrio.set_gdal_config_options(before)


def _column(values: Any) -> Any:
    if isinstance(values, list):
        return np.array(values, dtype=object)
    array = np.asarray(values)
    return array.astype(np.int64) if array.dtype.kind in "iu" else array
