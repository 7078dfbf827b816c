"""Factors of safety from a table of slices, as a worked example prints it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.errors import OutOfRange, did_you_mean
from hillwright.method import method
from hillwright.stability import given
from hillwright.stability.bishop import SMALLEST_M
from hillwright.stability.given import WATER

_FORMS = ("cos-squared", "plain")
_ROUNDS, _SETTLED = 200, 1e-10


class Ordinary(NamedTuple):
    """The ordinary method and its sums."""

    factor: float
    sum_w_sin: float
    sum_w_cos: float
    arc_length: float


class BishopTable(NamedTuple):
    """Bishop's method: one pass from trial values, and where the passes settle."""

    factor: float
    next_factor: Array
    smallest_m: float


class _Table(NamedTuple):
    weight: Array
    width: Array
    sin: Array
    cos: Array
    cohesion: Array
    tan: Array
    pore: Array


def _table(
    weight: ArrayLike,
    width: ArrayLike,
    base_angle: ArrayLike | None,
    offset: ArrayLike | None,
    radius: float | None,
    cohesion: ArrayLike,
    friction: ArrayLike,
    pore_pressure: ArrayLike | None,
    water_height: ArrayLike | None,
    water_unit_weight: float,
) -> _Table:
    w = given.at_least_zero("weight", weight)
    if w.ndim != 1 or w.size < 1:
        raise OutOfRange("weight", "is not a list of slices", "give one weight for each slice")
    n = w.size

    def each(name: str, value: Array) -> Array:
        if value.ndim > 1 or value.size not in (1, n):
            what = f"has {value.size} values for {n} slices"
            raise OutOfRange(name, what, "give one for each slice, or one for all")
        return np.broadcast_to(value.ravel(), (n,))

    b = each("width", given.above_zero("width", width))
    if base_angle is not None and (offset is not None or radius is not None):
        what = "stands beside offset and radius"
        raise OutOfRange(
            "base_angle", what, "give the angles, or offsets from the centre, not both"
        )
    if base_angle is not None:
        a = each("base_angle", given.number("base_angle", base_angle))
        if (np.abs(a) >= np.pi / 2 - 1e-9).any():
            right = "give less than 90 deg either way"
            raise OutOfRange("base_angle", "is not an angle of a base", right)
        sin = np.sin(a)
    elif offset is not None and radius is not None:
        r = float(given.above_zero("radius", radius))
        x = each("offset", given.number("offset", offset))
        if (np.abs(x) >= r).any():
            right = "give less than the radius, from the centre, above 0 up the slope"
            raise OutOfRange("offset", "is beyond the circle", right)
        sin = x / r
    else:
        right = "give it, or offset (from the centre, up the slope) and radius"
        raise OutOfRange("base_angle", "is missing", right)
    c = each("cohesion", given.at_least_zero("cohesion", cohesion))
    p = each("friction", given.friction_angle(friction))
    if pore_pressure is not None and water_height is not None:
        what = "stands beside water_height: the same water twice"
        raise OutOfRange("pore_pressure", what, "give one of the two")
    u = np.zeros(n)
    if pore_pressure is not None:
        u = each("pore_pressure", given.at_least_zero("pore_pressure", pore_pressure))
    elif water_height is not None:
        gw = given.above_zero("water_unit_weight", water_unit_weight)
        u = gw * each("water_height", given.at_least_zero("water_height", water_height))
    return _Table(w, b, sin, np.sqrt(1 - sin**2), c, np.tan(p), u)


@method(
    title="Ordinary method of slices, from a table",
    equation=(
        "F = S[c l + (W cos a - u l cos^2 a) tan p] / S W sin a, l = b / cos a; the plain form "
        "takes u l in full"
    ),
    source=("Fellenius 1936; pore pressure form as USACE EM 1110-2-1902 (equations from memory)"),
)
def ordinary_from_slices(
    weight: ArrayLike,
    width: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    *,
    base_angle: ArrayLike | None = None,
    offset: ArrayLike | None = None,
    radius: float | None = None,
    pore_pressure: ArrayLike | None = None,
    water_height: ArrayLike | None = None,
    water_unit_weight: float = WATER,
    pore_form: str = "cos-squared",
    arc_length: float | None = None,
) -> Ordinary:
    """Work out the ordinary (Fellenius) factor from a table of slices.

    Parameters
    ----------
    weight : (s,) array
        Of each slice per metre of slope width. [N/m]
    width : float or array
        Level width of the slices. [m]
    cohesion, friction : float or array
        At the base of each slice, or for all. [Pa], [rad]
    base_angle : (s,) array
        Of each base from level; above 0 where it drives. [rad]
    offset : (s,) array
        Instead: each slice's middle from the centre, above 0 up the slope; sin a is its share
        of the radius. [m]
    radius : float
        Of the circle, with offset. [m]
    pore_pressure : float or array
        At the bases. [Pa]
    water_height : float or array
        Instead: height of water above the bases. [m]
    water_unit_weight : float
        Unit weight of water. [N/m3]
    pore_form : str
        "cos-squared", which keeps steep bases right, or "plain". [text]
    arc_length : float
        A printed length of the arc that the cohesion acts on, with one cohesion; the bases
        added up where not given. [m]

    Returns
    -------
    factor : float
        Of safety. [-]
    sum_w_sin, sum_w_cos : float
        The sums of the method. [N/m]
    arc_length : float
        That the cohesion acted on. [m]

    Raises
    ------
    OutOfRange
        Lists of different lengths, a base that is no base, water given twice, nothing driving.

    Notes
    -----
    Low under water by tens of percent, the plain form most: prefer Bishop's.
    """
    t = _table(
        weight,
        width,
        base_angle,
        offset,
        radius,
        cohesion,
        friction,
        pore_pressure,
        water_height,
        water_unit_weight,
    )
    if pore_form not in _FORMS:
        right = did_you_mean(pore_form, _FORMS, f"give {' or '.join(_FORMS)}")
        raise OutOfRange("pore_form", f"{pore_form!r} is not known", right)
    length = t.width / t.cos
    cohesive = float((t.cohesion * length).sum())
    arc = float(length.sum())
    if arc_length is not None:
        arc = float(given.above_zero("arc_length", arc_length))
        if np.ptp(t.cohesion) > 0:
            what = "stands beside several cohesions"
            raise OutOfRange("arc_length", what, "give one cohesion, or no arc length")
        cohesive = float(t.cohesion[0]) * arc
    uplift = t.pore * length * (t.cos**2 if pore_form == "cos-squared" else 1.0)
    normal = t.weight * t.cos
    driving = float((t.weight * t.sin).sum())
    if driving <= 0:
        raise OutOfRange(
            "base_angle", "nothing drives these slices", "give bases that fall one way"
        )
    strength = cohesive + float(((normal - uplift) * t.tan).sum())
    return Ordinary(strength / driving, driving, float(normal.sum()), arc)


@method(
    title="Bishop's simplified method, from a table",
    equation="F = S[(c b + (W - u b) tan p) / (cos a + sin a tan p / F)] / S W sin a",
    source="Bishop 1955, Geotechnique 5(1) (equation from memory)",
)
def bishop_from_slices(
    weight: ArrayLike,
    width: ArrayLike,
    cohesion: ArrayLike,
    friction: ArrayLike,
    *,
    base_angle: ArrayLike | None = None,
    offset: ArrayLike | None = None,
    radius: float | None = None,
    pore_pressure: ArrayLike | None = None,
    water_height: ArrayLike | None = None,
    water_unit_weight: float = WATER,
    trial: ArrayLike = 1.0,
) -> BishopTable:
    """Work out Bishop's factor from a table of slices, and one pass from trial values.

    Parameters
    ----------
    weight : (s,) array
        Of each slice per metre of slope width. [N/m]
    width : float or array
        Level width of the slices. [m]
    cohesion, friction : float or array
        At the base of each slice, or for all. [Pa], [rad]
    base_angle : (s,) array
        Of each base from level; above 0 where it drives. [rad]
    offset : (s,) array
        Instead: each slice's middle from the centre, above 0 up the slope; sin a is its share
        of the radius. [m]
    radius : float
        Of the circle, with offset. [m]
    pore_pressure : float or array
        At the bases. [Pa]
    water_height : float or array
        Instead: height of water above the bases. [m]
    water_unit_weight : float
        Unit weight of water. [N/m3]
    trial : float or array
        Factors to make one pass from. [-]

    Returns
    -------
    factor : float
        Where the passes settle. [-]
    next_factor : (...) array
        What one pass gives from each trial. [-]
    smallest_m : float
        Least m_alpha of bases with friction that rise at the foot; 1 where none does. [-]

    Raises
    ------
    OutOfRange
        Lists of different lengths, a base that is no base, water given twice, nothing driving,
        or an m_alpha under 0.2.

    Notes
    -----
    A printed answer may have been stopped before it settled: read factor, not next_factor.
    """
    t = _table(
        weight,
        width,
        base_angle,
        offset,
        radius,
        cohesion,
        friction,
        pore_pressure,
        water_height,
        water_unit_weight,
    )
    driving = float((t.weight * t.sin).sum())
    if driving <= 0:
        raise OutOfRange(
            "base_angle", "nothing drives these slices", "give bases that fall one way"
        )
    first = given.above_zero("trial", trial)
    above = t.cohesion * t.width + (t.weight - t.pore * t.width) * t.tan
    rub = t.sin * t.tan

    def after(factor: Array) -> Array:
        m = t.cos + rub / factor[..., None]
        return np.asarray((above / m).sum(axis=-1) / driving)

    factor = np.asarray(float(np.mean(first)))
    for _ in range(_ROUNDS):
        new = after(factor)
        if not new > 0:
            break
        settled = bool(abs(new - factor) <= _SETTLED * new)
        factor = new
        if settled:
            break
    m = np.where((t.tan > 0) & (t.sin < 0), t.cos + rub / factor, 1.0)
    if not (new > 0 and settled and m.min() >= SMALLEST_M):
        where = f"slice {int(np.argmin(m)) + 1}"
        what = f"rises too steeply at the foot for its friction (m_alpha under {SMALLEST_M:g})"
        raise OutOfRange(where, what, "give a flatter foot")
    return BishopTable(float(factor), after(first), float(m.min()))
