"""What each steel bar of the table holds in this ground, at each depth that it can be driven to.

Nobody drives bars at an exact angle, and a bar that moves turns the pull along itself; so each
bar must hold the whole pull sideways and, by itself, the whole pull along its length.
"""

from __future__ import annotations

from functools import cache
from typing import Any, NamedTuple

import numpy as np

from hillwright.arrays import Array, Index
from hillwright.data import table
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.stability.broms import broms_clay_load, broms_sand_load, passive_per_depth
from hillwright.stability.given import above_zero, at_least_zero
from hillwright.stability.posts import post_load
from hillwright.stability.pullout import alpha_uplift, beta_uplift, site_pull
from hillwright.stability.steel import YEAR, bar_strength, steel_loss
from hillwright.stability.thresholds import required_factor

_INCH = 0.0254  # exact [m]
_KSI = 6_894_757.293168  # [Pa]
_POUND_PER_FOOT = 0.45359237 / 0.3048  # exact [kg/m]
_SHARED = ("pullout", "steel")  # required of any anchor: rows of stability_limits.toml
WAYS = ("pullout", "lateral soil", "code post", "steel", "connection")


class Bars(NamedTuple):
    """The bars of the table."""

    bar: Index  # number, as in No. 4
    diameter: Array  # [m]
    area: Array  # [m2]
    mass: Array  # [kg/m]


class BarGround(NamedTuple):
    """The ground that bars are driven into; 0 where a rule has nothing to go by."""

    unit_weight: float  # effective: less that of water where the ground can be soaked [N/m3]
    friction: float = 0.0  # [rad]
    beta: float = 0.0  # shaft friction over overburden, tension [-]
    undrained_strength: float = 0.0  # of soaked clay [Pa]
    lateral_bearing: float = 0.0  # allowable per depth by the code [Pa/m]


class PullTest(NamedTuple):
    """A pull test on the site."""

    load: float  # at which the bar began to move, the least of several [N]
    diameter: float  # [m]
    length: float  # driven into the ground [m]
    wet: bool  # the ground was soaked
    along_slope: bool  # pulled down the slope at the head as the cells will pull; else drawn out


class BarCapacities(NamedTuple):
    """What k combinations of bar and embedment hold; no factor is in the capacities."""

    bar: Index  # (k,)
    diameter: Array  # (k,) as bought [m]
    length: Array  # (k,) in the ground [m]
    capacity: Array  # (5, k) of WAYS: inf where a way does not apply [N]
    required: Array  # (5, k) factor that each way must have [-]
    allowable: Array  # (k,) least of capacity over required [N]
    spacing: Array  # (k,) least distance between two [m]
    effort: Array  # (k,) of one anchor: a ranking, no price [-]
    rust: float  # steel lost from each side by the end of the life [m]


@cache
def bars() -> Bars:
    """Give the reinforcing bars of ``data/bars.toml``."""
    found = table("bars")["bars"]
    column = {name: i for i, name in enumerate(found["columns"])}
    rows = found["rows"]

    def of(name: str) -> Array:
        return np.array([r[column[name]] for r in rows], float)

    return Bars(
        of("bar").astype(np.intp),
        of("diameter_in") * _INCH,
        of("area_in2") * _INCH**2,
        of("weight_lb_ft") * _POUND_PER_FOOT,
    )


@cache
def choice() -> dict[str, Any]:
    """Give what the choice of an anchor goes by when a job says nothing else, in SI."""
    found = table("bars")["choice"]
    return {
        "embedments": tuple(v * _INCH for v in found["embedments_in"]),
        "head": found["head_in"] * _INCH,
        "loose": found["loose_in"] * _INCH,
        "least_spacing": found["least_spacing_in"] * _INCH,
        "diameters": found["least_spacing_diameters"],
        "share": found["face_share"],
        "zinc": found["zinc_um"] * 1e-6,
        "life": found["life_years"] * YEAR,
    }


@cache
def required_factors() -> dict[str, float]:
    """Give the factor that an anchor must have against each way to fail."""
    own = {row["against"]: float(row["factor"]) for row in table("bars")["required"]}
    return {key: required_factor(key).factor for key in _SHARED} | own


@cache
def factor_sources() -> dict[str, str]:
    """Give where each required factor comes from."""
    own = {row["against"]: str(row["source"]) for row in table("bars")["required"]}
    shared = {key: required_factor(key) for key in _SHARED}
    return {key: f"{found.situation}: {found.source}" for key, found in shared.items()} | own


@cache
def yield_strength(grade: str) -> float:
    """Give the yield strength of a grade of bar [Pa].

    Raises
    ------
    OutOfRange
        No grade is called so.
    """
    grades = {row["name"]: row["yield_ksi"] * _KSI for row in table("bars")["grade"]}
    if grade not in grades:
        known = f"the grades are {', '.join(grades)}"
        raise OutOfRange("grade", f"{grade!r} is not known", did_you_mean(grade, grades, known))
    return float(grades[grade])


def bar_capacities(
    ground: BarGround,
    *,
    connection: float = np.inf,
    test: PullTest | None = None,
    grade: str = "60",
    embedments: tuple[float, ...] | None = None,
    head: float | None = None,
    loose: float | None = None,
    least_spacing: float | None = None,
    share: float | None = None,
    zinc: float | None = None,
    life: float | None = None,
) -> BarCapacities:
    """Give what every bar of the table holds at every embedment.

    Parameters
    ----------
    ground : BarGround
        What the bars are driven into.
    connection : float
        What cell, clip and bar hold where they meet; ultimate [N].
    test : PullTest, optional
        Overrides the computed soil capacity of bars at least as thick and as deep.
    grade : str
        Of the steel: "40" or "60".
    embedments : tuple of float, optional
        Depths that bars can be driven to; the table's when not given [m].
    head, loose : float, optional
        Of the pull above the ground; depth of loose soil that counts for nothing [m].
    least_spacing : float, optional
        Between two bars; never less than 8 diameters (from memory) [m].
    share : float, optional
        Of the passive resistance that is there: one half in a face, 1 in level ground [-].
    zinc, life : float, optional
        Thickness of zinc, 0 for bare bars [m]; design life [s].

    Returns
    -------
    BarCapacities
        In order of bar, then embedment.

    Raises
    ------
    OutOfRange
        Ground without friction and strength, a negative length, a grade that is not known.
    """
    own = choice()
    e0 = float(at_least_zero("head", own["head"] if head is None else head))
    z0 = float(at_least_zero("loose", own["loose"] if loose is None else loose))
    deep = np.atleast_1d(above_zero("embedments", embedments or own["embedments"]))
    held = own["share"] if share is None else share
    rust = float(
        steel_loss(
            own["zinc"] if zinc is None else zinc, own["life"] if life is None else life
        ).loss
    )
    b = bars()
    if test is not None:
        above_zero("load of the pull test", test.load)
        above_zero("bar of the pull test", [test.diameter, test.length])
    kind, length = np.repeat(np.arange(len(b.bar)), len(deep)), np.tile(deep, len(b.bar))
    d = b.diameter[kind]
    firm, e = np.maximum(length - z0, 1e-6), e0 + z0
    steel = bar_strength(d, yield_strength(grade), rust)
    pull, side, code = _soil(ground, d, firm, e, held)
    bent = _bending(ground, d, e, held, steel.moment / required_factors()["steel"])
    need = required_factors()
    required = np.repeat(
        [[need["pullout"]], [need["lateral soil"]], [1.0], [need["steel"]], [need["connection"]]],
        len(d),
        axis=1,
    )
    if test is not None:
        # one bar in inches and in millimetres differ by less than a hundredth
        like = (d >= 0.99 * test.diameter) & (length >= 0.99 * test.length)
        shown = float(site_pull(test.load, test.wet, 2.0)) * 2.0  # wet, without the factor
        pull[like], required[0, like] = shown, need["pull test"]
        if test.along_slope:
            side[like], code[like], required[1, like] = shown, np.inf, need["pull test"]
            # the test bent the bar as well: what it showed, less what rust takes from the bar
            left = np.minimum((steel.diameter / test.diameter) ** 3, 1.0)
            bent = np.where(like, shown * left / need["steel"], bent)
    strong = np.minimum(bent * need["steel"], np.minimum(steel.shear, steel.tension))
    capacity = np.stack([pull, side, code, strong, np.full(len(d), float(connection))])
    nearest = own["least_spacing"] if least_spacing is None else least_spacing
    cost = table("bars")["effort"]
    return BarCapacities(
        b.bar[kind],
        d,
        length,
        capacity,
        required,
        np.asarray((capacity / required).min(axis=0)),
        np.maximum(nearest, own["diameters"] * d),
        cost["each"] + cost["per_metre"] * length + cost["per_kg"] * b.mass[kind] * (length + e0),
        rust,
    )


def _soil(
    ground: BarGround, d: Array, length: Array, e: float, share: float
) -> tuple[Array, Array, Array]:
    """Pullout, sideways and by the code: the least of the rules that apply."""
    nothing = np.full(len(d), np.inf)
    pull, side, code = nothing.copy(), nothing.copy(), nothing.copy()
    g = ground.unit_weight
    if not (ground.friction > 0 or ground.undrained_strength > 0):
        raise OutOfRange(
            "ground of the anchors",
            "has neither friction nor undrained strength",
            "describe the soil that the bars are driven into",
        )
    if ground.friction > 0:
        side = broms_sand_load(length, e, d, ground.friction, g, share).load.copy()
        if ground.beta > 0:
            pull = beta_uplift(ground.beta, d, length, g)
    if ground.undrained_strength > 0:
        su = ground.undrained_strength
        side = np.minimum(side, broms_clay_load(length, e, d, su, share).load)
        pull = np.minimum(pull, alpha_uplift(su, d, length, g).load)
    if not np.isfinite(pull).all():
        right = "give beta (data/driven_shafts.toml), or the undrained strength of a clay"
        raise OutOfRange("ground of the anchors", "nothing says what pullout it gives", right)
    if ground.lateral_bearing > 0:
        code = post_load(length, e, d, ground.lateral_bearing * share)
    return pull, side, code


def _bending(ground: BarGround, d: Array, e: float, share: float, moment: Array) -> Array:
    """Give the pull at which the moment in the bar is ``moment``, in the softest ground."""
    found = np.full(len(d), np.inf)
    if ground.friction > 0:
        # M = P e + (2/3) P f, f = sqrt(2 P/(3 k)); in x = sqrt(P): a x^3 + e x^2 = M
        a = (
            2
            / 3
            * np.sqrt(2 / (3 * passive_per_depth(d, ground.friction, ground.unit_weight, share)))
        )
        x = np.cbrt(moment / a)
        for _ in range(50):
            x = x - np.where(x > 0, (a * x**3 + e * x**2 - moment), 0.0) / np.where(
                x > 0, 3 * a * x**2 + 2 * e * x, 1.0
            )
        found = x**2
    if ground.undrained_strength > 0:
        # M = P (e + 1.5 b) + P^2/(18 cu b)
        k = 18 * ground.undrained_strength * share * d
        arm = e + 1.5 * d
        found = np.minimum(found, 2 * moment / (arm + np.sqrt(arm**2 + 4 * moment / k)))
    return found
