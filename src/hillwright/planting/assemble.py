"""From a path and placements to the result: groups, mixes, zones, calendars, what was not met."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, Mask, frozen
from hillwright.method import Number, Working
from hillwright.planting.frame import Ground
from hillwright.planting.model import OPEN, PLANTED, WALKING, Group, Planting, Proof
from hillwright.planting.palette import water_classes
from hillwright.planting.path import far_from, tended
from hillwright.planting.pose import Posed
from hillwright.planting.season import bloom_months, harvest_months, planting_window
from hillwright.planting.sun import SunTable
from hillwright.planting.unmet import unmet_wishes
from hillwright.planting.worth import plants_by_cell


def assemble(
    ground: Ground, posed: Posed, walking: Mask, chosen: Index, proof: Proof,
    sun: SunTable | None, stale: bool,
) -> Planting:  # fmt: skip
    """Gather what grows where.

    Parameters
    ----------
    ground : Ground
        What the planting rests on.
    posed : Posed
        The problem that was solved.
    walking : (n,) array
        The path.
    chosen : (k,) array
        Placements.
    proof : Proof
        How good it is.
    sun : SunTable or None
        With the planned trees; None = there are none.
    stale : bool
        A kept planting was of another state of the job.
    """
    problem, field = posed.problem, ground.field
    some, places = problem.some, problem.places
    plant = plants_by_cell(problem, chosen)
    use = np.where(plant >= 0, PLANTED, np.where(walking, WALKING, OPEN))
    order = sorted(chosen, key=lambda k: int(places.of(int(k))[0]))
    groups = tuple(
        Group(
            int(places.plant[k]),
            frozen(places.of(int(k))),
            int(some.count[places.plant[k]]),
            frozen(places.centre[k]),
        )
        for k in order
    )
    count = np.zeros(len(some.plants), np.intp)
    for group in groups:
        count[group.plant] += group.plants
    mixes = tuple(dict.fromkeys(["planting mix", *(p.mix for p in some.plants)]))
    mix = np.full(field.count, -1)
    zone = np.full(field.count, -1)
    planted = plant >= 0
    mix[planted] = [mixes.index(some.plants[p].mix) for p in plant[planted]]
    zone[planted] = some.water[plant[planted]]
    table = sun or ground.sun
    season = ground.growing_sun(table)
    used = np.flatnonzero(count > 0)
    bloom, harvest = (m[used].any(axis=0) for m in (some.bloom, some.harvest))
    root = np.zeros(field.count, bool)
    root[field.roots] = True
    return Planting(
        plants=some.plants,
        use=frozen(use.astype(np.intp)),
        plant=frozen(plant),
        groups=groups,
        count=frozen(count),
        mix=frozen(mix.astype(np.intp)),
        mixes=mixes,
        hydrozone=frozen(zone.astype(np.intp)),
        hydrozones=water_classes(),
        sun=frozen(table.hours),
        energy=frozen(table.energy),
        level=frozen(table.level),
        season=frozen(season),
        growing=ground.growing,
        bloom=frozen(np.asarray(bloom)),
        harvest=frozen(np.asarray(harvest)),
        bloom_months=tuple(bloom_months(p, ground.season) for p in some.plants),
        harvest_months=tuple(harvest_months(p, ground.season) for p in some.plants),
        windows=tuple(planting_window(p, ground.season) for p in some.plants),
        entry=tuple(int(i) for i in np.flatnonzero(walking & root)),
        unmet=unmet_wishes(ground, posed, walking, chosen, season),
        proof=proof,
        key=ground.key,
        stale=stale,
        latitude=ground.latitude,
        assumed=_assumed(ground, posed),
        workings=_workings(ground, use, season, table, proof),
        warnings=_warnings(ground, walking, stale),
    )


def _assumed(ground: Ground, posed: Posed) -> tuple[str, ...]:
    if posed.own_wishes:
        return ground.assumed
    wished = ", ".join(
        f"{100 * w.share:.0f} % {w.plant}" if w.share else f"{w.count} {w.plant}"
        for w in posed.asked.wishes
    )
    return (*ground.assumed, f"No wish is given ([[wish]]): a mixed garden was taken ({wished}).")


def _warnings(ground: Ground, walking: Mask, stale: bool) -> tuple[str, ...]:
    said = []
    if stale:
        said.append(
            "The planting that is kept beside the job was made for another state of it: it was "
            "started from, and `hillwright planting` makes it good again."
        )
    field, asked = ground.field, ground.asked
    step = f"steps higher than {asked.max_step:.2f} m (planting.max_step), or missing cells"
    if cut_off := int((far_from(field) < 0).sum()):
        said.append(f"{cut_off} cells cannot be walked to: {step} lie between.")
    at = {(int(r), int(n)): i for i, (r, n) in enumerate(zip(field.row, field.number, strict=True))}
    missed = [f"R{row}-{number}" for row, number in asked.walk if not walking[at[row, number]]]
    if missed:
        said.append(f"Not walked, as planting.walk asks: {', '.join(missed)}: {step} lie before.")
    return tuple(said)


def _workings(
    ground: Ground, use: Index, season: Array, table: SunTable, proof: Proof
) -> tuple[Working, ...]:
    n, asked = ground.field.count, ground.asked
    planted, walking = int((use == PLANTED).sum()), int((use == WALKING).sum())
    out = n - int(tended(ground.field, use == WALKING).sum())
    months = ", ".join(str(m) for m in ground.growing)
    latitude = Number("latitude", ground.latitude, "rad")
    of_level = float(table.energy.mean() / table.level.mean()) if n else 0.0
    made = (
        "Optimised and proven."
        if proof.optimised
        else "The quick planting; `hillwright planting` makes it better and proves it."
    )
    return (
        Working(
            "planting.cells",
            "Planted cells",
            "planted = cells - walking - open",
            (
                Number("cells", n, "-"),
                Number("walking", walking, "-"),
                Number("open", n - planted - walking, "-"),
            ),
            Number("planted", planted, "-"),
            "our count",
        ),
        Working(
            "planting.walking",
            "Walking cells",
            "connected from where one comes in; every planted cell within reach of one",
            (
                Number("reach", asked.reach, "m"),
                Number("highest step", asked.max_step, "m"),
                Number("cells out of reach", out, "-"),
            ),
            Number("walking", walking, "-"),
            "our count",
        ),
        Working(
            "planting.sun",
            "Direct sun on the cells, a mean day of the growing season",
            "count of half hours in which the sun is over the horizon, before the cell's plane "
            "and behind no wall, fence or crown; mean of the cells",
            (
                latitude,
                Number("growing months", months, "text"),
                Number("sunniest cell", float(season.max(initial=0.0)), "s"),
                Number("shadiest cell", float(season.min()) if n else 0.0, "s"),
            ),
            Number("hours", float(season.mean()) if n else 0.0, "s"),
            "exact geometry; the sun's place by the Astronomical Almanac's short formulas",
            "Under a sky without clouds.",
        ),
        Working(
            "planting.energy",
            "Clear-sky radiation on the cells against open level ground",
            "beam cos(th) + diffuse seen + thrown back by the ground, over the year",
            (latitude, Number("level ground, a mean day", float(table.level.mean()), "J/m2")),
            Number("of level ground", of_level, "%"),
            "Hottel 1976 and Liu & Jordan 1960, as in Duffie & Beckman (from memory)",
        ),
        Working(
            "planting.gap",
            "How much better another planting could be, at most",
            "(bound - worth) / worth",
            (
                Number("worth", proof.worth, "-"),
                Number("bound on this path", proof.path_bound, "-"),
                Number("bound on any path", proof.bound, "-"),
            ),
            Number("gap", proof.gap, "%"),
            "our count",
            f"Worth is in planted cells, by the weights of the job. {made}",
        ),
    )
