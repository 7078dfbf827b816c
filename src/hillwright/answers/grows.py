"""Question 6: what goes in which cell."""

from __future__ import annotations

import numpy as np

from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.planting.model import Planting
from hillwright.planting.palette import HOUR
from hillwright.rooms import Rooms
from hillwright.wording import in_units, plural

_CAUTION = (
    "Plants hold topsoil; they do not hold up a slope that slides: no planting here makes an "
    "answer on stability better. Some plants are poisonous, others invasive in places: read the "
    "notes beside each on the plant list, and ask the local extension service before you buy. "
    "Steps of walking cells are high and may be wet: local code decides where a path must have "
    "stairs and a rail."
)
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MOST = 6  # things that were not met, told one by one


def grows(rooms: Rooms) -> Answer:
    """Say what grows, where people walk, and what could not be had."""
    planting, system = rooms.planting, rooms.job.units
    n = len(planting.use)
    if not n:
        return Answer(6, QUESTIONS[5], "There is no cell to plant.", "clear")
    out = n - planting.planted - planting.walking
    short = (
        f"{plural(planting.planted, 'cell')} planted with {_kinds(planting)}, "
        f"{planting.walking:,} walked{f', {out:,} open' if out else ''}."
    )
    lines = [_plants(planting), _sun(planting), _year(planting), _proof(planting)]
    lines += planting.assumed
    told = [f"Not as wished: {u.what}: {u.why}." for u in planting.unmet]
    lines += told[:_MOST]
    if len(told) > _MOST:
        lines.append(f"{len(told) - _MOST} more are on the sheets.")
    must = any(u.must for u in planting.unmet)
    flawed = must or planting.unmet or planting.assumed or planting.warnings
    verdict: Verdict = "with measures" if flawed else "clear"
    figures = tuple(w.figure for w in planting.workings)
    said = tuple(in_units(line, system) for line in lines if line)
    return Answer(6, QUESTIONS[5], short, verdict, said, figures, _CAUTION)


def _kinds(planting: Planting) -> str:
    used = int((planting.count > 0).sum())
    return plural(used, "kind of plant", "kinds of plants")


def _plants(planting: Planting) -> str:
    order = np.argsort(-planting.count, kind="stable")
    named = [
        f"{int(planting.count[k]):,} {planting.plants[k].common.lower()}"
        for k in order
        if planting.count[k]
    ]
    return f"{', '.join(named)}." if named else "Nothing is planted."


def _sun(planting: Planting) -> str:
    low, high = (float(f(planting.season)) / HOUR for f in (np.min, np.max))
    months = _span([m in planting.growing for m in range(1, 13)])
    return (
        f"Direct sun on a clear day, {months}: {low:.1f} to {high:.1f} h, with the planned trees "
        "grown up."
    )


def _year(planting: Planting) -> str:
    return f"In bloom: {_span(planting.bloom)}. To pick: {_span(planting.harvest)}."


def _span(months: object) -> str:
    on = [bool(m) for m in months]  # type: ignore[attr-defined]
    if all(on):
        return "all year"
    if not any(on):
        return "never"
    spans, k = [], 0
    while k < 12:
        if on[k]:
            end = k
            while end + 1 < 12 and on[end + 1]:
                end += 1
            spans.append(_MONTHS[k] if end == k else f"{_MONTHS[k]} to {_MONTHS[end]}")
            k = end
        k += 1
    return ", ".join(spans)


def _proof(planting: Planting) -> str:
    proof = planting.proof
    if not proof.optimised:
        return (
            "This is the quick planting. `hillwright planting JOB` finds a better one, proves how "
            "good it is and keeps it beside the job."
        )
    return (
        f"Proven: with these walking cells and trees no planting is worth "
        f"{100 * proof.path_gap:.1f} % more, and none with any others {100 * proof.gap:.1f} % more."
    )
