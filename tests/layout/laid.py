"""Cells laid straight on any ground, without the rooms that would really do it."""

import math

import numpy as np

from hillwright.job.site import Exclusion, Frame, Site
from hillwright.layout.bond import clip_pairs
from hillwright.layout.model import CellShape, Layout
from hillwright.terrain.heightfield import HeightField, Window
from hillwright.terrain.model import Surface, Tin

WIDTH, RUN = 0.6, 0.45


def shape(half_offset=False, clips=2):
    return CellShape(WIDTH, RUN, 0.2, half_offset, 0.012, clips, 0.03, 0.05, 0.4, 5.0)


def lay(mask, ground, slope, half_offset=False, turn=0.0, trimmed=None, panel=None, top=(0.0, 0.0)):
    """Lay the cells of a mask (rows down, columns to the right looking uphill).

    The rows run east, turned by `turn`; the ground falls to the south by `slope` for the spacing
    of the rows in plan.
    """
    mask = np.asarray(mask, bool)
    line, column = np.nonzero(mask)
    unit = 2 if half_offset else 1
    column = column * unit + (line % 2 if half_offset else 0)
    u = column * WIDTH / unit
    v = line * RUN * math.cos(slope)
    d = RUN * math.cos(slope)
    along = np.stack([u, u + WIDTH, u + WIDTH, u], axis=1)
    down = np.stack([v, v, v + d, v + d], axis=1)
    c, s = math.cos(turn), math.sin(turn)
    x, y = top[0] + along * c + down * s, top[1] + along * s - down * c
    corners = np.stack([x, y, ground.at(x, y)[0]], axis=2)
    n = len(line)
    row = line + 1
    number = np.concatenate([[0], *(np.arange(1, k + 1) for k in mask.sum(axis=1))])[1:].astype(int)
    zero = np.zeros(n)
    first = corners[row == row.min(initial=1)]
    string = np.concatenate([first[:, 0], first[-1:, 1]]) if n else np.empty((0, 3))
    none = np.zeros(n, bool)
    return Layout(
        cell=shape(half_offset),
        corners=corners,
        row=row,
        number=number,
        panel=np.ones(n, int) if panel is None else np.asarray(panel)[mask],
        anchored=row == 1,
        trimmed=none if trimmed is None else np.asarray(trimmed, bool)[mask],
        shear=zero,
        twist=zero,
        gap=zero,
        hump=zero,
        bend=zero,
        run_slope=zero + slope,
        cross_slope=zero,
        clips=clip_pairs(line, column, half_offset),
        seams=(),
        left_out=(),
        top_string=string,
        top="a straight string",
        tilt=0.0,
        count=n,
        bound=n,
        area_bound=n,
        searched=1,
        workings=(),
        warnings=(),
    )


def surface_of(ground, outline, margin=4.0, step=0.25):
    outline = np.asarray(outline, float)
    low, high = outline.min(axis=0) - margin, outline.max(axis=0) + margin
    nx, ny = (int(k) + 2 for k in np.ceil((high - low) / step))
    field = HeightField.sample(lambda x, y: ground.at(x, y)[0], Window(*low, step, nx, ny))
    return Surface(
        tin=Tin(np.empty((0, 3)), np.empty((0, 3), int)),
        ground=field,
        graded=field,
        supported=np.ones((ny, nx), bool),
        outline=outline,
        method="made",
        trials=(),
        rmse=0.0,
        smoothing=0.0,
        slope_mean=0.0,
        slope_steepest=0.0,
        steepest_at=np.zeros(2),
        aspect=math.pi,
        roughness=0.0,
        bend=0.0,
        bend_along_row=False,
        bend_at=np.zeros(2),
        plan_area=0.0,
        slope_area=0.0,
        covered=1.0,
        spots=(),
        trim=0.0,
        fill=0.0,
        fall_line=np.zeros((2, 3)),
        workings=(),
        warnings=(),
    )


def site_with(outline, benchmarks=(None, None), base_line=None, exclusions=()):
    none = np.empty((0, 2))
    return Site(
        measured=None,
        frame=Frame(0.0, 0.0, 1.0, 1.0, "m", "", 0.0, ""),
        outline=np.asarray(outline, float),
        outline_where="made",
        exclusions=tuple(Exclusion(f"place {k}", np.asarray(e)) for k, e in enumerate(exclusions)),
        string=None,
        base_line=None if base_line is None else np.asarray(base_line, float),
        benchmarks=tuple(None if b is None else np.asarray(b, float) for b in benchmarks),
        fixed_rows=none,
        fixed_cell=None,
        keep=none,
        leave_out=none,
    )


def rectangle(rows, columns, slope):
    """Give the outline round a block laid with its top left corner at 0, 0."""
    w, d = columns * WIDTH, rows * RUN * math.cos(slope)
    return np.array([[-0.1, -d - 0.1], [w + 0.4, -d - 0.1], [w + 0.4, 0.1], [-0.1, 0.1]])
