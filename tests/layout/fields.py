"""Surfaces and sites for tests of the layout, on grounds with exact derivatives."""

import math
from types import SimpleNamespace

import hills
import numpy as np
import shapely

from hillwright.job.site import Exclusion
from hillwright.layout.model import CellShape

STEEP = 0.65


def cell(**changes):
    given = {
        "width": 0.6,
        "run": 0.45,
        "depth": 0.2,
        "half_offset": False,
        "clip_play": 0.0127,
        "clips_per_edge": 2,
        "max_twist": 0.025,
        "max_gap": 0.05,
        "max_bend": math.radians(25),
        "mass": 5.5,
    }
    return CellShape(**(given | changes))


def site(exclusions=(), **changes):
    none = np.empty((0, 2))
    given = {
        "exclusions": tuple(Exclusion(n, np.array(r, float)) for n, r in exclusions),
        "string": None,
        "fixed_rows": none,
        "fixed_cell": None,
        "keep": none,
        "leave_out": none,
    }
    return SimpleNamespace(**(given | {k: np.array(v, float) for k, v in changes.items()}))


def surface(ground, outline):
    """What the layout reads of a Surface: the ground twice, the outline and its areas."""
    outline = np.array(outline, float)
    shape = shapely.Polygon(outline)
    low_x, low_y, high_x, high_y = shape.bounds
    x, y = np.meshgrid(np.linspace(low_x, high_x, 80), np.linspace(low_y, high_y, 80))
    _, zx, zy = ground.at(x, y)
    inside = shapely.contains_xy(shape, x, y)
    factor = float(np.sqrt(1 + zx**2 + zy**2)[inside].mean())
    return SimpleNamespace(
        ground=ground,
        graded=ground,
        outline=outline,
        plan_area=shape.area,
        slope_area=shape.area * factor,
    )


def south_slope():
    """A plane that falls to the south."""
    return hills.plane(0.0, STEEP)


def slope_rectangle(columns, rows, shape, left=0.0, top=0.0, spare=0.02):
    """Plan corners of ground that holds just so many cells on :func:`south_slope`."""
    right = left + columns * shape.width + spare
    depth = (rows * shape.run + spare) / math.hypot(1, STEEP)
    return [(left, top - depth), (right, top - depth), (right, top), (left, top)]
