"""Stage: Fill and Layout to Carry: fill lines, lifts of rows, ways to haul, heat."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array, frozen
from hillwright.crew.buckets import bucket_mass, fill_line
from hillwright.crew.energy import day_limit, pandolf, terrain_factor
from hillwright.crew.grip import broken_conditions
from hillwright.crew.handmodel import Carry, FillMark, HotDay, RowLift
from hillwright.crew.handwords import cautions, warnings, workings
from hillwright.crew.haul import haul_of
from hillwright.crew.haulways import Setting, best, carried_pace, compare
from hillwright.crew.heat import band, fahrenheit, heat_index, wbgt_estimate
from hillwright.crew.heatwork import QUART, capacity_hothaps, work_class, work_rest
from hillwright.crew.lifting import lift_limit
from hillwright.crew.pull import drag_force, friction_range, sustained_pull
from hillwright.crew.rowlifts import row_lifts
from hillwright.data import table
from hillwright.fill.model import Fill, Mix
from hillwright.job.carrying import CarryText
from hillwright.job.site import Frame
from hillwright.layout.model import Layout, SetOut
from hillwright.terrain.model import Surface

USUAL_PEOPLE = 6  # common practice, no source
_PILE_OFF = 3.0  # the pile lies so far below the lowest row where the job does not say [m]


def carry(
    layout: Layout,
    surface: Surface,
    setout: SetOut,
    fill: Fill,
    text: CarryText,
    people: int | None = None,
    frame: Frame | None = None,
) -> Carry:
    """Stage: say how soil and rows get up, and what nobody is asked to lift.

    Parameters
    ----------
    layout : Layout
        The cells.
    surface : Surface
        The ground.
    setout : SetOut
        The rows, as they are assembled.
    fill : Fill
        What goes into each cell.
    text : CarryText
        What the job says of hands.
    people : int, optional
        Who can haul at once, where the job's section leaves it out.
    frame : Frame, optional
        The local frame, for the place that the job gives.
    """
    crew = text.people or people or USUAL_PEOPLE
    place = text.pile if text.pile is None or frame is None else frame.local(text.pile)
    spot, note = _pile(layout, surface, place)
    duration = "short" if text.hours <= 3600 else "moderate" if text.hours <= 7200 else "long"
    setting = Setting(
        crew,
        text.bucket,
        text.bucket_mass,
        duration,
        text.barrow,
        text.ramp or 0.0,
        text.brigade_cycle or 0.0,
        text.round_trip or 0.0,
        text.ways,
    )
    lifts, singles, pulling = _lifts(layout, setout, crew, text)
    limit, _ = day_limit()
    n = math.nan
    found = Carry(
        people=crew,
        pile=frozen(spot),
        pile_note=note,
        distance=n,
        farthest=n,
        rise=n,
        slope=n,
        marks=(),
        carried_pace=n,
        ways=(),
        best=-1,
        lifts=lifts,
        singles=singles,
        friction=pulling[0],
        each_pull=pulling[1],
        practice_pull=_practice(layout, pulling[0]),
        staging=_staging(layout, setout, lifts),
        climb=n,
        limit=limit,
        climb_class="",
        broken=broken_conditions(surface.slope_steepest, text.temperature),
        heat=_heat(text),
        cautions=(),
        workings=(),
        warnings=(),
    )
    if fill.totals:
        density = np.array([m.loose_moist for m in fill.mixes])[fill.mix]
        middles = layout.corners.mean(axis=1)
        haul = haul_of(middles, fill.loose, fill.loose * density, spot)
        ways = compare(haul, setting)
        pace = next((w.pace for w in ways if w.name == "bucket brigade" and w.possible), 1 / 15)
        carried = carried_pace(haul, setting)
        marks = tuple(_mark(t.mix, t.loose, setting, pace, carried) for t in fill.totals)
        load = max((m.carried_mass for m in marks), default=0.0)
        body = table("energy")["limits"]["body_kg"]
        climb = float(
            pandolf(body, load, 0.3, max(haul.slope, 0.0), terrain_factor("heavy brush"), 1.3)
        )
        found = replace(
            found,
            distance=haul.distance,
            farthest=haul.farthest,
            rise=haul.rise,
            slope=haul.slope,
            marks=marks,
            carried_pace=carried,
            ways=ways,
            best=best(ways, text.ways),
            climb=climb,
            climb_class=work_class(climb, body),
        )
    return replace(
        found,
        cautions=cautions(found, surface),
        workings=workings(found, layout, fill, text, setting),
        warnings=warnings(found),
    )


def _pile(layout: Layout, surface: Surface, pile: ArrayLike | None) -> tuple[Array, str]:
    """Give where the soil lies, and how that came about."""
    if pile is not None:
        x, y = (float(v) for v in np.asarray(pile, float))
        note = "where the job says"
    elif not len(layout.row):
        return np.zeros(3), "nowhere: no cell is laid"
    else:
        last = layout.corners[layout.row == layout.row.max()]
        low, high = last[:, 2:].mean(axis=(0, 1)), last[:, :2].mean(axis=(0, 1))
        way = (low - high)[:2]
        step = way / max(float(np.linalg.norm(way)), 1e-9) * _PILE_OFF
        x, y = (float(v) for v in low[:2] + step)
        note = f"taken {_PILE_OFF:.0f} m below the middle of the lowest row: give carry.pile"
    z = float(surface.graded.at(np.array([x]), np.array([y]))[0][0])
    if not math.isfinite(z):
        z = float(layout.corners[:, :, 2].min()) if len(layout.row) else 0.0
        note += "; its height is not known and taken as that of the lowest cell"
    return np.array([x, y, z]), note


def _mark(mix: Mix, loose: float, setting: Setting, pace: float, carried_at: float) -> FillMark:
    """Give the fill lines of one mix, and how many buckets it comes to."""
    density, limits = mix.loose_moist, []
    for posture, frequency in zip(table("lifting")["posture"], (pace, carried_at), strict=True):
        found = lift_limit(
            posture["reach_cm"] / 100, posture["height_cm"] / 100, posture["travel_cm"] / 100,
            math.radians(posture["twist_deg"]), frequency, setting.duration, posture["coupling"],
        )  # fmt: skip
        limits.append(float(found.limit))
    handed, carried = (
        fill_line(limit, density, setting.bucket, setting.bucket_mass) for limit in limits
    )
    full = float(bucket_mass(density, setting.bucket, setting.bucket_mass).mass)
    index = full / limits[1] if limits[1] > 0 else math.inf
    line = float(carried.volume)
    return FillMark(
        mix.name,
        full,
        float(handed.share),
        float(handed.mass),
        float(carried.share),
        float(carried.mass),
        math.ceil(loose / setting.bucket - 1e-9),
        math.ceil(loose / line - 1e-9) if line > 0 else 0,
        index,
    )


def _lifts(
    layout: Layout, setout: SetOut, people: int, text: CarryText
) -> tuple[tuple[RowLift, ...], tuple[str, ...], tuple[float, float]]:
    """Share the assembled rows out over lifts."""
    k = table("haul")["drag"]
    mu = text.drag_friction or friction_range(k["pair"])[1]
    if not len(setout.row):
        return (), (), (mu, sustained_pull(20.0, k["lifts_per_hour"] / 3600, k["hands_m"]))
    cells = setout.cells.astype(float)
    mass = cells * layout.cell.mass
    names = setout.line_name or tuple(f"R{r}" for r in setout.row.tolist())
    slope = np.array(
        [float(np.mean(layout.run_slope[layout.row == r])) for r in setout.row.tolist()]
    )
    z = setout.start[:, 2]
    rise = float(z.max() - layout.corners[:, :, 2].min())
    far = rise / max(math.sin(float(slope.mean())), 0.05)
    each = sustained_pull(far, k["lifts_per_hour"] / 3600, k["hands_m"])
    found = row_lifts(mass, slope, mu, people, each, k["most_per_lift"])
    few = setout.cells <= k["by_hand_cells"]
    lifts: list[RowLift] = []
    for n in range(1, int(found.lift.max(initial=0)) + 1):
        mine = np.flatnonzero((found.lift == n) & ~few)
        if not mine.size:
            continue
        pull = float(found.pull[mine].sum())
        lifts.append(
            RowLift(
                len(lifts) + 1,
                tuple(names[i] for i in mine),
                int(cells[mine].sum()),
                float(mass[mine].sum()),
                pull,
                math.ceil(pull / each - 1e-9),
            )
        )
    alone = tuple(names[i] for i in np.flatnonzero((found.lift == 0) | few))
    return tuple(lifts), alone, (mu, each)


def _practice(layout: Layout, friction: float) -> float:
    """Give what common practice would ask of each: 7 people, 12 rows of 12 cells [N]."""
    k = table("haul")["drag"]
    slope = float(layout.run_slope.mean()) if len(layout.row) else 0.0
    mass = k["practice_rows"] * k["practice_cells"] * layout.cell.mass
    return float(drag_force(mass, slope, friction)) / float(k["practice_people"])


def _staging(layout: Layout, setout: SetOut, lifts: tuple[RowLift, ...]) -> tuple[float, float]:
    """Give the place that the largest lift is clipped together on [m]."""
    if not lifts:
        return (0.0, 0.0)
    aisle = table("haul")["drag"]["aisle_m"]
    names = setout.line_name or tuple(f"R{r}" for r in setout.row.tolist())
    along = dict(zip(names, setout.along.tolist(), strict=True))
    widest = max(along[name] for lift in lifts for name in lift.rows)
    deepest = max(len(lift.rows) for lift in lifts) * layout.cell.run
    return (float(widest) + 2 * aisle, float(deepest) + 2 * aisle)


def _heat(text: CarryText) -> HotDay | None:
    """Give what the heat of the job asks for."""
    if text.temperature is None or text.humidity is None:
        return None
    index = float(heat_index(text.temperature, text.humidity))
    # a table of rules goes by dry bulb (California) or heat index (the federal proposal)
    air, felt = float(fahrenheit(text.temperature)), float(fahrenheit(index))
    duties = []
    for rule, trigger, duty, status in table("heat")["rules"]["rows"]:
        words = trigger.split()
        value = felt if trigger.startswith("heat index") else air
        at = -math.inf if trigger == "always" else float(words[-2])
        if value >= at:
            duties.append(f"{rule} ({status}): {duty}")
    wet = float(wbgt_estimate(text.temperature, text.humidity))
    told = work_rest(wet, "heavy")
    return HotDay(
        index,
        band(index),
        max(told.water, QUART),
        told.work,
        float(capacity_hothaps(wet, "heavy")),
        tuple(duties),
    )
