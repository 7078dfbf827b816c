"""Alternatives side by side, and those of them that no other beats in everything."""

from __future__ import annotations

import csv
import datetime
import io
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from hillwright import units
from hillwright.errors import HillwrightError
from hillwright.job.model import OpenJob
from hillwright.memo import Memo
from hillwright.plan import Plan, work_out
from hillwright.planting.model import PLANTED
from hillwright.units import System
from hillwright.wording import plural

# what is traded against what, and whether less of it is better
TRADED = (("cost", True), ("days", True), ("water", True), ("soil", False), ("food", False))


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way to build, in the figures that it is chosen by; SI, NaN where not known."""

    name: str
    cost: float  # the price asked [money]
    price: Decimal | None
    currency: str
    missing: int  # things without a price
    days: float  # working days that half of all courses of the work take
    water: float  # a year, under the program [m3]
    soil: float  # that stays on the hill, grown in against bare [kg a year]
    food: int  # cells with something to eat
    cells: int
    hands: int
    verdict: str
    stops: tuple[int, ...]  # questions that say stop
    failed: str = ""  # why it cannot be worked out
    front: bool = False  # no other is as good in all that is traded and better in something
    dark: bool = False  # it lacks prices that others have: it is not held against them


def alternative(name: str, plan: Plan) -> Alternative:
    """Give the figures of a plan that has been worked out."""
    e, work, planting = plan.estimate, plan.work, plan.planting
    edible = np.array(["edible" in p.uses for p in planting.plants], bool)
    planted = (planting.use == PLANTED) & (planting.plant >= 0)
    food = int(edible[planting.plant[planted]].sum()) if planted.any() else 0
    states = {s.key: s for s in plan.runoff.states}
    kept = math.nan
    if plan.runoff.weighed and {"bare", "grown"} <= set(states):
        kept = states["bare"].loss[1] - states["grown"].loss[1]
    order = ("stop", "with measures", "clear")
    verdicts = {a.verdict for a in plan.answers}
    return Alternative(
        name,
        float(e.price) if e.priced else math.nan,
        e.price if e.priced else None,
        e.currency,
        len(e.missing),
        work.drawn[1] / max(work.crew.hours.per_day, 1) if work.makespan else math.nan,
        float(plan.watering.program.volume.sum()),
        kept,
        food,
        plan.layout.count,
        len(work.crew.people),
        next((v for v in order if v in verdicts), "not yet"),
        tuple(a.number for a in plan.answers if a.verdict == "stop"),
    )


def compare(
    jobs: Sequence[tuple[str, OpenJob]],
    today: datetime.date | None = None,
    progress: Callable[[str, float], None] | None = None,
) -> tuple[Alternative, ...]:
    """Work every alternative out, and mark the front.

    Stages that two have in common are worked out once. An alternative that cannot be worked out
    is told with the reason, and the others stand.

    Parameters
    ----------
    jobs : sequence of (name, OpenJob)
        What to compare.
    today : date, optional
        As :func:`~hillwright.plan.work_out`.
    progress : callable, optional
        Told the name of each, and the share done.
    """
    memo, found = Memo(400), list[Alternative]()
    for k, (name, opened) in enumerate(jobs):
        if progress:
            progress(name, k / len(jobs))
        try:
            found.append(alternative(name, work_out(opened, memo, today=today)))
        except HillwrightError as error:
            nan = math.nan
            why = str(error.problems[0])
            found.append(
                Alternative(name, nan, None, "", 0, nan, nan, nan, 0, 0, 0, "cannot be", (), why)
            )
    return marked(found)


def marked(found: Sequence[Alternative]) -> tuple[Alternative, ...]:
    """Mark those that none beats; what is not known of all that can be built is not traded."""
    least = min((a.missing for a in found if not a.failed), default=0)
    # what lacks a price looks cheap: it must not beat those that have it
    found = [replace(a, dark=a.missing > least) for a in found]
    can = [a for a in found if not a.failed and not a.dark]
    names = traded(can)
    signs = np.array([1.0 if less else -1.0 for n, less in TRADED if n in names])
    values = np.array([[float(getattr(a, n)) for n in names] for a in can]).reshape(len(can), -1)
    front = non_dominated(values * signs) if names and can else np.zeros(len(can), bool)
    on = {id(a) for a, f in zip(can, front.tolist(), strict=True) if f}
    return tuple(replace(a, front=id(a) in on) for a in found)


def traded(found: Sequence[Alternative]) -> tuple[str, ...]:
    """Give what can be traded: what is known of all, in one currency."""
    alike = len({a.currency for a in found}) <= 1
    return tuple(
        n for n, _ in TRADED
        if all(math.isfinite(getattr(a, n)) for a in found) and (n != "cost" or alike)
    )  # fmt: skip


def non_dominated(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> np.ndarray[
    tuple[int, ...], np.dtype[np.bool_]
]:  # fmt: skip
    """Tell which rows (n, k) no other is as small as in all columns and smaller in one."""
    no_worse = (values[:, None, :] <= values[None, :, :]).all(axis=2)
    better = (values[:, None, :] < values[None, :, :]).any(axis=2)
    return np.asarray(~(no_worse & better).any(axis=0), bool)


_HEAD = ("", "price", "days", "water a year", "soil kept", "food", "cells", "hands", "verdict")


def as_text(found: Sequence[Alternative], system: System) -> str:
    """Write the comparison for a terminal: a table, and what its numbers stand for."""
    rows = [_HEAD, *(_row(k, a, system) for k, a in enumerate(found, 1))]
    widths = [max(len(r[c]) for r in rows) for c in range(len(_HEAD))]
    lines = ["  ".join(t.ljust(w) if c in (0, 8) else t.rjust(w)
                       for c, (t, w) in enumerate(zip(r, widths, strict=True))).rstrip()
             for r in rows]  # fmt: skip
    lines.append("")
    for k, a in enumerate(found, 1):
        said = f"{k:>3}  {a.name}"
        if a.failed:
            said += f": cannot be worked out: {a.failed}"
        if a.stops:
            said += f" (STOP in question {', '.join(map(str, a.stops))})"
        if a.missing:
            said += f" ({plural(a.missing, 'price')} missing: it costs more than that)"
        lines.append(said)
    can = [a for a in found if not a.failed and not a.dark]
    names = traded(can)
    if any(a.dark for a in found):
        lines += ["", "?  lacks prices that others have, so it is not held against them"]
    if names:
        words = {"cost": "price", "soil": "soil kept", "food": "food cells"}
        told = ", ".join(words.get(n, n) for n in names)
        lines += ["", f"*  no other is at least as good in {told} and better in one of them"]
    if left := [n for n, _ in TRADED if n not in names]:
        lines.append(f"not traded, for it is not known of all: {', '.join(left)}")
    return "\n".join(lines)


def _row(k: int, a: Alternative, system: System) -> tuple[str, ...]:
    mark = f"{k:>3} {'*' if a.front else '?' if a.dark else ' '}"
    if a.failed:
        return (mark, *["–"] * 7, "cannot be")
    price = f"{a.price:,.2f}{'+' if a.missing else ''}" if a.price is not None else "no price"
    known = math.isfinite
    return (
        mark,
        price,
        f"{a.days:.1f}" if known(a.days) else "–",
        units.show(a.water, "m3.garden", system),
        units.show(a.soil, "kg.big", system) if known(a.soil) else "–",
        str(a.food),
        str(a.cells),
        str(a.hands),
        a.verdict,
    )


def as_csv(found: Sequence[Alternative], system: System) -> str:
    """Write the comparison for a spreadsheet, in the job's units."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    water, soil = units.shown(1.0, "m3.garden", system), units.shown(1.0, "kg.big", system)
    write(("alternative", "on the front", "price", "currency", "prices missing", "working days",
           f"water a year [{water[1]}]", f"soil kept a year [{soil[1]}]", "food cells", "cells",
           "hands", "verdict", "stops in questions", "cannot be worked out"))  # fmt: skip
    for a in found:
        write((
            a.name, "yes" if a.front else "no", "" if a.price is None else f"{a.price:f}",
            a.currency, a.missing, _number(a.days, 2), _number(a.water * water[0], 1),
            _number(a.soil * soil[0], 3), a.food, a.cells, a.hands, a.verdict,
            " ".join(map(str, a.stops)), a.failed,
        ))  # fmt: skip
    return out.getvalue()


def _number(value: float, places: int) -> str:
    return f"{value:.{places}f}" if math.isfinite(value) else ""
