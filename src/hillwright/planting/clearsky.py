"""What the sun gives through a clear sky, by its height and the altitude of the place."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.method import method
from hillwright.planting import given
from hillwright.planting.daylight import SOLAR_CONSTANT


class ClearSky(NamedTuple):
    """Sun and sky on a clear day."""

    beam: Array
    diffuse: Array


@method(
    title="Clear-sky beam and diffuse irradiance",
    equation="tb = a0 + a1 exp(-k / cos z), a0 = 0.4237 - 0.00821 (6 - A)^2, "
    "a1 = 0.5055 + 0.00595 (6.5 - A)^2, k = 0.2711 + 0.01858 (2.5 - A)^2, A in km; "
    "td = 0.271 - 0.294 tb; beam = Gon tb, diffuse = Gon cos z td",
    source="Hottel 1976, 23 km visibility, with Liu & Jordan 1960, as in Duffie & Beckman, "
    "Eq. 2.8.1 to 2.8.5 (from memory)",
)
def clear_sky(
    elevation: ArrayLike, distance: ArrayLike = 1.0, altitude: ArrayLike = 0.0
) -> ClearSky:
    """Give the irradiance under a clear sky.

    Parameters
    ----------
    elevation : (...) array
        Of the sun over level ground. [rad]
    distance : (...) array
        Inverse relative distance of the earth from the sun, squared. [-]
    altitude : (...) array
        Over the sea, up to 2500 m. [m]

    Returns
    -------
    beam : (...) array
        Square to the sun's rays. [J/s/m2]
    diffuse : (...) array
        Of the sky, on level ground. [J/s/m2]

    Notes
    -----
    For 23 km visibility, mid-latitude factors left out; nothing while the sun is down.
    """
    up = np.sin(given.within("elevation", elevation, -np.pi / 2, np.pi / 2, "give -90 to 90 deg"))
    high = given.within("altitude", altitude, -500.0, 2500.0, "it holds up to 2500 m") / 1000
    a0 = 0.4237 - 0.00821 * (6 - high) ** 2
    a1 = 0.5055 + 0.00595 * (6.5 - high) ** 2
    k = 0.2711 + 0.01858 * (2.5 - high) ** 2
    with np.errstate(divide="ignore", over="ignore"):
        through = a0 + a1 * np.exp(-k / np.maximum(up, 1e-9))
    outside = SOLAR_CONSTANT * given.at_least_zero("distance", distance)
    day = up > 0
    beam = np.where(day, outside * through, 0.0)
    diffuse = np.where(day, outside * up * (0.271 - 0.294 * through), 0.0)
    return ClearSky(np.asarray(beam), np.asarray(diffuse))
