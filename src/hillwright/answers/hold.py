"""Question 3: what the cells hang from, and whether it holds."""

from __future__ import annotations

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.rooms import Rooms
from hillwright.stability.model import Stability
from hillwright.units import System
from hillwright.wording import factor_text, in_units, plural

# common practice, no source; local rules and licensed people come first
CAUTION = (
    "Tonnes of wet soil slide without warning. Have buried lines located before a bar is driven, "
    "test bars in wet ground, and let nobody stand below hung rows. Local code and a licensed "
    "engineer decide."
)


def hold(rooms: Rooms) -> Answer:
    """Say what holds the cells, dry and soaked, empty and full."""
    system, found = rooms.job.units, rooms.stability
    bars = found.anchoring
    verdict = found.grid_verdict
    if not bars.slope.size:
        short = "No cell is laid, so there is nothing to hold."
        return Answer(3, QUESTIONS[2], short, verdict)
    short = _short(found, system)
    if any(reason.verdict == "stop" for reason in (*found.hill, *found.site)):
        short = f"Not before site and hill are cleared (question 1). For that day: {short}"
    lines = (
        *_pulls(found, system),
        *(in_units(line, system) for line in found.measures),
        *_worst(found),
        *(f"Stop: {in_units(r.condition, system)}. Ask {r.who}." for r in found.grid),
        "The checks with demand, capacity and required factor stand on the sheets.",
    )
    figures = (
        "stability.weight",
        "stability.pull.empty.metre",
        "stability.pull.dry.metre",
        "stability.pull.soaked.metre",
        "stability.bars",
        "stability.bars.at_cell",
        "stability.pull_test",
        "stability.wall.pressure",
    )
    named = tuple(f for f in figures if any(w.figure == f for w in found.workings))
    return Answer(3, QUESTIONS[2], f"{short}.", verdict, lines, named, CAUTION)


def _short(found: Stability, system: System) -> str:
    bars = found.anchoring
    if not bars.adequate:
        return "No bar of the list holds one soaked cell"
    deep = units.show(bars.length, "m", system)
    total = plural(int(bars.count.sum()), f"No. {bars.bar} bar")
    further = plural(len(bars.staked_rows), "further row")
    where = f"along row 1 and in {further}" if len(bars.staked_rows) else "along row 1"
    short = f"{total} driven {deep} deep {where}"
    if bars.test_load:
        load = units.show(bars.test_load, "N", system)
        short += f", if a wet pull test on the site shows {load}"
    return short


def _pulls(found: Stability, system: System) -> tuple[str, ...]:
    bars = found.anchoring
    weight = units.show(float(bars.weight[2].sum()), "N", system)
    empty, dry, soaked = (units.show(float(pull.max()), "N", system) for pull in bars.pull[:3])
    return (
        f"Soaked, the cells weigh {weight}. The cell that pulls hardest pulls {empty} empty, {dry} "
        f"filled and dry, {soaked} soaked, less what friction under it holds.",
    )


def _worst(found: Stability) -> tuple[str, ...]:
    failed = [row for row in found.grid_checks if not row.passed]
    if not failed:
        return ("Every check of clips, bars and walls has the factor that it must have.",)
    told = "; ".join(
        f"{row.what} {factor_text(row.factor)} (must have {row.required:g})" for row in failed
    )
    answered = ", which the measures above answer" if found.anchoring.adequate else ""
    return (f"Checks that fail{answered}: {told}.",)
