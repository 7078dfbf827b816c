"""Question 3: what the cells hang from, and whether it holds."""

from __future__ import annotations

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.rooms import Rooms
from hillwright.stability.model import CheckRow, Stability
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
    if not bars.count.size:
        short = "No cell is laid, so there is nothing to hold."
        return Answer(3, QUESTIONS[2], short, verdict)
    deep = units.show(bars.length, "m", system)
    total = plural(int(bars.count.sum()), f"No. {bars.bar} bar")
    heads = plural(len(bars.staked_rows), "further row")
    short = f"{total} driven {deep} deep: along row 1 and in {heads}"
    if not bars.adequate:
        short = "No bar of the list holds one soaked cell"
    elif bars.test_load:
        load = units.show(bars.test_load, "N", system)
        short += f", if a wet pull test of each kind of ground shows {load}"
    if any(reason.verdict == "stop" for reason in found.hill):
        short = f"Not until the hill itself is cleared. For the day it is: {short}"
    lines = (
        *_pulls(found, system),
        *(in_units(line, system) for line in found.measures),
        *_worst(found.grid_checks, system),
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
        "stability.wall.pressure",
    )
    return Answer(3, QUESTIONS[2], f"{short}.", verdict, lines, figures, CAUTION)


def _pulls(found: Stability, system: System) -> tuple[str, ...]:
    bars = found.anchoring
    weight = units.show(float(bars.weight[2].sum()), "N", system)
    empty, dry, soaked = (units.show(float(pull.max()), "N", system) for pull in bars.pull)
    return (
        f"Soaked, the cells weigh {weight}. The cell that pulls hardest pulls {empty} empty, {dry} "
        f"filled and dry, {soaked} soaked, less what friction under it holds.",
    )


def _worst(checks: tuple[CheckRow, ...], system: System) -> tuple[str, ...]:
    failed = [row for row in checks if not row.passed]
    if not failed:
        return ("Every check of clips, bars and walls has the factor that it must have.",)
    told = "; ".join(
        f"{row.what} {factor_text(row.factor)} (must have {row.required:g})" for row in failed
    )
    return (f"Checks that the measures above answer: {told}.",)
