"""Small hillsides of cells, made without the rooms that would lay them."""

from __future__ import annotations

import math

import numpy as np

from hillwright.job.site import Frame, Site
from hillwright.layout.model import CellShape, Layout
from hillwright.terrain.heightfield import HeightField, Window
from hillwright.terrain.model import Surface, Tin


def layout(rows, columns, slope=30.0, width=0.6, run=0.45, out=(), bond="stacked"):
    """Lay rows x columns cells on a plane that faces south, but those in ``out``."""
    tilt = math.radians(slope)
    corners, row, number, place = [], [], [], {}
    for r in range(rows):
        shift = 0.5 * width * (r % 2) * (bond == "half-offset")
        count = 0
        for c in range(columns):
            if (r, c) in out:
                continue
            x, y = c * width + shift, (rows - r) * run * math.cos(tilt)
            low = y - run * math.cos(tilt)
            quad = [(x, y), (x + width, y), (x + width, low), (x, low)]
            corners.append([(a, b, b * math.tan(tilt)) for a, b in quad])
            count += 1
            place[r, c] = len(row)
            row.append(r + 1)
            number.append(count)
    clips = []
    for (r, c), i in place.items():
        if (r, c + 1) in place:
            clips.append((i, place[r, c + 1]))
        unders = (c,) if bond == "stacked" else ((c - 1, c) if r % 2 == 0 else (c, c + 1))
        clips += [(i, place[r + 1, k]) for k in unders if (r + 1, k) in place]
    n = len(row)
    zero, none = np.zeros(n), np.zeros(n, bool)
    shape = CellShape(width, run, 0.2, bond != "stacked", 0.01, 2, 0.02, 0.05, 0.4, 5.0)
    return Layout(
        shape, np.array(corners, float).reshape(n, 4, 3), np.array(row, np.intp),
        np.array(number, np.intp), np.ones(n, np.intp), none, none, zero, zero, zero, zero, zero,
        zero, zero, np.array(clips, np.intp).reshape(-1, 2), (), (),
        np.array([[0, rows * run, 0], [columns * width, rows * run, 0]], float),
        "a string", 0.0, n, n, n, 1, (), (),
    )  # fmt: skip


def surface(slope=30.0, size=20.0):
    """Give the plane that the cells lie on."""
    window = Window(-size / 2, -size / 2, 0.5, int(size / 0.5) + 20, int(size / 0.5) + 20)
    field = HeightField.sample(lambda x, y: y * math.tan(math.radians(slope)), window)
    outline = np.array([(0, 0), (6, 0), (6, 5), (0, 5)], float)
    tin = Tin(np.array([[0, 0, 0], [6, 0, 0], [0, 5, 3]], float), np.array([[0, 1, 2]], np.intp))
    return Surface(
        tin, field, field, np.ones(field.heights.shape, bool), outline, "plane", (), 0.01, 0.6,
        math.radians(slope), math.radians(slope), np.zeros(2), math.pi, 0.0, 0.0, True,
        np.zeros(2), 30.0, 34.0, 1.0, (), 0.0, 0.0, np.zeros((0, 3)), (), (),
    )  # fmt: skip


def site(**changed):
    """Give a site at 40 degrees north that has nothing on it."""
    frame = Frame(0.0, 0.0, 1.0, 1.0, "m", "", 0.0, "")
    none = np.empty((0, 2))
    given = {"latitude": math.radians(40.0), "latitude_from": "site.latitude", **changed}
    return Site(
        None, frame, None, "", (), None, None, (None, None), none, None, none, none, **given
    )
