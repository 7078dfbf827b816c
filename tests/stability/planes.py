"""A plane hill with a block of cells on it, and what the job says of soil and bars."""

import math
from dataclasses import replace

import numpy as np
from hills import Hill
from laid import lay, rectangle, surface_of

from hillwright.job.ground import Checklist, Holding, SoilText

# invented: sand with some cohesion when wetted
SOIL = {
    "unit_weight": "18 kN/m3",
    "saturated_weight": "20 kN/m3",
    "cohesion": "6 kPa",
    "friction": "33 deg",
    "depth": "1 m",
}
STRONG = {
    "tested_pull": "6 kN",
    "tested_bar": "#5",
    "tested_depth": "0.9 m",
    "clip_strength": "4 kN",
}


def plane(slope, rows=6, columns=5, mask=None, shift=(0.0, 0.0), turn=0.0):
    """A surface and a layout on ground that falls by `slope`, and level beyond nothing."""
    ground = Hill(lambda x, y: (y * math.tan(slope), 0 * x, 0 * y + math.tan(slope)), turn)
    there = np.ones((rows, columns), bool) if mask is None else np.asarray(mask, bool)
    layout = lay(there, ground, slope, turn=turn)
    outline = rectangle(rows, columns, slope) @ _turned(turn)
    surface = surface_of(ground, outline)
    middle = outline.mean(axis=0)
    down = np.array([0.0, -1.0]) @ _turned(turn)
    length = rows * 0.45 * math.cos(slope) + 1.0
    xy = middle + np.linspace(-length / 2, length / 2, 60)[:, None] * down
    fall = np.column_stack([xy, ground.at(xy[:, 0], xy[:, 1])[0]])
    area = float(np.ptp(rectangle(rows, columns, slope), axis=0).prod())
    surface = replace(
        surface,
        slope_mean=slope,
        slope_steepest=slope,
        steepest_at=middle,
        plan_area=area,
        fall_line=fall,
    )
    return surface, layout


def _turned(angle):
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, s], [-s, c]])


def soil(**keys):
    return SoilText.model_validate(SOIL | keys)


def holding(**keys):
    return Holding.model_validate(keys)


def seen(reply="no"):
    return Checklist.model_validate(dict.fromkeys(Checklist.model_fields, reply))
