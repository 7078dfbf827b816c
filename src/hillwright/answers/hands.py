"""Question 8: how many hands, how many days, in what order."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.answers.carry import lifting_lines
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.crew.workdays import SLOT
from hillwright.crew.workplan import WorkPlan
from hillwright.rooms import Rooms
from hillwright.wording import plural

_NAMED = 6  # kinds of work told one by one
_CAUTION = (
    "Have buried lines located before anyone digs or drives a bar (811 in the United States), and "
    "dig by hand beside the marks. Keep everyone from under a row that is hung or dragged, and "
    "back from any edge or wall that one can fall over (6 ft, 1.8 m, is a limit of many rules). "
    "Go by the fill line on the bucket, rest in the shade and drink before thirst; stop in "
    "lightning and on wet, slick ground. Children carry only what is empty, away from the pile, "
    "the trucks and the hammer. Local rules and licensed practice come first."
)


def hands(rooms: Rooms) -> Answer:
    """Say how many people work how long in what order, and how sure that is."""
    work = rooms.work
    if work.stopped:
        short = f"This crew cannot do it: {work.stopped}."
        more = ("Name more people in [[person]], let more of them do it, or give more days.",)
        return Answer(8, QUESTIONS[7], short, "stop", more, (), _CAUTION)
    if not work.makespan:
        return Answer(8, QUESTIONS[7], "There is nothing to do.", "clear")
    people = plural(len(work.crew.people), "person", "people")
    half, most = _drawn(work)
    short = (
        f"{people}, {half} (as likely as not; nine in ten: {most}). At the pace of the table and "
        f"with nothing going wrong {plural(work.days, 'working day')}: {work.hours:,.1f} hours "
        f"from first to last, {work.person_hours:,.0f} person-hours."
    )
    lines = (
        *_who(rooms),
        *_when(work),
        _hours(work),
        _order(work),
        _proof(work),
        _sure(work),
        *_notice(work),
        *_brigade(work),
        _timed(work),
        *lifting_lines(rooms),
        "The chart, the tasks and a day sheet for each person are in the sheets.",
    )
    figures = ["crew.hours", "crew.schedule.length", "crew.schedule.bound", "crew.schedule.spread"]
    limits = ("crew.limit.", "crew.fill-line.", "crew.lift.")
    figures += [w.figure for w in rooms.carry.workings if w.figure.startswith(limits)]
    verdict: Verdict = "with measures"  # hands on a slope are never without
    return Answer(8, QUESTIONS[7], short, verdict, lines, tuple(figures), _CAUTION)


def _who(rooms: Rooms) -> tuple[str, ...]:
    job, people = rooms.job, rooms.work.crew.people
    if not job.person:
        others = plural(len(people) - 1, "adult volunteer")
        return (f"Nobody is named: one who leads and {others} are assumed.",)
    idle = [
        p.name for i, p in enumerate(people) if not any(s.person == i for s in rooms.work.stints)
    ]
    return (f"Not needed, or not there: {', '.join(idle)}.",) if idle else ()


def _when(work: WorkPlan) -> tuple[str, ...]:
    cal, said = work.calendar, list[str]()
    if cal.dated:
        said.append(f"From {cal.name(0)} to {cal.name(work.days - 1)}.")
    if work.crew.rain:
        more = math.ceil(work.days / (1 - work.crew.rain)) - work.days
        said.append(
            f"With {units.show(work.crew.rain, '%', 'us')} of the days lost to weather, allow "
            f"{plural(more, 'day')} more."
        )
    return tuple(said)


def _hours(work: WorkPlan) -> str:
    each: dict[str, float] = {}
    for task in work.tasks:
        name = work.work(task).name
        each[name] = each.get(name, 0.0) + task.hours
    told = sorted(each.items(), key=lambda item: -item[1])
    said = [f"{name} {hours:,.0f}" for name, hours in told[:_NAMED]]
    if rest := told[_NAMED:]:
        said.append(f"all other {sum(hours for _, hours in rest):,.0f}")
    return f"Person-hours at the pace of the table: {'; '.join(said)}."


def _order(work: WorkPlan) -> str:
    names = [work.work(t).name for i, t in enumerate(work.tasks) if work.path[i]]
    path = ", ".join(dict.fromkeys(names))
    return f"The longest path: {path}. Late there, late all."


def _proof(work: WorkPlan) -> str:
    least = work.bound * SLOT / 60
    by = f"there are only so many who may {work.short_of}" if work.short_of else "of the path"
    if work.gap <= 0:
        return f"Proven: no order of work with these people takes less than {least:,.1f} hours."
    said = (
        f"No order of work with these people takes less than {least:,.1f} hours ({by}); this "
        f"one is at most {100 * work.gap / (1 - work.gap):.1f} % longer than the shortest."
    )
    if work.proven:
        return said
    return f"{said} `hillwright schedule` looks for a shorter one and proves it."


def _drawn(work: WorkPlan) -> tuple[str, str]:
    """Give the working days that half, and nine in ten, of all courses of the work take."""
    per_day = max(work.crew.hours.per_day, 1)
    half, most = (plural(math.ceil(v / per_day), "working day") for v in work.drawn[1:])
    return half, most


def _sure(work: WorkPlan) -> str:
    half, most = _drawn(work)
    said = (
        "Hand work varies by a factor of two to three: with every kind of work between its best "
        f"and its worst, half of all courses take {half} or less, nine in ten {most} or less."
    )
    if not math.isnan(work.in_time):
        chance = units.show(work.in_time, "%", "us")
        said += f" Done by {work.crew.finish_by}: {chance} of them."
    return said


def _notice(work: WorkPlan) -> tuple[str, ...]:
    if work.crew.called:
        return (
            f"Notice to the utilities was given on {work.crew.called}; see their answers first.",
        )
    if work.call_by:
        return (
            f"Call or click 811 by {work.call_by}, no earlier than 14 days before the digging; "
            "local rules differ.",
        )
    return ("Call or click 811 two whole working days before the first digging, or as local.",)


def _brigade(work: WorkPlan) -> tuple[str, ...]:
    day = work.brigade
    if day is None:
        return ()
    slow = "the buckets: there are too few"
    if day.bottleneck:
        slow = f"person {day.bottleneck} from the pile"
    return (
        f"A day of the bucket brigade, bucket by bucket: {day.people} on the line hand up "
        f"{day.buckets:,} buckets in {day.hours:.1f} hours, {day.per_hour:,.0f} an hour between "
        f"rests ({day.steady:,.0f} if no time varied). What sets the pace: {slow}.",
    )


def _timed(work: WorkPlan) -> str:
    timed = [w.name for w in work.works if w.status == "measured"]
    if timed:
        return f"Timed by the crew itself: {', '.join(timed)}."
    return (
        "No rate was timed on this hill: time the first hour of each task and write it as "
        "[[measured]] in the job; it replaces the table."
    )
