"""Plan to a price book that somebody fills in: every item that the plan needs, blank prices."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from hillwright.estimate.book import names
from hillwright.estimate.hours import GIVEN, HIRED, PAID
from hillwright.estimate.model import TakeoffLine
from hillwright.estimate.order import PACKED
from hillwright.job.prices import COLUMNS, Price, PriceBook, plain
from hillwright.units import System
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

_UNITS: dict[str, dict[System, str]] = {
    "m": {"us": "ft", "metric": "m"},
    "m2": {"us": "ft2", "metric": "m2"},
    "m3": {"us": "yd3", "metric": "m3"},
    "s": {"us": "h", "metric": "h"},
}
HEAD = (
    "# Price book. low, price and high are of one pack; pack is how many of the unit it holds (a",
    "# roll of 100 ft: unit ft, pack 100). Leave low and high blank where you do not know them.",
    "# A blank price means: not known yet; it is listed, never taken as nothing. Several lines of",
    "# one item are packs or suppliers to choose from. Dates as in 2026-05-04.",
)


def price_book(plan: Plan, book: PriceBook) -> str:
    """Give the text of a price book: what is known already is kept, what is not is blank.

    Parameters
    ----------
    plan : Plan
        What is needed.
    book : PriceBook
        The prices that the job has so far.
    """
    job = plan.job
    out = io.StringIO()
    out.write("".join(f"{line}\n" for line in HEAD))
    write = csv.writer(out, lineterminator="\n").writerow
    write(COLUMNS)
    left = list(book.rows)
    for line in (*plan.takeoff.lines, *_people(plan), *_deliveries(plan)):
        if line.kind == "work":
            continue
        mine = [r for r in left if plain(r.item) in names(line.item)
                and (r.kind == "labour") == (line.kind == "labour")]  # fmt: skip
        for row in mine:
            left.remove(row)
            write(_known(row, job.estimate.currency))
        if not mine:
            write(_blank(line, job.units, job.estimate.currency))
    for row in left:
        write(_known(row, job.estimate.currency))
    return out.getvalue()


def _people(plan: Plan) -> list[TakeoffLine]:
    there = {line.item for line in plan.takeoff.lines if line.kind == "labour"}
    return [
        TakeoffLine(role, 0.0, "s", "", (), "what an hour is worth" if role == GIVEN else "wage",
                    "labour")
        for role in dict.fromkeys((*PAID, HIRED, GIVEN))
        if role not in there
    ]  # fmt: skip


def _deliveries(plan: Plan) -> list[TakeoffLine]:
    return [TakeoffLine(PACKED, 1, "load", "", (), "one trip of each supplier", "delivery")]


def _known(row: Price, currency: str) -> tuple[str, ...]:
    money = (row.low, row.likely, row.high)
    return (
        row.kind, row.item, row.unit, f"{row.pack:g}",
        *("" if m is None else str(m) for m in money), currency, row.date, row.until, row.supplier,
        row.note,
    )  # fmt: skip


def _blank(line: TakeoffLine, system: System, currency: str) -> tuple[str, ...]:
    unit = _UNITS[line.unit][system] if line.unit in _UNITS else line.unit
    note = in_units(line.each, system)
    if line.pieces and line.unit == "m":
        note = "write the length of a roll as the pack"
    elif line.kind == "labour":
        note = "before burden" if line.item in PAID else "what an hour is worth"
    return (
        line.kind,
        in_units(line.item, system),
        unit,
        "",
        "",
        "",
        "",
        currency,
        "",
        "",
        "",
        note,
    )
