"""Climate years, typical and dry: from weather, from a place of the table, or from months."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.job.weather import Weather
from hillwright.method import method
from hillwright.watering import air, tables
from hillwright.watering.balance import MONTH_OF_DAY
from hillwright.watering.days import by_day, reference_of
from hillwright.watering.given import INCH, MJ_DAY, MM
from hillwright.watering.model import Climate
from hillwright.watering.skyday import sky_day
from hillwright.watering.tables import DAYS, MONTHS

MIDDLE = np.array((15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349))  # of each month
# what stands in where only monthly totals are known: a clear dry summer's sky
CLEARNESS, SUN_SHARE = 0.65, 0.8
DRY = 1.1  # a dry year's reference ET over a typical one's, where no years are known
_EARTH = 6371e3  # [m]
_FAR = 80e3  # beyond this the nearest place says little [m]


class YearRange(NamedTuple):
    """A month in a typical and in a dry year."""

    typical: Array
    dry: Array


@method(
    title="Typical and dry value of a month over years",
    equation="typical: mean of the years; dry: their 90th percentile (of rain the 10th), "
    "by linear interpolation between ranked years",
    source="common practice, no source",
)
def typical_and_dry(totals: ArrayLike, rain: bool = False) -> YearRange:
    """Give the mean of months over years, and what one year in ten passes.

    Parameters
    ----------
    totals : (y, m) array
        A row for each year; not a number where a month is not whole. [any]
    rain : bool
        Dry is little of it. [-]

    Returns
    -------
    typical, dry : (m,) array
        Of each month. [any]

    Raises
    ------
    OutOfRange
        A month that no year has.
    """
    found = np.atleast_2d(np.asarray(totals, float))
    if (bad := ~np.isfinite(found).any(axis=0)).any():
        raise OutOfRange(
            "weather", f"has no whole {MONTHS[int(np.argmax(bad))]}", "give a whole year"
        )
    return YearRange(np.nanmean(found, axis=0), np.nanpercentile(found, 10 if rain else 90, axis=0))


def from_weather(weather: Weather, latitude: float, altitude: float, rain: Array | None) -> Climate:
    """Give the climate of measured days, or of a typical year.

    Parameters
    ----------
    weather : Weather
        As read.
    latitude, altitude : float
        Of the place. [rad], [m]
    rain : (12,) array, optional
        Of a typical year by month, where the file carries none. [m]
    """
    days = by_day(weather)
    et, said = reference_of(days, latitude, altitude)
    doy = np.minimum(days.day, 366)
    leap = (days.year % 4 == 0) & ((days.year % 100 != 0) | (days.year % 400 == 0))
    month = MONTH_OF_DAY[np.where(leap | (doy < 60), doy, doy + 1) - 1]
    totals = _monthly(days.year, month, et)
    typical, dry = typical_and_dry(totals)
    notes = [*weather.notes, *said]
    years = len(totals)
    if years < 5:
        dry = np.maximum(dry, DRY * typical)
        notes.append(
            f"{years} {'year' if years == 1 else 'years'} of weather cannot show a dry one: it is "
            f"taken {100 * (DRY - 1):.0f} % thirstier."
        )
    if days.rain is not None:
        daily_rain = days.rain
        wet, little = typical_and_dry(_monthly(days.year, month, daily_rain), rain=True)
    else:
        wet = np.zeros(12) if rain is None else rain
        little = wet * 0.5
        # how it is spread over the days is not known: evenly
        daily_rain = (wet / np.array(DAYS))[month]
        if rain is not None:
            notes.append("The job's rain is spread evenly over the days of each month.")
    light = np.full(12, CLEARNESS)
    share = np.full(12, SUN_SHARE)
    if days.radiation is not None and days.high is not None and days.low is not None:
        ra = sky_day(latitude, np.minimum(days.day, 365)).radiation
        light = np.clip(_mean(month, days.radiation) / _mean(month, ra), 0.1, 0.85)
        share = _sun_share(latitude, altitude, month, days.high, days.low, days.radiation, et)
    return Climate(
        name=f"the weather of {weather.where}",
        reference=frozen(typical / DAYS),
        rain=frozen(np.asarray(wet, float)),
        dry_reference=frozen(dry / DAYS),
        dry_rain=frozen(np.asarray(little, float)),
        latitude=latitude,
        clearness=frozen(light),
        sun_share=frozen(share),
        year=days.year,
        day=days.day,
        daily=frozen(et),
        daily_rain=frozen(np.asarray(daily_rain, float)),
        real=True,
        notes=tuple(notes),
    )


def driest_years(climate: Climate) -> Index:
    """Give the driest tenth of the real years: in these the dry-year program is set."""
    known = np.unique(climate.year)
    if not climate.real or len(known) < 5:
        return known[:0]
    lack = np.array([(climate.daily - climate.daily_rain)[climate.year == y].sum() for y in known])
    return np.asarray(known[lack > np.percentile(lack, 90)])


def _monthly(year: Index, month: Index, values: Array) -> Array:
    """Give the totals of whole months, a row a year; NaN where days are missing."""
    years = np.unique(year)
    at = (year - years[0]) * 12 + month
    size = (int(years[-1] - years[0]) + 1) * 12
    total = np.bincount(at, values, size).reshape(-1, 12)
    count = np.bincount(at, minlength=size).reshape(-1, 12)
    whole = count >= np.array(DAYS)
    # a leap day more is no more than the month's mean day
    mean = np.where(whole, total / np.maximum(count, 1) * np.array(DAYS), np.nan)
    return np.asarray(mean[np.isfinite(mean).any(axis=1)])


def _mean(month: Index, values: Array) -> Array:
    return np.bincount(month, values, 12) / np.maximum(np.bincount(month, minlength=12), 1)


def _sun_share(
    latitude: float, altitude: float, month: Index, high: Array, low: Array, sun: Array, et: Array
) -> Array:
    """Give by how much each month's reference ET follows sunlight."""
    warm, cool, rs = (_mean(month, v) for v in (high, low, sun))
    have = np.maximum(_mean(month, et), 1e-5)
    delta = air.saturation_slope((warm + cool) / 2) / 1e3
    gamma = air.psychrometric_constant(air.air_pressure(altitude)) / 1e3
    per = 0.408 * delta / (delta + gamma * (1 + 0.34 * 2.0)) / MJ_DAY * MM
    return np.clip(per * 0.77 * rs / have, 0.2, 1.2)


class Place(NamedTuple):
    """A row of the table of places and zones."""

    name: str
    latitude: float
    distance: float
    reference: Array
    source: str


def place_named(name: str) -> Place:
    """Find a place or zone of the table by its name.

    Raises
    ------
    OutOfRange
        Nothing is called so; the nearest names are told.
    """
    known: dict[str, Place] = {}
    for which in ("local", "place"):
        for r in tables.rows("reference_et", which):
            known[r["city"]] = _place(r, f"{r['city']}, {r['county']} County", 0.0)
    for r in tables.rows("reference_et", "zone"):
        found = _place(r, f"zone {r['zone']} ({r['name']})", 0.0)
        known[f"zone {r['zone']}"] = known[r["name"]] = found
    by_lower = {k.lower(): v for k, v in known.items()}
    plain = " ".join(name.split()).lower()
    if plain in by_lower:
        return by_lower[plain]
    right = did_you_mean(name, known, 'write a city of the table, or "zone 9"')
    raise OutOfRange("climate.place", f'"{name}" is not in the table', right)


def nearest_place(latitude: float, longitude: float) -> Place:
    """Find the place of the table that lies nearest [rad]."""
    listed = tables.rows("reference_et", "place")
    f = np.radians([r["lat"] for r in listed])
    e = np.radians([r["lon"] for r in listed])
    half = np.sin((f - latitude) / 2) ** 2
    half = half + np.cos(f) * np.cos(latitude) * np.sin((e - longitude) / 2) ** 2
    away = 2 * _EARTH * np.arcsin(np.sqrt(np.clip(half, 0, 1)))
    i = int(np.argmin(away))
    return _place(listed[i], f"{listed[i]['city']}, {listed[i]['county']} County", float(away[i]))


def _place(row: dict[str, object], name: str, distance: float) -> Place:
    months = np.array([row[m] for m in MONTHS], float) * INCH
    which = "zone" if "zone" in row else "place"
    latitude = float(np.radians(float(str(row["lat"]))))
    return Place(name, latitude, distance, months, "the table of " + which + "s")


def from_table(place: Place, rain: Array | None) -> Climate:
    """Give the climate of a place of the table: one smooth year."""
    km = place.distance / 1e3
    notes = [f"Monthly means of {place.source} built in."]
    if place.distance > 1:
        notes[0] = f"It is the nearest of {place.source} built in: {km:.0f} km away."
    if place.distance > _FAR:
        notes.append(
            f"{km:.0f} km is far: give climate.reference (twelve months) or climate.weather."
        )
    return from_months(place.name, place.reference, rain, place.latitude, tuple(notes))


def from_months(
    name: str,
    reference: Array,
    rain: Array | None,
    latitude: float,
    notes: tuple[str, ...],
) -> Climate:
    """Give the climate of twelve monthly totals: one smooth year, and a dry one beside it.

    Parameters
    ----------
    name : str
        Where they come from.
    reference, rain : (12,) array
        Totals of the months; no rain counts where none is known. [m]
    latitude : float
        North positive. [rad]
    notes : tuple of str
        What a reader must know.
    """
    given.at_least_zero("reference", reference)
    mean = np.asarray(reference) / DAYS
    wet = np.zeros(12) if rain is None else np.asarray(rain, float)
    if rain is None:
        notes = (*notes, "No rain is counted: give climate.rain (twelve months) where some falls.")
    notes = (
        *notes,
        f"A dry year is taken {100 * (DRY - 1):.0f} % thirstier, with half the rain (our choice).",
    )
    day = np.arange(1, 366)
    smooth = _smooth(mean)
    return Climate(
        name=name,
        reference=frozen(mean),
        rain=frozen(wet),
        dry_reference=frozen(DRY * mean),
        dry_rain=frozen(0.5 * wet),
        latitude=latitude,
        clearness=frozen(np.full(12, CLEARNESS)),
        sun_share=frozen(np.full(12, SUN_SHARE)),
        year=frozen(np.full(365, 2001, dtype=np.intp)),
        day=frozen(day.astype(np.intp)),
        daily=frozen(smooth),
        daily_rain=frozen(np.zeros(365)),
        real=False,
        notes=notes,
    )


def _smooth(mean: Array) -> Array:
    """Give 365 days from twelve months' means: each month keeps its total."""
    return np.asarray(np.repeat(mean, DAYS))
