"""The ground: contours, heights, outline, what to keep off, lines and places of the job."""

from __future__ import annotations

from typing import Any

import numpy as np

from hillwright.arrays import Array
from hillwright.job.site import Site
from hillwright.sheets.ground import contour_lines
from hillwright.web.packed import Column, Made, pack
from hillwright.web.places import FOOT
from hillwright.web.standing import Standing


def ground(s: Standing) -> Made:
    """Give the ground and everything of the job that lies on it."""
    surface, site, job = s.surface, s.site, s.opened.job
    frame = site.frame
    z_unit = _read_in(job.units, frame.z_unit)
    interval, lines = contour_lines(surface, z_unit)
    level = [at * z_unit for at, _ in lines]
    graded = surface.graded
    rings = [spot.ring for spot in surface.spots]
    arrays = {
        "outline": Column("f8", surface.outline, "m"),
        "contour_xy": Column("f4", _joined([line for _, line in lines], 2), "m"),
        "contour_start": Column("u4", _starts([line for _, line in lines])),
        "contour_level": Column("f4", level, "m"),
        "grid": Column("f4", np.where(surface.supported, graded.heights, np.nan), "m"),
        "spots_xy": Column("f4", _joined(rings, 2), "m"),
        "spots_start": Column("u4", _starts(rings)),
    }
    meta = {
        "grid": {"x0": graded.x0, "y0": graded.y0, "step": graded.step},
        "interval": interval * z_unit,
        "north": frame.north,
        "north_known": job.north_known,
        "crs": frame.note,
        "outline_from": site.outline_where,
        "corners": in_job_order(site.outline, job.outline.corners),
        "exclusions": _exclusions(site, job),
        "top_string": xy(site.string),
        "base_line": xy(site.base_line),
        "tap": one(site.tap),
        "outlet": one(site.outlet),
        "entries": xy(site.entries),
        "shades": [
            {"name": e.name, "line": xy(e.line), "height": e.height, "spread": e.spread}
            for e in site.shades
        ],
        "spots": [
            {"number": p.number, "x": p.x, "y": p.y, "depth": p.depth, "trim": p.trim}
            | {"fill": p.fill}
            for p in surface.spots
        ],
    }
    return pack(arrays, meta)


def _exclusions(site: Site, job: Any) -> list[dict[str, Any]]:
    """Give what cells keep off; those of the job with their place in its list."""
    found = []
    left = dict(enumerate(job.exclusion))
    for each in site.exclusions:
        index = next((k for k, e in left.items() if e.name == each.name), None)
        own = left.pop(index) if index is not None else None
        ring = in_job_order(each.ring, own.corners) if own and own.corners else xy(each.ring)
        told: dict[str, Any] = {"name": each.name, "ring": ring or xy(each.ring)}
        told["index"] = index if ring else None  # corners that cannot be told apart have no handles
        if own is not None and own.radius is not None:
            low, high = each.ring.min(axis=0), each.ring.max(axis=0)
            told |= {"centre": one((low + high) / 2), "radius": own.radius}
        found.append(told)
    return found


def in_job_order(ring: Array | None, own: Any) -> list[list[float]] | None:
    """Give a ring's corners in the order in which the job lists them: each handle is its corner.

    Rings are turned counter-clockwise as they are read, and corners on one place are made one:
    then there is no telling which is which, and None is given.
    """
    if ring is None or not own or len(own) != len(ring):
        return None
    x, y = np.asarray(own, float).T
    turned = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) < 0
    return xy(ring[::-1] if turned else ring)


def xy(places: Array | None) -> list[list[float]] | None:
    """Give places in plan, to a tenth of a millimetre."""
    if places is None:
        return None
    return [[round(float(x), 4), round(float(y), 4)] for x, y in np.asarray(places)[:, :2]]


def one(place: Array | None) -> list[float] | None:
    """Give one place in plan."""
    return None if place is None else [round(float(v), 4) for v in place[:2]]


def _joined(lines: list[Array], width: int) -> Array:
    return np.concatenate(lines) if lines else np.empty((0, width))


def _starts(lines: list[Array]) -> Any:
    return np.concatenate([[0], np.cumsum([len(line) for line in lines])])


def _read_in(units: str, surveyed: float) -> float:
    """Give the unit that heights are read in on the page [m]; contours stand at round ones of it.

    A US survey foot stays one: over a hill's height both feet are the same, over its height above
    the sea they are not.
    """
    read = FOOT if units == "us" else 1.0
    return surveyed if abs(surveyed / read - 1) < 1e-4 else read
