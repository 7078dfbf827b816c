"""How soil gets up (question 5), and what nobody is asked to lift or drag (question 8)."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.crew.grip import meaning
from hillwright.crew.handmodel import Carry
from hillwright.crew.haulways import Way
from hillwright.crew.norms import practice_band
from hillwright.rooms import Rooms
from hillwright.units import System
from hillwright.wording import in_units, plural

_QUART = 231 * 0.0254**3 / 4  # [m3]


def people(count: int) -> str:
    """Count people."""
    return plural(count, "person", "people")


def hours(seconds: float) -> str:
    """Write a time in hours, as in "3.2 h"."""
    return f"{seconds / 3600:,.1f} h"


def mass(kg: float, system: System) -> str:
    """Write a mass as a scale on the site reads it."""
    number, label, _ = units.shown(kg, "kg", system)
    return f"{number:,.0f} {label}"


def haul_lines(rooms: Rooms) -> tuple[str, ...]:
    """Say how the soil gets up, way beside way."""
    carry, system = rooms.carry, rooms.job.units
    if not carry.ways:
        return ()
    lines = []
    if carry.best >= 0:
        way = carry.ways[carry.best]
        lines.append(
            f"Least work of the ways that can be had: {way.name}, {people(way.people)} for "
            f"{hours(way.time)}, {hours(way.person_time)} of work in all."
        )
    else:
        lines.append("None of the ways named in the job can bring the soil up here.")
    lines.append(
        f"The mean way from the pile is {units.show(carry.distance, 'm', system)} with "
        f"{units.show(carry.rise, 'm', system)} of rise; the pile is "
        f"{in_units(carry.pile_note, system)}."
    )
    lines += [f"  {way_text(w, system)}" for w in carry.ways]
    far = units.show(30.0, "m", system)
    low, high = (units.show(v * 3600, "m3", system) for v in practice_band())
    lines.append(
        "Rates of hand haul differ by a factor of two to three between sources (practitioners "
        f"report {low} to {high} a person-hour with barrows over {far} on the level): time the "
        "first hour and write it into the job."
    )
    return tuple(lines)


def way_text(way: Way, system: System) -> str:
    """Say one way in a line."""
    why = in_units(way.why, system)
    if not way.possible:
        return f"{way.name}: no: {why}."
    load = f"{mass(way.load, system)} of soil at a time, " if way.load > 0 else ""
    rate = units.show(way.rate * 3600, "m3", system)
    return (
        f"{way.name}: {people(way.people)}, {load}{rate} an hour, "
        f"{hours(way.time)}, {hours(way.person_time)} of work ({why})."
    )


def lifting_lines(rooms: Rooms) -> tuple[str, ...]:
    """Say the fill lines, the lifts of rows and what heat asks for."""
    carry, system = rooms.carry, rooms.job.units
    return (*_marks(carry, system), *_body(carry), *_rows(carry, system), *_heat(carry))


def _marks(carry: Carry, system: System) -> list[str]:
    found = []
    for m in carry.marks:
        index = f"{m.index:.1f}" if math.isfinite(m.index) else "without limit"
        found.append(
            f"Fill line for {m.mix}: {100 * m.carried:.0f} % of the bucket where one person "
            f"carries it ({mass(m.carried_mass, system)} with the bucket), "
            f"{100 * m.brigade:.0f} % handed up a line ({mass(m.brigade_mass, system)}). A level "
            f"bucket weighs {mass(m.full, system)}: lifting index {index} ({meaning(m.index)}; 1 "
            f"or less is the goal). All of it is {m.level_buckets:,} level buckets, or "
            f"{m.carried_buckets:,} filled to the line."
        )
    return found


def _body(carry: Carry) -> list[str]:
    if not carry.marks:
        return []
    broken = "; ".join(carry.broken)
    return [
        f"The lifting equation does not cover: {broken}. Read its index as the least of the risk.",
        f"Carried straight up at an easy pace that bucket costs {carry.climb:,.0f} W, "
        f"{carry.climb_class} work, where {carry.limit:,.0f} W can be kept up all day: the rest is "
        "in the times above.",
    ]


def _rows(carry: Carry, system: System) -> list[str]:
    found = []
    each = units.show(carry.each_pull, "N", system)
    if carry.lifts:
        most = max(len(lift.rows) for lift in carry.lifts)
        long, deep = (units.show(v, "m", system) for v in carry.staging)
        found.append(
            f"Rows go up in {plural(len(carry.lifts), 'lift')}, at most {plural(most, 'row')} at a "
            f"time with {people(carry.people)} on the drag ({each} each, that a mixed crew keeps "
            f"up; friction {carry.friction:g}). Clip them together on a place of {long} by {deep} "
            "at the foot."
        )
        worst = max(carry.lifts, key=lambda lift: lift.pull)
        found.append(
            f"The heaviest lift is {mass(worst.mass, system)} and asks for "
            f"{units.show(worst.pull, 'N', system)}: {people(worst.people)}."
        )
    if carry.singles:
        found.append(f"Set cell by cell on the hill: {', '.join(carry.singles)}.")
    practice = units.show(carry.practice_pull, "N", system)
    found.append(
        "Rate check, common practice with no source: seven people drag a dozen rows of a dozen "
        f"cells in one go; with this cell on this slope that asks {practice} of each, against "
        f"{each}. Pull a cell with a spring scale before you plan on it."
    )
    return found


def _heat(carry: Carry) -> list[str]:
    if carry.heat is None:
        return []
    h = carry.heat
    word = f", {h.band}" if h.band else ""
    found = [
        f"Heat index {h.index * 9 / 5 + 32:.0f} °F ({h.index:.0f} °C){word}: each drinks "
        f"{h.water * 1e3:.1f} L ({h.water / _QUART:.2g} qt) an hour; heavy work "
        f"{h.work / 60:.0f} minutes of each hour; about {100 * h.capacity:.0f} % of the usual work "
        "gets done."
    ]
    return [*found, *(f"  {duty}" for duty in h.duties)]
