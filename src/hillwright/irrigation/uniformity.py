"""How even the shares are: emission, low-quarter and statistical uniformity."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.method import method

QUARTERS = ("down", "up", "share")


@method(
    title="Design emission uniformity",
    equation="EU = 100 (1 - 1.27 CV / sqrt(n)) q_min / q_avg",
    source="Keller and Karmeli 1974, Trans. ASAE 17(4) (from memory)",
    symbols={"EU": "uniformity", "CV": "cv", "n": "emitters_per_plant"},
)
def emission_uniformity(
    cv: ArrayLike, emitters_per_plant: ArrayLike, q_min: ArrayLike, q_avg: ArrayLike
) -> Array:
    """Give the emission uniformity of a design.

    Parameters
    ----------
    cv : (n,) array
        Manufacturing variation of the emitter. [-]
    emitters_per_plant : (n,) array
        That share one root zone, at least 1. [-]
    q_min : (n,) array
        Flow at the lowest pressure, by pressure alone. [m3/s]
    q_avg : (n,) array
        Mean flow. [m3/s]

    Returns
    -------
    uniformity : (n,) array
        Share of the mean that the least supplied plants get. [-]

    Raises
    ------
    OutOfRange
        Less than one emitter, a negative variation, no mean flow.
    """
    n = given.above_zero("emitters_per_plant", emitters_per_plant)
    if (bad := n < 1).any():
        raise OutOfRange(given.where("emitters_per_plant", bad), "is less than 1", "give 1 or more")
    v = given.at_least_zero("cv", cv)
    ratio = given.at_least_zero("q_min", q_min) / given.above_zero("q_avg", q_avg)
    return np.asarray(np.maximum((1 - 1.27 * v / np.sqrt(n)) * ratio, 0.0))


@method(
    title="Low-quarter distribution uniformity",
    equation="DU = mean of the lowest quarter / mean of all",
    source="Merriam and Keller 1978, Farm Irrigation System Evaluation (from memory)",
)
def low_quarter(catch: ArrayLike, quarter: str = "share") -> float:
    """Give the uniformity of catches or flows by their lowest quarter.

    Parameters
    ----------
    catch : (n,) array
        Volumes, depths or flows, in any one unit. [any]
    quarter : str
        What n/4 is where it is not whole: rounded "down" or "up" to whole catches, or "share",
        which counts a part of the next catch. [text]

    Returns
    -------
    uniformity : float
        1 is perfectly even. [-]

    Raises
    ------
    OutOfRange
        No catch, a negative one, or nothing caught.

    Notes
    -----
    With 15 catches, 4 and 3 values give figures a quarter apart: say which rule was taken.
    """
    found = np.sort(np.ravel(given.at_least_zero("catch", catch)))
    if not found.size or found.sum() == 0:
        raise OutOfRange("catch", "holds nothing", "give what was caught, at least one above 0")
    rule = given.one_of("quarter", quarter, QUARTERS)
    exact = len(found) / 4
    many = {"down": math.floor(exact), "up": math.ceil(exact), "share": exact}[rule]
    many = max(float(many), 1.0)
    whole = int(many)
    low = found[:whole].sum() + (many - whole) * (found[whole] if whole < len(found) else 0.0)
    return float(low / many / found.mean())


class Statistical(NamedTuple):
    """How flows scatter, and where that comes from."""

    hydraulic: float
    manufacturing: float
    total: float
    uniformity: float


@method(
    title="Statistical uniformity with manufacturing variation and plugging",
    equation="Vq^2 = (1 + Vh^2)(1 + (v^2 + c)/((1 - c) n)) - 1; Us = 1 - Vq",
    source="Bralts, Wu and Gitlin 1981, Trans. ASAE 24(1) (from memory); variance of n independent "
    "emitters, a share c of them shut (exact)",
    symbols={
        "Us": "uniformity",
        "Vq": "variation of the flows",
        "Vh": "variation of the flows by pressure alone",
        "v": "cv",
        "c": "plugged",
        "n": "emitters_per_plant",
    },
)
def statistical_uniformity(
    flow: ArrayLike, cv: float = 0.0, emitters_per_plant: float = 1.0, plugged: float = 0.0
) -> Statistical:
    """Give the statistical uniformity of what plants get.

    Parameters
    ----------
    flow : (n,) array
        Of the emitters by pressure alone, in any one unit. [any]
    cv : float
        Manufacturing variation. [-]
    emitters_per_plant : float
        That share one root zone. [-]
    plugged : float
        Share of emitters that give nothing. [-]

    Returns
    -------
    hydraulic : float
        Coefficient of variation by pressure. [-]
    manufacturing : float
        That of a plant's emitters by making and plugging. [-]
    total : float
        Of both. [-]
    uniformity : float
        Us; 0 at the least. [-]

    Raises
    ------
    OutOfRange
        No flow, a variation below 0, all emitters plugged.
    """
    q = np.ravel(given.at_least_zero("flow", flow))
    if not q.size or q.mean() == 0:
        raise OutOfRange("flow", "holds no flow", "give the flow of each emitter")
    v, c = float(given.at_least_zero("cv", cv)), float(given.share("plugged", plugged))
    n = float(given.above_zero("emitters_per_plant", emitters_per_plant))
    if c >= 1:
        raise OutOfRange("plugged", "leaves no emitter open", "give less than 100 %")
    hydraulic = float(q.std(ddof=min(1, len(q) - 1)) / q.mean())
    made = math.sqrt((v**2 + c) / (1 - c) / n)
    total = math.sqrt((1 + hydraulic**2) * (1 + made**2) - 1)
    return Statistical(hydraulic, made, total, max(1 - total, 0.0))


class Allowable(NamedTuple):
    """How far pressure may vary in a subunit."""

    h_avg: Array
    q_n: Array
    h_n: Array
    subunit: Array
    lateral: Array


@method(
    title="Allowable variation of head in a subunit",
    equation="h_a = (q_a/k)^(1/x); q_n = q_a EU / (1 - 1.27 CV/sqrt(n)); h_n = (q_n/k)^(1/x); "
    "dH = 2.5 (h_a - h_n), half of it for the laterals",
    source="Keller and Bliesner 1990, Sprinkle and Trickle Irrigation; NEH 623 ch. 7 (from memory)",
)
def allowable_head(
    q_avg: ArrayLike,
    k: ArrayLike,
    x: ArrayLike,
    target_eu: ArrayLike,
    cv: ArrayLike,
    emitters_per_plant: ArrayLike = 1.0,
) -> Allowable:
    """Give the variation of head that still keeps a wanted emission uniformity.

    Parameters
    ----------
    q_avg : (n,) array
        Mean emitter flow. [m3/s]
    k : (n,) array
        Emitter flow at a head of 1 m. [m3/s]
    x : (n,) array
        Exponent of the emitter. [-]
    target_eu : (n,) array
        Emission uniformity wanted. [-]
    cv : (n,) array
        Manufacturing variation. [-]
    emitters_per_plant : (n,) array
        That share one root zone. [-]

    Returns
    -------
    h_avg : (n,) array
        Pressure head of the mean flow. [m]
    q_n : (n,) array
        Least flow that keeps the uniformity. [m3/s]
    h_n : (n,) array
        Its pressure head. [m]
    subunit : (n,) array
        Allowable variation of head over the subunit. [m]
    lateral : (n,) array
        Half of it, for the laterals; the other half is the manifold's. [m]

    Raises
    ------
    OutOfRange
        A uniformity that this variation of the emitters alone does not allow.
    """
    from hillwright.irrigation.emitterlaw import emitter_head

    q, eu = given.above_zero("q_avg", q_avg), given.share("target_eu", target_eu)
    made = 1 - 1.27 * given.at_least_zero("cv", cv) / np.sqrt(
        given.above_zero("emitters_per_plant", emitters_per_plant)
    )
    least = q * eu / np.where(made > 0, made, np.nan)
    if (bad := ~(least < q)).any():
        raise OutOfRange(
            given.where("target_eu", bad),
            "cannot be had by pressure alone: the emitters themselves vary more",
            "take emitters of a better class or more of them to a plant, or ask for less",
        )
    h_avg, h_n = emitter_head(q, k, x), emitter_head(least, k, x)
    subunit = 2.5 * (h_avg - h_n)
    return Allowable(h_avg, np.asarray(least), h_n, np.asarray(subunit), np.asarray(subunit / 2))
