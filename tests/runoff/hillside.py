"""Invented cells on a slope for the tests of the storm on the rows."""

import math
from types import SimpleNamespace

import numpy as np

from hillwright.terrain.heightfield import HeightField, Window

SLOPE = 0.5


def laid(rows, columns, *, slope=0.5, cross=0.0, offset=True, wave=0.0, width=0.6, run=0.45):
    """Give corners (n, 4, 3), rows (n,), clips (m, 2) of a grid hung on a slope that falls south.

    The ground is z = slope y + cross x + a wave; rows are offset by half a cell in turn.
    """
    down = run / np.hypot(1, slope)
    at, corners, row = {}, [], []
    for i in range(rows):
        for j in range(columns):
            x, y = j * width + (width / 2 if offset and i % 2 else 0.0), -i * down
            plan = np.array([(x, y), (x + width, y), (x + width, y - down), (x, y - down)])
            z = slope * plan[:, 1] + cross * plan[:, 0]
            z += wave * np.sin(plan[:, 0] / 1.7) * np.cos(plan[:, 1] / 1.1)
            at[i, j] = len(corners)
            corners.append(np.column_stack((plan, z)))
            row.append(i + 1)
    clips = [(at[i, j], at[i, j + 1]) for i, j in at if (i, j + 1) in at]
    for i, j in at:
        below = ((0, 1) if i % 2 else (-1, 0)) if offset else (0,)
        clips += [(at[i, j], at[i + 1, j + d]) for d in below if (i + 1, j + d) in at]
    return np.array(corners), np.array(row), np.array(clips, int).reshape(-1, 2)


def without(corners, row, clips, gone):
    """Leave some cells out, as round a tree."""
    stays = np.setdiff1d(np.arange(len(corners)), gone)
    new = np.full(len(corners), -1)
    new[stays] = np.arange(len(stays))
    clips = new[clips]
    return corners[stays], row[stays], clips[(clips >= 0).all(axis=1)]


def hill(rows=6, columns=8, above=0.0, slope=SLOPE):
    """Cells on a plane, and an outline one metre wider than they are."""
    corners, row, clips = laid(rows, columns, slope=slope, offset=False)
    x0, y0 = corners[..., 0].min() - 1, corners[..., 1].min() - 1
    x1, y1 = corners[..., 0].max() + 1, corners[..., 1].max() + above
    window = Window(x0 - 1, y0 - 1, 0.1, int((x1 - x0 + 2) / 0.1), int((y1 - y0 + 2) / 0.1))
    ground = HeightField.sample(lambda x, y: slope * y + 0 * x, window)
    gx, gy = window.mesh()
    outline = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    surface = SimpleNamespace(
        ground=ground,
        graded=ground,
        supported=(gx >= x0) & (gx <= x1) & (gy >= y0) & (gy <= y1),
        outline=outline,
        plan_area=float((x1 - x0) * (y1 - y0)),
        slope_mean=math.atan(slope),
    )
    top = np.array([(*corners[0, 0, :2],), (*corners[columns - 1, 1, :2],)])
    layout = SimpleNamespace(
        corners=corners,
        row=row,
        number=np.arange(len(row)),
        clips=clips,
        cell=SimpleNamespace(depth=0.2, width=0.6, run=0.45),
        top_string=np.column_stack((top, SLOPE * top[:, 1])),
    )
    return surface, layout
