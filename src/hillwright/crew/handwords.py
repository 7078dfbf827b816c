"""What the room of hands says: workings, warnings, and cautions where they belong."""

from __future__ import annotations

import math

from hillwright.crew.buckets import fill_line
from hillwright.crew.handmodel import Carry
from hillwright.crew.haulways import Setting, Way
from hillwright.crew.lifting import lift_limit
from hillwright.crew.rowlifts import row_lifts
from hillwright.data import table
from hillwright.fill.model import Fill
from hillwright.job.carrying import CarryText
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.terrain.model import Surface
from hillwright.wording import plural

_STEEP = math.radians(40)  # 8 CCR 1670: other rules apply above [rad]
_FOOTING = math.radians(20)  # steeper than this boots slip on dry grass (common practice)


def cautions(carry: Carry, surface: Surface) -> tuple[str, ...]:
    """Say what must be minded, each where it is decided; local rules come first."""
    steep = surface.slope_steepest
    said = [
        "Before anything is dug or driven have buried lines located (in the USA call 811, at least "
        "two working days before); dig by hand beside a marked line.",
        "Lifting: the limits printed here are the most for sure footing and mild weather, not "
        "safe loads: on a slope, in heat or with a bad back take less, and stop when it hurts.",
        "Nobody works or stands below a row, a sled or soil that is being hauled.",
    ]
    if steep > _FOOTING:
        said.append(
            "Footing: boots slip on a slope like this. Cut steps or lay cleated boards, work from "
            "the rows that are staked, keep wet grass and loose soil off the way."
        )
    falls = "; ".join(
        f"{rule}: {trigger}: {duty}"
        for rule, trigger, duty in table("site_safety")["falls"]["rows"]
    )
    steeper = "Ground steeper than 40 degrees: ask before anyone works here. " * (steep > _STEEP)
    said.append(
        f"Falls: {steeper}Look for every edge or wall in and below the work. Rules of law change; "
        f"among them: {falls}."
    )
    said.append(
        "Heat: fresh water for a quart an hour each, shade, and a buddy; new hands do a fifth of "
        "a day's work in the heat on the first day and a fifth more each day."
    )
    silica = ", ".join(
        f"{item} {value} ug/m3 over 8 h" for item, value in table("site_safety")["silica"]["rows"]
    )
    said.append(
        "Dust: wet dry soil and compost before they are moved; no dry cutting of block or stone "
        f"without a mask made for silica ({silica})."
    )
    said.append(
        "Children carry nothing heavier than an empty bucket, stay off the slope above and below "
        "others, and away from the pile, trucks and barrows."
    )
    said.append(
        "Traffic: one way in for trucks, a person who guides them back, nobody behind or between; "
        "no truck and no pile at the edge of the crest."
    )
    return tuple(said)


def warnings(carry: Carry) -> tuple[str, ...]:
    """Say what cannot be done as it is planned."""
    said = []
    if carry.ways and carry.best < 0:
        said.append("No way to bring the soil up that the job names can be had: see the reasons.")
    heavy = [m for m in carry.marks if m.carried < 1]
    if heavy:
        names = " or ".join(m.mix for m in heavy)
        said.append(
            f"A level bucket of {names} is too heavy to carry: draw the fill line and keep to it."
        )
    if carry.singles:
        some = ", ".join(carry.singles[:6]) + (" ..." if len(carry.singles) > 6 else "")
        said.append(
            f"{plural(len(carry.singles), 'row')} ({some}) cannot be dragged up whole by "
            f"{plural(carry.people, 'person', 'people')}, or is too short for it: set such rows "
            "cell by cell on the hill."
        )
    if carry.heat is not None and carry.heat.work < 3600:
        said.append(
            f"At the heat that the job names heavy work is for {carry.heat.work / 60:.0f} minutes "
            "of an hour: begin early, or on a cooler day."
        )
    return tuple(said)


def workings(
    carry: Carry, layout: Layout, fill: Fill, text: CarryText, setting: Setting
) -> tuple[Working, ...]:
    """Give the working of every figure that hands act on."""
    found: list[Working] = []
    if carry.lifts:
        lift = carry.lifts[0]
        found.append(
            Working.of(
                "crew.lift.first",
                row_lifts,
                {
                    "mass": f"{plural(len(lift.rows), 'row')}, {plural(lift.cells, 'cell')} in all",
                    "slope": "of the rows",
                    "friction": carry.friction,
                    "people": carry.people,
                    "each": carry.each_pull,
                    "most": int(table("haul")["drag"]["most_per_lift"]),
                },
                lift.pull,
                output="pull",
                note=f"Together: {', '.join(lift.rows)}.",
            )
        )
    for mark in carry.marks:
        posture = table("lifting")["posture"][1]
        slug = mark.mix.replace(" ", "-")
        density = next(m.loose_moist for m in fill.mixes if m.name == mark.mix)
        given = {
            "reach": posture["reach_cm"] / 100,
            "height": posture["height_cm"] / 100,
            "travel": posture["travel_cm"] / 100,
            "twist": 0.0,
            "frequency": carry.carried_pace,
            "duration": setting.duration,
            "coupling": posture["coupling"],
        }
        limit = float(
            lift_limit(
                given["reach"], given["height"], given["travel"], 0.0, carry.carried_pace,
                setting.duration, posture["coupling"],
            ).limit
        )  # fmt: skip
        found.append(
            Working.of(
                f"crew.limit.{slug}",
                lift_limit,
                given,
                limit,
                output="limit",
                note="Posture by common practice, no source. Not for slippery ground or heat.",
            ).tagged(reach="m.small", height="m.small", travel="m.small")
        )
        found.append(
            Working.of(
                f"crew.fill-line.{slug}",
                fill_line,
                {
                    "limit": limit,
                    "density": density,
                    "volume": text.bucket,
                    "bucket": text.bucket_mass,
                },
                mark.carried,
                output="share",
                unit="%",
            ).tagged(volume="m3.small")
        )
    found += [_way_working(way, carry, fill) for way in carry.ways if way.possible]
    return tuple(found)


def _way_working(way: Way, carry: Carry, fill: Fill) -> Working:
    return Working(
        f"crew.haul.{way.name.replace(' ', '-')}",
        f"Soil by {way.name}",
        "time = loose volume / rate; rate = loads in a time * volume of one",
        (
            Number("loose volume", fill.total_loose, "m3"),
            Number("rate an hour", way.rate * 3600, "m3"),
            Number("people", way.people, "-"),
            Number("mean way", carry.distance, "m"),
            Number("rise", carry.rise, "m"),
        ),
        Number("person-hours", way.person_time, "s"),
        "common practice, no source, with the lifting limit and published norms; time the first "
        "hour",
        f"{way.why}.",
    )
