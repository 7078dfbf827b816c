"""Ways to bring soil up, side by side: what each carries at a time, how fast, with how many."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from hillwright.crew.brigade import brigade_pace
from hillwright.crew.buckets import FillLine, fill_line
from hillwright.crew.energy import day_limit, lcda, paced, pandolf
from hillwright.crew.given import GRAVITY, POUND
from hillwright.crew.haul import Haul
from hillwright.crew.lifting import lift_limit
from hillwright.crew.norms import labour_norm
from hillwright.crew.pull import accepted_force, drag_force
from hillwright.data import table
from hillwright.wording import plural

_GENTLEST = 1 / 120  # one lift in two minutes, below which the table of paces does not go [1/s]
_AGREED = 12  # rounds in which load and pace come to agree

HOUR, DAY = 3600.0, 8 * 3600.0
WAYS = (
    "bucket brigade",
    "carried buckets",
    "wheelbarrow",
    "rope hoist",
    "conveyor",
    "blower truck",
)


@dataclass(frozen=True, slots=True)
class Setting:
    """What the ways are compared for."""

    people: int  # who can haul at once
    bucket: float  # level volume [m3]
    bucket_mass: float  # [kg]
    duration: str  # of the lifting: "short", "moderate" or "long"
    barrow: float  # [m3]
    ramp: float  # slope of a ramp that is there or can be built, 0 = none [rad]
    cycle: float  # own timing: from one bucket of the brigade to the next, 0 = none [s]
    trip: float  # own timing: one person's round with a bucket, rest included, 0 = none [s]
    available: tuple[str, ...]  # ways that can be had


@dataclass(frozen=True, slots=True)
class Way:
    """One way, for the whole haul."""

    name: str
    possible: bool
    why: str  # it is not, or what to mind
    people: int
    load: float  # soil in one bucket, barrow, sled [kg]
    volume: float  # the same [m3]
    pace: float  # loads in a time [1/s]
    rate: float  # loose soil in a time, rest included [m3/s]
    time: float  # of the whole haul [s]
    person_time: float  # [s]
    power: float  # mean of one person over the round, rest included; nan where not reckoned [W]
    fill: float  # share of the bucket that is filled; nan without buckets [-]


def shovel_rate() -> float:
    """Give how much one person loads in a time, by the labour-based norm [m3/s]."""
    return labour_norm("loading") / DAY


def compare(haul: Haul, setting: Setting) -> tuple[Way, ...]:
    """Give all ways for one haul, in the order of :data:`WAYS`."""
    makers: tuple[Callable[[Haul, Setting], Way], ...] = (
        brigade, carried, wheelbarrow, rope_hoist, conveyor, blower,
    )  # fmt: skip
    return tuple(make(haul, setting) for make in makers)


def best(ways: tuple[Way, ...], available: tuple[str, ...]) -> int:
    """Give which way takes the least of people's time, of those that can be had; -1 if none."""
    fit = [i for i, w in enumerate(ways) if w.possible and w.name in available]
    return min(fit, key=lambda i: ways[i].person_time, default=-1)


def brigade(haul: Haul, setting: Setting) -> Way:
    """Reckon a line of people that hands buckets up and empty ones back.

    The pace is chosen that brings most soil up with a bucket that may be handed on so often; the
    line is no faster than its slowest pair of hands.
    """
    k = table("haul")["brigade"]
    up = table("lifting")["posture"][0]
    full_line = math.ceil(haul.farthest / k["spacing_m"]) + 1
    line = max(min(full_line, setting.people - 1), 1)
    if setting.people < 3:
        return _not("bucket brigade", "a line needs three people: one loads, two hand on")
    span = haul.distance / max(line - 1, 1)
    if span > k["farthest_apart_m"]:
        need = math.ceil(haul.distance / k["farthest_apart_m"]) + 2
        return _not("bucket brigade", f"the way is too far for so few: it takes {need} people")
    turn = k["turn_s"] + 2 * max(span - k["spacing_m"], 0.0) / k["step_m_s"]
    pace = brigade_pace(line, turn, k["hand_over_s"], 0.0, k["pour_s"], 4 * line, 0.0)
    fastest = 1 / (setting.cycle or pace.cycle)
    choices = []
    for per_min in k["paces_per_min"]:
        f = min(per_min / 60, fastest)
        limit = lift_limit(
            up["reach_cm"] / 100, up["height_cm"] / 100, up["travel_cm"] / 100,
            math.radians(up["twist_deg"]), f, setting.duration, up["coupling"],
        )  # fmt: skip
        mark = fill_line(float(limit.limit), haul.density, setting.bucket, setting.bucket_mass)
        choices.append((f * float(mark.volume), f, mark))
    rate, f, mark = max(choices, key=lambda c: c[0])
    if rate <= 0:
        return _not("bucket brigade", "no fill of this bucket may be handed on so long")
    rate *= 1 - k["rest_share"]
    loaders = max(1, math.ceil(rate / shovel_rate()))
    people = line + loaders
    short = full_line > line
    why = _loaders(loaders)
    if people > setting.people:
        why += f"; {people - setting.people} more than there are"
    if short:
        why += f"; each steps {span - k['spacing_m']:.1f} m" if span > k["spacing_m"] else ""
    soil = float(mark.mass) - setting.bucket_mass
    return _way(
        haul, "bucket brigade", why, people, soil, float(mark.volume), f, rate, math.nan,
        float(mark.share),
    )  # fmt: skip


class _Round(NamedTuple):
    """One bucket up and the way back down, at the pace that a body keeps up."""

    mark: FillLine
    limit: float  # power that a body keeps up all day [W]
    busy: float  # of the round, without rest [s]
    least: float  # of the round [s]


def carried_pace(haul: Haul, setting: Setting) -> float:
    """Give how often one who carries buckets lifts one [1/s].

    The oftener a bucket is lifted, the lighter it must be, and the lighter it is, the sooner one
    is back for the next: raised from the gentlest pace of the table until the two agree.
    """
    pace = _GENTLEST
    for _ in range(_AGREED):
        again = 1 / _round(haul, setting, pace).least
        if again <= pace * 1.01:
            break
        pace = again
    return pace


def _round(haul: Haul, setting: Setting, frequency: float) -> _Round:
    k, limits = table("haul")["carried"], table("energy")["limits"]
    lift = table("lifting")["posture"][1]
    limit, rest = day_limit()
    body, factor = limits["body_kg"], limits["load_factor"]
    slope, d = max(haul.slope, 0.0), max(haul.distance, 0.1)
    top = lift_limit(
        lift["reach_cm"] / 100, lift["height_cm"] / 100, lift["travel_cm"] / 100, 0.0, frequency,
        setting.duration, lift["coupling"],
    )  # fmt: skip
    mark = fill_line(float(top.limit), haul.density, setting.bucket, setting.bucket_mass)
    speed = np.linspace(k["slowest_m_s"], k["fastest_m_s"], 71)
    up, down = speed[:, None], speed[None, :]
    shape = (len(speed), len(speed))
    t = np.stack(
        [
            np.full(shape, k["load_s"] + k["pour_s"]),
            np.broadcast_to(d / up, shape),
            np.broadcast_to(d / down, shape),
        ]
    )
    climb = pandolf(body, float(mark.mass), speed, slope, k["terrain"], factor)
    back = body * lcda(speed, -slope)
    m = np.stack(
        [
            np.full(shape, k["standing_w"]),
            np.broadcast_to(climb[:, None], shape),
            np.broadcast_to(back[None, :], shape),
        ]
    )
    cycle = paced(t, m, limit, rest)
    i, j = np.unravel_index(int(np.argmin(cycle)), shape)
    return _Round(mark, limit, float(t[:, i, j].sum()), setting.trip or float(cycle[i, j]))


def carried(haul: Haul, setting: Setting) -> Way:
    """Reckon buckets that each carries up alone, as fast as a body keeps up all day."""
    slope = max(haul.slope, 0.0)
    mark, limit, busy, least = _round(haul, setting, carried_pace(haul, setting))
    people = setting.people
    volume = float(mark.volume)
    if volume <= 0:
        return _not("carried buckets", "the empty bucket is too heavy")
    # who fills buckets carries none: the split that brings most up
    loaders = max(
        range(1, people),
        key=lambda n: min((people - n) * volume / least, n * shovel_rate()),
        default=0,
    )
    walkers = people - loaders
    rate = walkers * volume / least
    if loaders:
        rate = min(rate, loaders * shovel_rate())
    else:
        rate = 1 / (least / volume + 1 / shovel_rate())  # alone: fills, then carries
    why = _loaders(loaders) if loaders else "who carries also fills the bucket"
    if not setting.trip:
        why += f"; {busy:.0f} s of work and {least - busy:.0f} s of rest in a round"
    if slope > math.atan(0.25):
        why += "; steeper than the equation was fitted to"
    return _way(
        haul, "carried buckets", why, walkers + loaders, float(mark.mass) - setting.bucket_mass,
        volume, rate / volume, rate, limit, float(mark.share),
    )  # fmt: skip


def wheelbarrow(haul: Haul, setting: Setting) -> Way:
    """Reckon a barrow on a ramp or switchback, as heavy as may be pushed up it."""
    k = table("haul")["barrow"]
    direct = abs(haul.slope)
    grade = setting.ramp or direct
    steepest = math.radians(k["steepest_deg"])
    if grade > steepest + 1e-9:
        return _not(
            "wheelbarrow",
            f"the way is {math.degrees(grade):.0f} deg steep and a loaded barrow wants "
            f"{k['steepest_deg']:g} deg at most: a ramp or switchback would have to be built",
        )
    length = max(abs(haul.rise) / math.sin(grade), haul.distance) if grade > 0 else haul.distance
    if length > k["longest_m"]:
        return _not("wheelbarrow", f"{length:.0f} m of ramp is too far to push all day")
    way = min(max(length, 2.1), 60.0)
    each = min(
        float(accepted_force("push", sex, "sustained", k["handles_m"], way, 1 / 120, part).accepted)
        for sex, part in (("female", 0.75), ("male", 0.90))
    )
    per_kg = GRAVITY * (math.sin(grade) + k["rolling"] * math.cos(grade))
    soil = min(each / per_kg - k["empty_kg"], setting.barrow * haul.density)
    if soil <= 0:
        return _not("wheelbarrow", "the empty barrow alone asks for more than a mixed crew accepts")
    cycle = 2 * length / k["speed_m_s"] + k["load_s"] + k["tip_s"]
    volume = soil / haul.density
    barrows = max(setting.people // 2, 1)
    rate = barrows * volume / cycle
    loaders = max(1, math.ceil(rate / shovel_rate()))
    why = f"{plural(barrows, 'barrow')} on {length:.0f} m of ramp; {_loaders(loaders, 'barrows')}"
    people = barrows + loaders
    return _way(
        haul, "wheelbarrow", why, people, soil, volume, barrows / cycle, rate, math.nan, math.nan
    )


def rope_hoist(haul: Haul, setting: Setting) -> Way:
    """Reckon a sled on a rope over a sheave at the top, hauled by a team on good ground."""
    k = table("haul")["rope"]
    if haul.rise <= 0:
        return _not("rope hoist", "the soil lies above the cells")
    each = next(r[1] for r in table("pulling")["team"]["rows"] if str(r[0]).startswith("prolonged"))
    pull = k["haulers"] * each * POUND * GRAVITY * k["sheave"]
    per_kg = float(drag_force(1.0, haul.slope, k["friction"]))
    soil = min(pull / per_kg - k["sled_kg"], k["sled_holds_l"] * 1e-3 * haul.density)
    if soil <= 0:
        return _not("rope hoist", "the sled alone is as much as the team can haul")
    cycle = haul.distance * (1 / k["speed_m_s"] + 1 / k["back_m_s"]) + k["load_s"] + k["tip_s"]
    rate = soil / haul.density / cycle
    loaders = max(1, math.ceil(rate / shovel_rate()))
    people = k["haulers"] + loaders + 1
    if people > setting.people:
        return _not("rope hoist", f"takes {people} people")
    why = "anchor of the sheave to be designed and tested; nobody below the load"
    return _way(
        haul, "rope hoist", why, people, soil, soil / haul.density, 1 / cycle, rate, math.nan,
        math.nan,
    )  # fmt: skip


def conveyor(haul: Haul, setting: Setting) -> Way:
    """Reckon a belt, as fast as people shovel onto it."""
    k = table("haul")["conveyor"]
    if abs(haul.slope) > math.radians(k["steepest_deg"]):
        why = f"{math.degrees(abs(haul.slope)):.0f} deg is steeper than a belt holds soil on"
        return _not("conveyor", f"{why} ({k['steepest_deg']:g} deg)")
    if haul.farthest > k["longest_m"]:
        why = f"{haul.farthest:.0f} m to the farthest cell, and a belt reaches {k['longest_m']:g} m"
        return _not("conveyor", why)
    rate = k["loaders"] * shovel_rate()
    people = k["loaders"] + k["others"]
    why = "set up on firm ground by who hires it out; guards on, hands off"
    return _way(haul, "conveyor", why, people, 0.0, 0.0, 0.0, rate, math.nan, math.nan)


def blower(haul: Haul, setting: Setting) -> Way:
    """Reckon a truck that blows light mix through a hose."""
    k = table("haul")["blower"]
    if haul.farthest > k["longest_m"]:
        why = f"{haul.farthest:.0f} m to the farthest cell, and a hose reaches {k['longest_m']:g} m"
        return _not("blower truck", why)
    why = "only mixes without stones, dry enough to flow; ask for its least order"
    rate = k["m3_h"] / HOUR
    return _way(haul, "blower truck", why, k["people"], 0.0, 0.0, 0.0, rate, math.nan, math.nan)


def _loaders(count: int, what: str = "buckets") -> str:
    return f"1 of them fills {what}" if count == 1 else f"{count} of them fill {what}"


def _way(
    haul: Haul,
    name: str,
    why: str,
    people: int,
    load: float,
    volume: float,
    pace: float,
    rate: float,
    power: float,
    fill: float,
) -> Way:
    time = haul.volume / rate
    return Way(name, True, why, people, load, volume, pace, rate, time, time * people, power, fill)


def _not(name: str, why: str) -> Way:
    n = math.nan
    return Way(name, False, why, 0, n, n, n, n, n, n, n, n)
