"""The bucket and its fill line: how far up a bucket of a mix may be filled.

A level bucket of most mixes is too heavy to hand on all day. The crew needs no warning but a mark
on the bucket.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Mask
from hillwright.crew.given import above_zero, at_least_zero, within
from hillwright.data import table
from hillwright.method import method


class Bucket(NamedTuple):
    """A level bucket."""

    mass: Array
    over_constant: Mask


class FillLine(NamedTuple):
    """How far a bucket may be filled."""

    share: Array
    volume: Array
    mass: Array


@method(
    title="Mass of a level bucket",
    equation="m = V d + bucket; over where that passes the load constant of 23 kg",
    source="closed form; load constant by DHHS (NIOSH) 94-110",
)
def bucket_mass(density: ArrayLike, volume: ArrayLike, bucket: ArrayLike = 1.0) -> Bucket:
    """Give the mass of a bucket that is filled level.

    Parameters
    ----------
    density : (...) array
        Of the loose mix as it is carried. [kg/m3]
    volume : (...) array
        Of the bucket, level. [m3]
    bucket : (...) array, optional
        Of the empty bucket. [kg]

    Returns
    -------
    mass : (...) array
        Full. [kg]
    over_constant : (...) array of bool
        It passes what anybody should lift under the best of conditions. [-]

    Raises
    ------
    OutOfRange
        A density or volume of 0 or less, or a negative mass.
    """
    mass = above_zero("density", density) * above_zero("volume", volume)
    mass = mass + at_least_zero("bucket", bucket)
    return Bucket(np.asarray(mass), np.asarray(mass > table("lifting")["metric"]["load_kg"]))


@method(
    title="Fill line of a bucket",
    equation="share = min(1, (limit - bucket)/(V d))",
    source="closed form, with the recommended weight limit of the lift",
    symbols={"V": "volume", "d": "density"},
)
def fill_line(
    limit: ArrayLike, density: ArrayLike, volume: ArrayLike, bucket: ArrayLike = 1.0
) -> FillLine:
    """Give how far a bucket may be filled for a limit.

    Parameters
    ----------
    limit : (...) array
        Recommended weight limit of the lift. [kg]
    density : (...) array
        Of the loose mix as it is carried. [kg/m3]
    volume : (...) array
        Of the bucket, level. [m3]
    bucket : (...) array, optional
        Of the empty bucket. [kg]

    Returns
    -------
    share : (...) array
        Of the bucket's volume: 0 where the empty bucket is too heavy, 1 where it may be full. [-]
    volume : (...) array
        Soil in it. [m3]
    mass : (...) array
        Bucket and soil. [kg]

    Raises
    ------
    OutOfRange
        A density or volume of 0 or less, or a negative limit or mass.
    """
    empty = at_least_zero("bucket", bucket)
    full = above_zero("density", density) * above_zero("volume", volume)
    share = np.clip((at_least_zero("limit", limit) - empty) / full, 0.0, 1.0)
    volumes = share * np.asarray(volume, float)
    return FillLine(np.asarray(share), np.asarray(volumes), np.asarray(share * full + empty))


@method(
    title="Height of a fill line in a tapered bucket",
    equation="V(h) = pi h/3 (r0^2 + r0 r + r^2), r = r0 + (r1 - r0) h/H; solved for h",
    source="exact geometry",
)
def line_height(share: ArrayLike, height: ArrayLike, base: ArrayLike, rim: ArrayLike) -> Array:
    """Give how high above its floor the line is drawn inside a round bucket.

    Parameters
    ----------
    share : (...) array
        Of the level volume. [-]
    height : (...) array
        Inside, floor to rim. [m]
    base, rim : (...) array
        Inner diameters at the floor and at the rim. [m]

    Returns
    -------
    (...) array
        Height of the line. [m]

    Raises
    ------
    OutOfRange
        A share outside 0 to 1, or a measure of 0 or less.
    """
    part = within("share", share, 0.0, 1.0, "give a share")
    tall, r0, r1 = above_zero("height", height), above_zero("base", base), above_zero("rim", rim)
    # a cone cut off: its volume goes with the cube of the radius
    grow = r1 / r0
    same = np.abs(grow - 1) < 1e-9
    with np.errstate(divide="ignore", invalid="ignore"):
        cone = (np.cbrt(1 + part * (grow**3 - 1)) - 1) / (grow - 1)
    return np.asarray(tall * np.where(same, part, cone))
