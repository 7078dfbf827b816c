"""Typical years of weather (TMY2, TMY3) and EPW files, through the open solar library's readers."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np

from hillwright.arrays import frozen
from hillwright.errors import SurveyError
from hillwright.job.weather import HOUR, Weather, place_error

_MAST = 10.0  # these files give wind at 10 m [m]
_NAMES = {
    "tmy3": ("temp_air", "temp_dew", "ghi", "wind_speed"),
    "epw": ("temp_air", "temp_dew", "ghi", "wind_speed"),
    "tm2": ("DryBulb", "DewPoint", "GHI", "Wspd"),
}


def read_year(path: Path, kind: str, wind_height: float | None) -> Weather:
    """Read one typical year of 8,760 hours.

    Raises
    ------
    SurveyError
        The file cannot be read as what its head says, is not a whole year, or the job gives its
        wind another height than such files have.
    """
    if wind_height is not None and abs(wind_height - _MAST) > 0.5:
        what = f"the job says that its wind is of {wind_height:g} m, and such files give it at 10 m"
        right = "leave climate.wind_height out: taken for 2 m, wind of 10 m is a third too strong"
        raise SurveyError(path.name, what, right)
    data, head = _read(path, kind)
    if len(data) != 8760:
        what = f"holds {len(data)} hours, not the 8,760 of a year"
        raise SurveyError(path.name, what, "give the whole file")
    tenth = 0.1 if kind == "tm2" else 1.0  # TMY2 stores tenths of a degree and of a m/s
    air, dew, sun, wind = (np.asarray(data[c], float) for c in _NAMES[kind])
    latitude = float(head.get("latitude", math.nan))
    if not abs(latitude) <= 90:
        raise place_error(path.name, latitude)
    index = np.arange(8760)
    notes: tuple[str, ...] = (
        f"{path.name} is a typical year: months of different years, put together.",
    )
    rain = _rain(data, kind)
    if rain is None:
        notes += (f"{path.name} carries no usable rain: rain counts as none unless the job tells.",)
    return Weather(
        where=path.name,
        step=HOUR,
        year=frozen(np.full(8760, 2001, dtype=np.intp)),
        day=frozen((index // 24 + 1).astype(np.intp)),
        hour=frozen(np.asarray((index % 24 + 0.5) * HOUR, float)),
        typical=True,
        latitude=math.radians(latitude),
        longitude=math.radians(float(head.get("longitude", math.nan))),
        altitude=float(head.get("altitude", 0.0)),
        wind_height=_MAST,
        notes=notes,
        temperature=frozen(air * tenth),
        dew_point=frozen(dew * tenth),
        radiation=frozen(np.maximum(sun, 0.0)),
        wind=frozen(wind * tenth),
        rain=rain,
    )


def _read(path: Path, kind: str) -> tuple[Any, dict[str, Any]]:
    from pvlib import iotools

    readers = {"tmy3": iotools.read_tmy3, "tm2": iotools.read_tmy2, "epw": iotools.read_epw}
    try:
        data, head = readers[kind](str(path))
    except Exception as error:  # the reader raises many kinds; all mean that the file is not one
        what = f"cannot be read as {kind.upper()}: {type(error).__name__}"
        raise SurveyError(path.name, what, "download it again, or give a CSV") from None
    missing = [c for c in _NAMES[kind] if c not in data]
    if missing:
        what = f"has no column {', '.join(missing)}"
        raise SurveyError(path.name, what, "give the file as it was published")
    return data, {str(k).lower(): v for k, v in head.items()}


def _rain(data: Any, kind: str) -> Any:
    # TMY2 and TMY3 carry no usable rain; an EPW does only where no hour is marked missing
    if kind != "epw" or "liquid_precipitation_depth" not in data:
        return None
    depth = np.asarray(data["liquid_precipitation_depth"], float)
    whole = np.isfinite(depth).all() and (depth < 500).all() and depth.sum() > 0
    return frozen(depth * 1e-3) if whole else None
