"""The composite lifting index: several lifts in one job (NIOSH).

Increments use the index without frequency, the order the index of each task by itself; the
frequency multiplier of an accumulated frequency is taken at the height of the task that is added
(the source leaves that open).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index
from hillwright.crew.given import above_zero, at_least_zero, one_of
from hillwright.crew.lifting import DURATIONS, frequency_multiplier, lift_limit
from hillwright.errors import OutOfRange
from hillwright.method import method

_SOURCE = (
    "Waters, Putz-Anderson and Garg, 1994 (rev. 9/2021), Applications Manual for the Revised NIOSH "
    "Lifting Equation, DHHS (NIOSH) 94-110, section 2.4"
)


class Composite(NamedTuple):
    """Index of k tasks together, and of each by itself."""

    composite: float
    frequency_multiplier: Array
    limit: Array
    without_frequency: Array
    own: Array
    order: Index


@method(
    title="Composite lifting index from limits without frequency (NIOSH)",
    equation="CLI = STLI_1 + sum_k FILI_k [1/FM(F_1 + ... + F_k) - 1/FM(F_1 + ... + F_(k-1))], "
    "by falling STLI",
    source=_SOURCE,
)
def composite_index(
    load: ArrayLike,
    without_frequency: ArrayLike,
    frequency: ArrayLike,
    duration: str = "short",
    height: ArrayLike = 0.0,
) -> Composite:
    """Give the composite index of several lifts.

    Parameters
    ----------
    load : (k,) array
        Of each task. [kg]
    without_frequency : (k,) array
        Its recommended limit without the frequency multiplier. [kg]
    frequency : (k,) array
        Lifts in a time. [1/s]
    duration : str, optional
        "short", "moderate" or "long", of the whole job. [text]
    height : (k,) array or float, optional
        Of the hands at the origin. [m]

    Returns
    -------
    composite : float
        Composite lifting index. [-]
    frequency_multiplier : (k,) array
        Of each task by itself. [-]
    limit : (k,) array
        Recommended limit of each by itself. [kg]
    without_frequency : (k,) array
        Load over the limit without frequency. [-]
    own : (k,) array
        Load over the limit, of each by itself. [-]
    order : (k,) array of int
        Tasks by falling index, from 0; ties by the higher frequency. [-]

    Raises
    ------
    OutOfRange
        Lists of different length, a limit of 0, or a pace at which no lift is recommended.
    """
    word = one_of("duration", duration, DURATIONS)
    kg = np.atleast_1d(at_least_zero("load", load))
    limit = np.atleast_1d(above_zero("without_frequency", without_frequency))
    f = np.atleast_1d(at_least_zero("frequency", frequency))
    v = np.broadcast_to(at_least_zero("height", height), kg.shape)
    if not kg.shape == limit.shape == f.shape or kg.ndim != 1:
        what = f"has {kg.size}, {limit.size} and {f.size} values"
        raise OutOfRange("load, limit and frequency", what, "give one of each for every task")
    fm = frequency_multiplier(f, word, v)
    _possible(fm, f)
    fili = kg / limit
    stli = fili / fm
    # two that differ by rounding alone are a tie
    order = np.lexsort((-f, -np.round(stli, 12))).astype(np.intp)
    index = float(stli[order[0]])
    for k in range(1, len(order)):
        i = order[k]
        before, after = (
            float(frequency_multiplier(float(f[order[:n]].sum()), word, v[i])) for n in (k, k + 1)
        )
        _possible(np.array([after]), np.array([f[order[: k + 1]].sum()]))
        index += float(fili[i]) * (1 / after - 1 / before)
    return Composite(index, fm, limit * fm, fili, stli, order)


@method(
    title="Composite lifting index of several lifts (NIOSH)",
    equation="FIRWL_k = LC HM VM DM AM CM of each task; then the composite index",
    source=_SOURCE,
)
def composite_lift(
    load: ArrayLike,
    reach: ArrayLike,
    height: ArrayLike,
    travel: ArrayLike,
    frequency: ArrayLike,
    twist: ArrayLike = 0.0,
    coupling: tuple[str, ...] | str = "fair",
    duration: str = "short",
    units: str = "metric",
) -> Composite:
    """Give the composite index of lifts by where each begins.

    Parameters
    ----------
    load : (k,) array
        Of each task. [kg]
    reach, height, travel : (k,) array
        As :func:`lift_limit` takes them. [m]
    frequency : (k,) array
        Lifts in a time. [1/s]
    twist : (k,) array or float, optional
        Asymmetry angle. [rad]
    coupling : tuple of str, or str, optional
        Grip of each, or of all. [text]
    duration : str, optional
        "short", "moderate" or "long", of the whole job. [text]
    units : str, optional
        "metric" or "us" constants. [text]

    Returns
    -------
    composite : float
        Composite lifting index. [-]
    frequency_multiplier : (k,) array
        Of each task by itself. [-]
    limit : (k,) array
        Recommended limit of each by itself. [kg]
    without_frequency : (k,) array
        Load over the limit without frequency. [-]
    own : (k,) array
        Load over the limit, of each by itself. [-]
    order : (k,) array of int
        Tasks by falling index, from 0. [-]

    Raises
    ------
    OutOfRange
        What :func:`lift_limit` and :func:`composite_index` refuse.
    """
    kg = np.atleast_1d(at_least_zero("load", load))
    grips = (coupling,) * len(kg) if isinstance(coupling, str) else tuple(coupling)
    if len(grips) != len(kg):
        what = f"has {len(grips)} words for {len(kg)} tasks"
        raise OutOfRange("coupling", what, "give one for each, or one for all")
    h, v, d, a = (
        np.broadcast_to(np.asarray(x, float), kg.shape) for x in (reach, height, travel, twist)
    )
    limit = np.array(
        [
            float(lift_limit(h[k], v[k], d[k], a[k], 0.0, duration, grips[k], None, units)[1])
            for k in range(len(kg))
        ]
    )
    return composite_index(kg, limit, frequency, duration, v)


def _possible(multiplier: Array, frequency: Array) -> None:
    if (bad := np.asarray(multiplier) <= 0).any():
        pace = 60 * float(np.atleast_1d(frequency)[np.atleast_1d(bad)][0])
        what = f"{pace:.3g} lifts a minute: at this pace no lift is recommended"
        raise OutOfRange("frequency", what, "slow down, or share the lifts out")
