"""The skin of a face without cohesion: it slides at no depth at all, by its steepness alone."""

from __future__ import annotations

import numpy as np

from hillwright.stability import polyline
from hillwright.stability.section import Section

_FACET = 0.01  # of the relief: rises smaller than this are steps of the survey, not a face


def skin(section: Section) -> float:
    """Give the least factor of a thin layer sliding along the ground where it has no cohesion.

    Parameters
    ----------
    section : Section
        In the sliding frame; only ground that rises to the right counts.

    Returns
    -------
    float
        tan(friction) / tan(slope) where it is dry and still; infinite where the face has cohesion
        everywhere. [-]
    """
    ground = section.ground
    x = np.union1d(ground[:, 0], section.corners)
    x = x[(x >= ground[0, 0]) & (x <= ground[-1, 0])]
    z = polyline.height(ground, x)
    middle = (x[1:] + x[:-1]) / 2
    top = (z[1:] + z[:-1]) / 2
    slope = np.arctan2(np.diff(z), np.diff(x))
    soil = np.zeros(len(middle), np.intp)
    for line in section.lines:  # the soil that comes to the surface there
        soil += polyline.height(line, middle) >= top - 1e-9 * section.relief
    loose = (section.cohesion[soil] <= 0) & (np.diff(z) > _FACET * section.relief)
    if not loose.any():
        return float("inf")
    b, i = slope[loose], soil[loose]
    wet = np.zeros(len(b), bool)
    if section.water is not None:
        level = polyline.height(section.water, middle[loose])
        wet = level >= top[loose] - 1e-9 * section.relief
    weight = np.where(wet, section.saturated[i], section.moist[i])
    pore = np.where(wet, section.water_weight / weight, section.ru)
    sin, cos = np.sin(b), np.cos(b)
    normal = np.maximum(cos * cos - section.kh * sin * cos - pore, 0.0)
    shear = sin * cos + section.kh * cos * cos
    return float((normal * np.tan(section.friction[i]) / shear).min())
