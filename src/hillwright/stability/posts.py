"""The code formula for posts in earth that nothing holds at the ground: allowable, not ultimate."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method
from hillwright.stability.broms import depressed_cubic
from hillwright.stability.given import above_zero, at_least_zero, fitting

_SOURCE = "IBC section 1807.3.2.1"
_CAP = 12 * 0.3048  # depth beyond which the formula counts no more lateral bearing: 12 ft [m]


class Post(NamedTuple):
    """A post by the code formula."""

    lateral_pressure: Array
    ratio: Array
    depth: Array


@method(
    title="Code formula for an unrestrained post, one trial",
    equation="d = 0.5 A (1 + sqrt(1 + 4.36 h/A)); A = 2.34 P/(S1 b); S1 = i s d0/3",
    source=_SOURCE,
)
def post_depth_trial(
    load: ArrayLike,
    height: ArrayLike,
    width: ArrayLike,
    lateral_bearing: ArrayLike,
    trial_depth: ArrayLike,
    increase: ArrayLike = 1.0,
    depth_cap: ArrayLike = _CAP,
) -> Post:
    """Give the depth that the formula asks for when the pressure is taken at a trial depth.

    Parameters
    ----------
    load : (...) array
        Sideways, > 0. [N]
    height : (...) array
        Of the load above the ground, >= 0. [m]
    width : (...) array
        Diameter of a round post, diagonal of a square one, > 0. [m]
    lateral_bearing : (...) array
        Allowable lateral bearing for each depth below the ground, > 0. [Pa/m]
    trial_depth : (...) array
        Depth that is tried, > 0. [m]
    increase : (...) array
        Factor on the lateral bearing for loads of short duration where the code allows one. [-]
    depth_cap : (...) array
        Depth beyond which lateral bearing grows no more. [m]

    Returns
    -------
    lateral_pressure : (...) array
        Allowable at a third of the trial depth: S1. [Pa]
    ratio : (...) array
        A of the formula. [m]
    depth : (...) array
        Depth that the load needs under that pressure. [m]

    Raises
    ------
    OutOfRange
        A load, width, bearing or depth of zero or less.

    Notes
    -----
    One pass is no answer: a depth beyond the trial is on the safe side, one above it is not.
    """
    fitting(**locals())
    p, h, b, s = _given(load, height, width, lateral_bearing, increase)
    d0 = np.minimum(above_zero("trial_depth", trial_depth), above_zero("depth_cap", depth_cap))
    s1 = s * d0 / 3
    a = 2.34 * p / (s1 * b)
    return Post(*np.broadcast_arrays(s1, a, _depth(a, h)))


@method(
    title="Code formula for an unrestrained post, iterated to its end",
    equation="d = 0.5 A (1 + sqrt(1 + 4.36 h/A)); A = 2.34 P/(S1 b); S1 = i s min(d, 12 ft)/3",
    source=_SOURCE,
)
def post_depth(
    load: ArrayLike,
    height: ArrayLike,
    width: ArrayLike,
    lateral_bearing: ArrayLike,
    increase: ArrayLike = 1.0,
    depth_cap: ArrayLike = _CAP,
) -> Post:
    """Give the depth at which the pressure and the depth that it asks for agree.

    Parameters
    ----------
    load : (...) array
        Sideways, > 0. [N]
    height : (...) array
        Of the load above the ground, >= 0. [m]
    width : (...) array
        Diameter of a round post, diagonal of a square one, > 0. [m]
    lateral_bearing : (...) array
        Allowable lateral bearing for each depth below the ground, > 0. [Pa/m]
    increase : (...) array
        Factor on the lateral bearing for loads of short duration where the code allows one. [-]
    depth_cap : (...) array
        Depth beyond which lateral bearing grows no more. [m]

    Returns
    -------
    lateral_pressure : (...) array
        Allowable at a third of the depth: S1. [Pa]
    ratio : (...) array
        A of the formula. [m]
    depth : (...) array
        Embedment. [m]

    Raises
    ------
    OutOfRange
        A load, width, bearing or depth of zero or less.

    Notes
    -----
    Level ground; the presumptive bearing has its factor in it already. Not for mud, organic soil,
    peat or unprepared fill, so not for planting soil. The code that is in force overrides.
    """
    fitting(**locals())
    p, h, b, s = _given(load, height, width, lateral_bearing, increase)
    cap = above_zero("depth_cap", depth_cap)
    # the formula solved for A is d^2/(d + 1.09 h); with S1 as d/3 the depth is a root of a cubic
    c = 3 * 2.34 * p / (s * b)
    free = depressed_cubic(c, 1.09 * h * c)
    s1 = s * np.minimum(free, cap) / 3
    a = 2.34 * p / (s1 * b)
    return Post(*np.broadcast_arrays(s1, a, np.where(free <= cap, free, _depth(a, h))))


@method(
    title="Load that an unrestrained post of given depth may take by the code formula",
    equation="A = d^2/(d + 1.09 h); P = A S1 b/2.34; S1 = i s min(d, 12 ft)/3",
    source=_SOURCE + ", solved here for the load",
)
def post_load(
    depth: ArrayLike,
    height: ArrayLike,
    width: ArrayLike,
    lateral_bearing: ArrayLike,
    increase: ArrayLike = 1.0,
    depth_cap: ArrayLike = _CAP,
) -> Array:
    """Give the allowable load on a post.

    Parameters
    ----------
    depth : (...) array
        Embedment, > 0. [m]
    height : (...) array
        Of the load above the ground, >= 0. [m]
    width : (...) array
        Diameter of a round post, diagonal of a square one, > 0. [m]
    lateral_bearing : (...) array
        Allowable lateral bearing for each depth below the ground, > 0. [Pa/m]
    increase : (...) array
        Factor on the lateral bearing for loads of short duration where the code allows one. [-]
    depth_cap : (...) array
        Depth beyond which lateral bearing grows no more. [m]

    Returns
    -------
    (...) array
        Sideways, allowable. [N]

    Raises
    ------
    OutOfRange
        A depth, width or bearing of zero or less.

    Notes
    -----
    Level ground; not for mud, organic soil, peat or unprepared fill.
    """
    fitting(**locals())
    d = above_zero("depth", depth)
    _, h, b, s = _given(1.0, height, width, lateral_bearing, increase)
    s1 = s * np.minimum(d, above_zero("depth_cap", depth_cap)) / 3
    return np.asarray(d**2 / (d + 1.09 * h) * s1 * b / 2.34)


def _depth(a: Array, h: Array) -> Array:
    return np.asarray(0.5 * a * (1 + np.sqrt(1 + 4.36 * h / a)))


def _given(
    load: ArrayLike, height: ArrayLike, width: ArrayLike, bearing: ArrayLike, increase: ArrayLike
) -> tuple[Array, Array, Array, Array]:
    i = above_zero("increase", increase)
    if (i > 2.0 * 1.34).any():  # doubled for posts that may move, and a third for short loads
        raise OutOfRange("increase", "is more than any code allows", "give 1, or 1.33 for wind")
    return (
        above_zero("load", load),
        at_least_zero("height", height),
        above_zero("width", width),
        above_zero("lateral_bearing", bearing) * i,
    )
