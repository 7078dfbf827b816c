"""Weather that cannot be as written: stuck sensors, mixed units, values that no place has."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.errors import Problem, SurveyError
from hillwright.job.weather import HOUR, Weather

# the same reading this many times in a row is no weather: of days, of hours
_STUCK = {
    **dict.fromkeys(("temperature", "high", "low", "radiation"), (7, 24)),
    **dict.fromkeys(("dew_point", "vapour"), (7, 36)),
    "wind": (7, 48),
    "reference": (10, 48),
}
# least and most that anybody measured, in SI, and what to look at
_RANGE = {
    "temperature": (-60, 57), "high": (-60, 57), "low": (-70, 45), "dew_point": (-70, 36),
    "vapour": (0, 6000), "humidity": (0, 1.05), "humidity_high": (0, 1.05),
    "humidity_low": (0, 1.05), "sunshine": (0, 86400), "wind": (0, 60),
    "reference": (0, 0.020),
}  # fmt: skip
_UNIT = {
    "radiation": (1.0, "W/m2"),
    "wind": (1.0, "m/s"),
    "vapour": (1e-3, "kPa"),
    "sunshine": (1 / 3600, "h"),
    "rain": (1e3, "mm"),
    "reference": (1e3, "mm"),
}
_WARM = ("temperature", "high", "low", "dew_point")


def check(weather: Weather, line: Index, file: str) -> None:
    """Refuse what no weather is.

    Raises
    ------
    SurveyError
        Every such thing, by line.
    """
    found: list[tuple[int, str, str]] = []
    for name in (*_RANGE, "radiation", "rain"):
        values = getattr(weather, name)
        if values is not None:
            found += _outside(name, values, line, weather)
            found += _stuck(name, values, line, weather)
    high, low = weather.high, weather.low
    if high is not None and low is not None:
        for i in np.flatnonzero(low > high + 1e-9)[:5]:
            what = "the low is above the high"
            found.append((int(line[i]), what, "check the two columns: they may be exchanged"))
    damp, dry = weather.humidity_high, weather.humidity_low
    if damp is not None and dry is not None:
        for i in np.flatnonzero(dry > damp + 1e-9)[:5]:
            what = "the low humidity is above the high"
            found.append((int(line[i]), what, "check the two columns: they may be exchanged"))
    if found:
        raise SurveyError.all(
            Problem(f"{file} line {n}", what, right) for n, what, right in sorted(set(found))
        )


def _outside(name: str, values: Array, line: Index, weather: Weather) -> list[tuple[int, str, str]]:
    if name in _WARM and (said := _mixed(name, values, line, weather)):
        return [said]
    hourly = weather.step == HOUR
    low, high = _RANGE.get(name, (0.0, 0.0))
    if name == "radiation":
        low, high = -20.0, 1500.0 if hourly else 520.0
    if name == "rain":
        low, high = 0.0, 0.5 if hourly else 2.0
    bad = np.flatnonzero((values < low) | (values > high))
    if not len(bad):
        return []
    right = {
        "radiation": "check its unit: a day brings at most 43 MJ/m2, 500 W/m2 on its mean",
        "rain": "check its unit; rain is never negative",
        "wind": "check its unit",
        "humidity": "give 0 to 100 %",
    }.get(name.split("_")[0], "check the sensor, and that no rows are in degrees Fahrenheit")
    more = f" (and {len(bad) - 1} more)" if len(bad) > 1 else ""
    return [(int(line[bad[0]]), f"{name} is {_shown(name, values[bad[0]])}{more}", right)]


def _mixed(name: str, values: Array, line: Index, weather: Weather) -> tuple[int, str, str] | None:
    """Tell degrees Fahrenheit in a Celsius column by what no place has, and the other way round."""
    top, middle = float(values.max()), float(np.median(values))
    whole_year = len(values) * weather.step >= 300 * 86400
    if (top > 57 and middle > 25) or (name == "low" and whole_year and middle > 36):
        i = int(np.argmax(values))
        what = f"{name} is {values[i]:.1f} degC: these look like degrees Fahrenheit"
        return int(line[i]), what, f'head the column "{name} (degF)"'
    if whole_year and name == "high" and top < 8:
        what = f"high never passes {top:.1f} degC in a year: degrees Celsius headed as Fahrenheit?"
        return int(line[0]), what, 'head the column "high (degC)"'
    return None


def _stuck(name: str, values: Array, line: Index, weather: Weather) -> list[tuple[int, str, str]]:
    if name not in _STUCK:
        return []
    most = _STUCK[name][1 if weather.step == HOUR else 0]
    same = np.diff(values) == 0
    if name == "radiation":
        same &= values[1:] > 0  # every night is dark
    edges = np.flatnonzero(np.diff(np.concatenate([[0], same.view(np.int8), [0]])))
    found = []
    for a, b in zip(edges[::2], edges[1::2], strict=True):
        if (count := int(b - a) + 1) >= most:
            unit = "hours" if weather.step == HOUR else "days"
            what = f"{name} is {_shown(name, values[a])} on {count} {unit} in a row: a stuck sensor"
            found.append((int(line[a]), what, "leave those cells blank, or fill them from nearby"))
    return found[:5]


def _shown(name: str, value: float) -> str:
    if name in _WARM:
        return f"{value:.1f} degC"
    if name.startswith("humidity"):
        return f"{100 * value:.0f} %"
    factor, unit = _UNIT[name]
    return f"{value * factor:.3g} {unit}"
