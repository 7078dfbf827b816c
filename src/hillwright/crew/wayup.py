"""How soil gets up, as the work plan takes it: hours, people, and the line of a bucket brigade."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hillwright.crew.brigade import brigade_pace
from hillwright.crew.brigadesim import simulate_brigade
from hillwright.crew.handmodel import Carry
from hillwright.crew.haulways import Way, shovel_rate
from hillwright.crew.works import Work
from hillwright.data import table

_SPREAD = 0.3  # of every time of the line, beside its mean: common practice, no source
_BUCKETS = 4  # that go round, for each person on the line


@dataclass(frozen=True, slots=True)
class Line:
    """A bucket brigade, ready to be simulated; times in seconds."""

    people: int  # on the line, without those who only fill buckets
    turn: float  # [s]
    hand_over: float  # [s]
    load: float  # so long the first waits for the next full bucket: the pace that is kept [s]
    pour: float  # [s]
    buckets: int
    day: float  # that people haul [s]
    work: float  # between two rests [s]
    rest: float  # [s]


@dataclass(frozen=True, slots=True)
class WayUp:
    """The way that is taken."""

    name: str
    hours: float  # person-hours for a cubic metre, loose, rest included [h]
    people: int
    line: Line | None  # of a brigade


@dataclass(frozen=True, slots=True)
class BrigadeDay:
    """A day of the brigade, bucket by bucket."""

    people: int  # on the line
    hours: float  # [h]
    buckets: int
    per_hour: float  # while it works
    steady: float  # the same if no time varied
    bottleneck: int  # who sets the pace, counted from the pile; 0 the buckets


def way_up(carry: Carry, hours: float) -> WayUp | None:
    """Give the way that takes the least of people's time; None where there is none.

    Parameters
    ----------
    carry : Carry
        All ways, side by side.
    hours : float
        How long a day people haul [s].
    """
    if carry.best < 0:
        return None
    way = carry.ways[carry.best]
    line = _line(way, carry.distance, hours) if way.name == "bucket brigade" else None
    return WayUp(way.name, way.people / way.rate / 3600, way.people, line)


def _line(way: Way, distance: float, hours: float) -> Line:
    k = table("haul")["brigade"]
    people = max(way.people - max(1, math.ceil(way.rate / shovel_rate())), 1)
    span = distance / max(people - 1, 1)
    turn = k["turn_s"] + 2 * max(span - k["spacing_m"], 0.0) / k["step_m_s"]
    # the first hands a bucket on no sooner than the pace that its weight allows
    load = max(0.0, 1 / way.pace - turn - (k["hand_over_s"] if people > 1 else k["pour_s"]))
    rest = 3600 * k["rest_share"]
    return Line(
        people, turn, k["hand_over_s"], load, k["pour_s"], _BUCKETS * people, hours,
        3600 - rest, rest,
    )  # fmt: skip


def brigade_day(line: Line) -> BrigadeDay:
    """Simulate a day of the line, and hold it against the closed form."""
    given = (
        line.people, line.turn, line.hand_over, line.load, line.pour, line.buckets,
        line.people * (line.hand_over + line.turn / 2),
    )  # fmt: skip
    steady = brigade_pace(*given)
    day = simulate_brigade(*given, line.day, _SPREAD, line.work, line.rest)
    return BrigadeDay(
        line.people,
        line.day / 3600,
        day.buckets,
        day.buckets_per_hour,
        steady.buckets_per_hour,
        day.bottleneck,
    )


def on_this_hill(
    works: dict[str, Work], way: WayUp | None, capacity: float, able: int
) -> dict[str, Work]:
    """Give the table with the haul of this hill and the heat of its days; own timings stay.

    Parameters
    ----------
    works : dict
        Kinds of work by id.
    way : WayUp, optional
        How soil gets up; left out, the table's hours stay.
    capacity : float
        Share of heavy work that the heat leaves [-].
    able : int
        How many may carry.
    """
    found = dict(works)
    if way is not None and found["fill"].status != "measured":
        most = max(1, min(way.people, max(able, 1)))
        found["fill"] = replace(
            found["fill"],
            hours=way.hours,
            least=max(1, most // 2),
            most=most,
            source=f"{way.name}, worked out for this hill: `hillwright why` JOB "
            f"crew.haul.{way.name.replace(' ', '-')}",
            status="worked out",
        )
    if capacity < 1:
        for name, work in found.items():
            if work.heavy and work.status != "measured":
                slowed = f"{work.source}; the heat leaves {100 * capacity:.0f} % of heavy work"
                found[name] = replace(work, hours=work.hours / capacity, source=slowed)
    return found
