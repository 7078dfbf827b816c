"""Where on the earth a site lies: as the job says, or by the survey's coordinate system."""

from __future__ import annotations

import math

import numpy as np

from hillwright.job.crs import LONLAT, converter, lonlat, parse
from hillwright.job.model import OpenJob
from hillwright.job.site import Frame


def place_of(opened: OpenJob, frame: Frame) -> tuple[float | None, float | None]:
    """Give the site's latitude and longitude, north and east positive [rad]; None = nobody says.

    Raises
    ------
    SurveyError
        The coordinate system cannot be read.
    """
    site = opened.job.site
    if site.latitude is not None or not frame.crs:
        return site.latitude, site.longitude
    return by_survey(frame)


def by_survey(frame: Frame) -> tuple[float, float]:
    """Give latitude and longitude of a frame's origin by its coordinate system [rad].

    A survey in degrees keeps its own datum: what that is off WGS 84 is nothing to the sun, and not
    every datum's shift is known.

    Raises
    ------
    SurveyError
        The coordinate system cannot be read.
    """
    if frame.crs.startswith("+proj"):
        found = lonlat(frame.crs, np.array([frame.origin_x, frame.origin_y]))
        return math.radians(found[1]), math.radians(found[0])
    crs = parse(frame.crs, "survey.crs")
    metres = crs.axis_info[0].unit_conversion_factor if crs.axis_info else 1.0
    # the frame's own metres are on the ground; the map grid is a hair larger or smaller
    x, y = (o * frame.scale / metres for o in (frame.origin_x, frame.origin_y))
    east, north = converter(crs, parse(LONLAT, LONLAT)).transform(x, y)
    return math.radians(float(north)), math.radians(float(east))
