"""A place on the map, written as the job writes places."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from hillwright.errors import HillwrightError
from hillwright.job.crs import lonlat
from hillwright.units import System

FOOT, SURVEY_FOOT = 0.3048, 1200 / 3937
_PLACES = {"m": 3, "ft": 2, "us_survey_foot": 2}  # a millimetre, or a hundredth of a foot


class PlaceError(HillwrightError):
    """A place on the map that cannot be written into the job."""


def written(place: tuple[float, float], frame: dict[str, Any], units: System) -> list[str]:
    """Write a place.

    Parameters
    ----------
    place : (float, float)
        Local x and y. [m]
    frame : dict
        ``origin`` (x, y) in metres, ``scale`` of the map grid, ``unit_name`` of the survey,
        ``projection`` by which a survey in degrees was made flat ("" for others).
    units : {"us", "metric"}
        Units that the job is written in.

    Returns
    -------
    list of str
        As in ["2009.3 m", "5002.2 m"]; longitude and latitude where the survey counts in them.
    """
    if frame["projection"]:
        # the eighth decimal of a degree is a millimetre
        return [f"{v:.8f} deg" for v in lonlat(frame["projection"], np.array(place, float))]
    # plain feet and survey feet lie metres apart at map coordinates
    unit = "m" if units == "metric" else "ft"
    if units == "us" and frame["unit_name"] == "us_survey_foot":
        unit = "us_survey_foot"
    metres = {"m": 1.0, "ft": FOOT, "us_survey_foot": SURVEY_FOOT}[unit]
    found = []
    for value, origin in zip(place, frame["origin"], strict=True):
        number = (value + origin) * frame["scale"] / metres
        text = f"{number:.{_PLACES[unit]}f}".rstrip("0").rstrip(".")
        found.append(f"{'0' if text in ('-0', '') else text} {unit}")
    return found


def has_local(value: Any) -> bool:
    """Tell whether a value holds a place of the map somewhere."""
    if isinstance(value, dict):
        return set(value) == {"local"} or any(has_local(v) for v in value.values())
    return isinstance(value, list) and any(has_local(v) for v in value)


def converted(value: Any, write: Callable[[tuple[float, float]], list[str]]) -> Any:
    """Give a value with every {"local": [x, y]} in it written as the job writes places.

    Raises
    ------
    PlaceError
        One that is not two finite numbers.
    """
    if isinstance(value, dict):
        if set(value) == {"local"}:
            return write(_pair(value["local"]))
        return {k: converted(v, write) for k, v in value.items()}
    if isinstance(value, list):
        return [converted(v, write) for v in value]
    return value


def _pair(value: Any) -> tuple[float, float]:
    good = isinstance(value, list) and len(value) == 2
    good = good and all(isinstance(v, int | float) and not isinstance(v, bool) for v in value)
    if not good or not all(math.isfinite(v) and abs(v) < 1e7 for v in value):
        raise PlaceError("local", f"{value!r} is not a place", 'write {"local": [12.5, 3.0]}')
    return float(value[0]), float(value[1])
