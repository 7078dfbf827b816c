"""What a job says of climate, soil and time, as the stage takes it."""

from __future__ import annotations

from hillwright.job.model import Job
from hillwright.job.watering import DAY_NAMES
from hillwright.job.weather import Weather
from hillwright.watering.model import Rules
from hillwright.watering.stage import Asked

_GALLON = 3.785411784e-3  # [m3]


def asked_of(
    job: Job,
    north: float,
    latitude: float | None,
    longitude: float | None,
    weather: Weather | None,
) -> Asked:
    """Put together what a job asks of the watering room.

    Parameters
    ----------
    job : Job
        As read.
    north : float
        Compass bearing of +y. [rad]
    latitude, longitude : float, optional
        Of the site, north and east positive. [rad], [rad]
    weather : Weather, optional
        As read from the job's file.
    """
    climate, watering = job.climate, job.watering
    rules = Rules(
        efficiency=watering.efficiency,
        windows=watering.windows,
        weekdays=tuple(DAY_NAMES.index(d) for d in watering.weekdays) or tuple(range(7)),
        longest_interval=watering.longest_interval,
        surface_slope=watering.surface_slope,
        rain_method=watering.rain_method,
        rain_share=watering.rain_share,
        establishment=watering.establishment,
    )
    return Asked(
        place=climate.place,
        weather=weather,
        reference=climate.reference,
        rain=climate.rain,
        latitude=latitude,
        longitude=longitude,
        altitude=job.site.altitude,
        north=north,
        north_known=job.north_known,
        texture=watering.texture,
        texture_told="texture" in watering.model_fields_set,
        available=watering.available,
        roots_below=watering.roots_below,
        emitters=watering.emitters,
        emitter_flow=watering.emitter_flow,
        rules=rules,
        landscape=watering.landscape,
        price=watering.price / (1000 * _GALLON) if job.units == "us" else watering.price,
    )
