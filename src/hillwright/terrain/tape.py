"""Tape and inclinometer: legs along the ground turned into offsets and heights."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method


class Legs(NamedTuple):
    """End of each leg of one cross section, measured from its start."""

    offset: Array
    height: Array
    offset_sigma: Array
    height_sigma: Array


class Leg(NamedTuple):
    """One leg by itself."""

    horizontal: Array
    rise: Array
    horizontal_sigma: Array
    rise_sigma: Array


_EQUATION = (
    "h = d sin(a); l = d cos(a); s_h^2 = (sin(a) s_d)^2 + (d cos(a) s_a)^2; "
    "s_l^2 = (cos(a) s_d)^2 + (d sin(a) s_a)^2"
)


def _checked(distance: ArrayLike, angle: ArrayLike) -> tuple[Array, Array]:
    d, a = np.broadcast_arrays(np.asarray(distance, float), np.asarray(angle, float))
    bad = ~((d > 0) & np.isfinite(d) & (np.abs(a) < np.pi / 2))
    if bad.any():
        k = int(np.flatnonzero(np.atleast_1d(bad))[0])
        raise OutOfRange(
            f"leg {k + 1}",
            "not a leg along the ground",
            "give a distance above 0 and an angle between -90 and 90 deg",
        )
    return d, a


@method(
    title="Height and plan length of one tape-and-inclinometer leg, with errors",
    equation=_EQUATION,
    source="exact geometry, first-order propagation of errors",
)
def leg_error(
    distance: ArrayLike,
    angle: ArrayLike,
    distance_sigma: float = 0.01,
    angle_sigma: float = np.radians(0.25),
) -> Leg:
    """Reduce one leg by itself.

    Parameters
    ----------
    distance : (...) array
        Taped along the ground. [m]
    angle : (...) array
        From horizontal, up is positive. [rad]
    distance_sigma : float
        Standard error of a taped distance. [m]
    angle_sigma : float
        Standard error of an angle. [rad]

    Returns
    -------
    horizontal : (...) array
        Plan length. [m]
    rise : (...) array
        Height of the far end over the near end. [m]
    horizontal_sigma, rise_sigma : (...) array
        Their standard errors. [m]

    Raises
    ------
    OutOfRange
        A distance that is not above zero or an angle that is not ground.

    Notes
    -----
    The target stands as high over the ground as the eye; a difference goes straight into height.
    """
    d, a = _checked(distance, angle)
    sin, cos = np.sin(a), np.cos(a)
    return Leg(
        d * cos,
        d * sin,
        np.hypot(cos * distance_sigma, d * sin * angle_sigma),
        np.hypot(sin * distance_sigma, d * cos * angle_sigma),
    )


@method(
    title="Offsets and heights of a tape-and-inclinometer cross section",
    equation="offset_n = sum d_i cos(a_i); height_n = sum (d_i sin(a_i) + eye - target); "
    "s_n = sqrt(sum s_i^2), so n like legs err as sqrt(n)",
    source="exact geometry, first-order propagation of errors",
)
def reduce_legs(
    distance: ArrayLike,
    angle: ArrayLike,
    distance_sigma: float = 0.01,
    angle_sigma: float = np.radians(0.25),
    eye_height: float = 0.0,
    target_height: float = 0.0,
) -> Legs:
    """Reduce the legs of one section, each going on from where the last one ended.

    Parameters
    ----------
    distance : (n,) array
        Taped along the ground, leg by leg. [m]
    angle : (n,) array
        From horizontal, up is positive. [rad]
    distance_sigma : float
        Standard error of a taped distance. [m]
    angle_sigma : float
        Standard error of an angle. [rad]
    eye_height, target_height : float
        Of the instrument over the near end and of what it is aimed at over the far end; alike
        they cancel. [m]

    Returns
    -------
    offset : (n,) array
        Plan distance of each leg's end from the start of the section. [m]
    height : (n,) array
        Its height over the start of the section. [m]
    offset_sigma, height_sigma : (n,) array
        Their standard errors, carried along the legs. [m]

    Raises
    ------
    OutOfRange
        A distance that is not above zero or an angle that is not ground; names the leg.

    Notes
    -----
    The distance is the straight line aimed along. Errors of the legs are independent: a bent
    needle or a wrong zero adds up leg by leg instead.
    """
    leg = leg_error(np.atleast_1d(distance), np.atleast_1d(angle), distance_sigma, angle_sigma)
    return Legs(
        np.cumsum(leg.horizontal),
        np.cumsum(leg.rise + eye_height - target_height),
        np.sqrt(np.cumsum(leg.horizontal_sigma**2)),
        np.sqrt(np.cumsum(leg.rise_sigma**2)),
    )
