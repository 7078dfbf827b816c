"""Which mix each cell takes, how full it is, and how much of it is laid."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike

from hillwright.arrays import Array, Index, Mask
from hillwright.errors import OutOfRange, Problem, did_you_mean
from hillwright.fill.components import blended, component, recipes
from hillwright.fill.given import share as checked_share
from hillwright.fill.mixes import pores
from hillwright.fill.model import Mix
from hillwright.job.planting_soil import FillText, MixText
from hillwright.job.site import Frame, Site
from hillwright.layout.model import Layout

_G = 9.80665  # standard [m/s2]


class Mulch(NamedTuple):
    """What lies on the soil."""

    name: str
    loose: float  # as delivered [kg/m3]
    settlement: float  # [-]
    settled: tuple[float, float, float]  # dry, moist, saturated [kg/m3]


class Choice(NamedTuple):
    """What was chosen for the n cells."""

    mixes: tuple[Mix, ...]
    mix: Index  # (n,)
    fullness: Array  # (n,)
    mulch: Mulch


def chosen(
    layout: Layout,
    text: FillText,
    mixes: tuple[MixText, ...],
    mix_of: ArrayLike | None,
    fullness: ArrayLike | None,
    names: tuple[str, ...],
    frame: Frame,
) -> Choice:
    """Settle mix and fullness of every cell from the job, and from the planting where given."""
    problems: list[Problem] = []
    own = {" ".join(m.name.lower().split()): m for m in mixes}
    wanted = [text.mix or next(iter(own), "") or next(iter(recipes()))]
    wanted += [m.name for m in mixes if m.rows or m.cells] + list(names)
    made: dict[str, Mix] = {}
    for k, called in enumerate(wanted):
        word = " ".join(called.lower().split())
        if word in made:
            continue
        try:
            made[word] = _from_job(own[word]) if word in own else _from_table(called, own)
        except OutOfRange as error:
            named = "fill.mix" if k == 0 and text.mix else f'mix "{called}"'
            problems += [Problem(named, p.what, p.right) for p in error.problems]
    try:
        mulch = mulch_of(text.mulch_kind)
    except OutOfRange as error:
        problems += error.problems
    index = {word: i for i, word in enumerate(made)}
    problems += _rows_there(layout, mixes)
    if problems:
        raise OutOfRange.all(problems)
    n = len(layout.row)
    mix = np.zeros(n, np.intp)
    shapes = shapely.polygons(layout.corners[..., :2]) if n else np.empty(0)
    if mix_of is not None and names:
        given = np.asarray(mix_of, np.intp)
        place = np.array([index[" ".join(name.lower().split())] for name in names], np.intp)
        mix = np.where(given >= 0, place[np.clip(given, 0, None)], mix)
    for m in mixes:
        i = index.get(" ".join(m.name.lower().split()), 0)
        mix[np.isin(layout.row, m.rows)] = i
        for x, y in (frame.local(place) for place in m.cells):
            mix[shapely.intersects_xy(shapes, x, y)] = i
    full = np.ones(n) if fullness is None else checked_share("fullness", fullness).copy()
    full[left_empty(layout, text, frame)] = 0.0
    full = np.minimum(full, part_filled(layout, text, frame))
    return Choice(tuple(made.values()), mix, full, mulch)


def left_empty(layout: Layout, text: FillText, frame: Frame) -> Mask:
    """(n,) tell the cells that the job leaves without soil: nothing can grow there."""
    found = np.zeros(len(layout.row), bool)
    shapes = shapely.polygons(layout.corners[..., :2]) if found.size else np.empty(0)
    none = [(east, north) for east, north, part in text.part_full if part <= 0]
    for x, y in (frame.local(place) for place in [*text.empty, *none]):
        found |= np.asarray(shapely.intersects_xy(shapes, x, y), bool)
    return found


def part_filled(layout: Layout, text: FillText, frame: Frame) -> Array:
    """(n,) share of its depth that the job has each cell filled by, place by place."""
    found = np.ones(len(layout.row))
    shapes = shapely.polygons(layout.corners[..., :2]) if found.size else np.empty(0)
    for east, north, part in text.part_full:
        at = shapely.intersects_xy(shapes, *frame.local((east, north)))
        found[at] = np.minimum(found[at], part)
    return found


def mulch_of(name: str) -> Mulch:
    """Give a mulch by the name of its component."""
    c = component(name, "fill.mulch_kind")
    dry = c.dry / (1 - c.settlement)
    full = float(pores(dry, c.solids).saturated)
    return Mulch(c.name, c.moist, c.settlement, (dry, min(dry * (1 + c.moisture), full), full))


def shares_inside(layout: Layout, outline: Array, site: Site) -> Array:
    """Give how much of each cell is laid: less than 1 only for one that is trimmed."""
    found = np.ones(len(layout.row))
    which = np.flatnonzero(layout.trimmed)
    if which.size:
        allowed = shapely.Polygon(outline)
        if site.exclusions:
            allowed = allowed.difference(
                shapely.union_all([shapely.Polygon(e.ring) for e in site.exclusions])
            )
        shapes = shapely.polygons(layout.corners[which, :, :2])
        inside = shapely.area(shapely.intersection(shapes, allowed))
        found[which] = np.clip(inside / shapely.area(shapes), 0.0, 1.0)
    return found


def _rows_there(layout: Layout, mixes: tuple[MixText, ...]) -> list[Problem]:
    last = layout.rows
    return [
        Problem(f'mix "{m.name}"', f"is for row {row}", f"the rows go from 1 to {last}")
        for m in mixes
        for row in m.rows
        if row > last
    ]


def _from_table(name: str, own: dict[str, MixText]) -> Mix:
    known, word = recipes(), " ".join(name.lower().split())
    if word not in known:
        all_known = [*own, *known]
        right = did_you_mean(word, all_known, f"known are {', '.join(all_known)}")
        raise OutOfRange("mix", f'"{name}" is neither a mix of the job nor of the table', right)
    r = known[word]
    return mix_of_parts(r.name, r.parts, r.mixing_loss, r.source, r.status)


def mix_of_parts(
    name: str, parts: tuple[tuple[str, float], ...], loss: float, source: str, status: str
) -> Mix:
    """Blend a mix from components of the table."""
    b = blended(parts, loss)
    return Mix(
        name,
        parts,
        loss,
        float(b.settlement),
        float(b.loose_dry),
        float(b.loose_moist),
        float(b.settled_dry),
        float(b.settled_moist),
        float(b.saturated),
        float(b.porosity),
        source,
        status,
    )


def _from_job(m: MixText) -> Mix:
    """Blend a mix of the job; what was weighed overrides what its parts would weigh."""
    parts = tuple((" ".join(name.lower().split()), share) for name, share in m.parts)
    found = mix_of_parts(m.name, parts, m.mixing_loss, "the job's own", "as given")
    if m.weight is None and m.soaked_weight is None and m.settlement is None:
        return found
    loss = found.settlement if m.settlement is None else m.settlement
    moist = found.loose_moist if m.weight is None else m.weight / _G
    dry = found.loose_dry * moist / found.loose_moist  # its own moisture is not known better
    settled = dry / (1 - loss)
    # solids of the parts: the pores are what they leave
    solids = found.settled_dry / (1 - found.porosity)
    if settled >= solids:
        what = f"{moist * _G / 1e3:.1f} kN/m3 is too heavy for its parts"
        raise OutOfRange("weight", what, "weigh a level bucket again, or look at the parts")
    porosity, full = (float(v) for v in pores(settled, solids))
    if m.soaked_weight is not None:
        full = m.soaked_weight / _G
        if full < settled:
            what = "is lighter than the same soil dried out"
            raise OutOfRange("soaked_weight", what, "weigh a full pail soaked, settled")
    wet = min(moist / (1 - loss), full)
    return Mix(
        m.name, parts, m.mixing_loss, loss, dry, moist, settled, wet, full, porosity,
        "the job's own", "as given", True,
    )  # fmt: skip
