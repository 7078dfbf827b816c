"""Whose hours are paid, and at what rate, when owner, contractor or both build."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

import numpy as np

from hillwright.estimate.book import Matched
from hillwright.estimate.labour import seconds
from hillwright.estimate.model import Course, TakeoffLine
from hillwright.estimate.money import coin, exact
from hillwright.estimate.order import Bought, OrderLine

Built = Literal["mixed", "owner", "contractor"]
NAMES: dict[Built, str] = {
    "owner": "owner-built", "mixed": "built by the crew named", "contractor": "contractor-built",
}  # fmt: skip
PAID, HIRED, GIVEN = ("lead", "hired hand"), "hired hand", "adult volunteer"


@dataclass(frozen=True, slots=True, eq=False)
class Labour:
    """The labour lines of the order as they are paid for, in the order of the takeoff."""

    lines: tuple[OrderLine, ...]
    paid: float  # [h]
    given: float  # [h]
    value: Decimal
    missing: tuple[tuple[str, str], ...]


def labour_of(
    built: Built, lines: tuple[OrderLine, ...], course: Course | None, match: Matched,
    valued: bool, pay: str, decimals: int, spread: tuple[float, float],
) -> Labour:  # fmt: skip
    """Give the labour lines of one way of building.

    Parameters
    ----------
    built : {"mixed", "owner", "contractor"}
        Mixed: those of the crew who are paid are paid. Owner: nobody is. Contractor: hired hands
        do what volunteers would, in as much less time as they are quicker.
    lines : tuple of OrderLine
        Labour of the order.
    course : Course or None
        Who does what.
    match : Matched
        The price book.
    valued : bool
        Put a value on the hours that nobody is paid for.
    pay : {"days", "hours"}
        What of the people's time is paid.
    decimals : int
        Of the smallest coin.
    spread : (low, high)
        Of a rate, times the rate, where the book gives none.
    """
    found, missing = list[OrderLine](), list[tuple[str, str]]()
    paid = given = 0.0
    value = Decimal(0)
    for order in lines:
        role, hours = order.line.item, float(order.line.count) / 3600
        if built == "contractor" and role not in PAID:
            order = _as_hired(order, course, pay)
            hours = float(order.line.count) / 3600
        works_for_pay = built == "contractor" or (built == "mixed" and role in PAID)
        at = HIRED if works_for_pay and role not in PAID else role
        if not works_for_pay:
            given += hours
            rate = _rate(match, GIVEN if role in PAID else role) or _rate(match, GIVEN)
            if valued and rate is None:
                missing.append((f"{role}, by the hour", "volunteers are valued, and have no price"))
            if valued and rate is not None:
                value += coin(coin(exact(hours), 2) * rate, decimals)
            found.append(replace(order, bought=(), missing=""))
            continue
        paid += hours
        rows = [r for r in match.labour(at) if r.likely is not None]
        if not rows:
            missing.append((f"{at}, by the hour", "the hour has no price"))
            found.append(replace(order, bought=(), missing="the hour has no price"))
            continue
        row = min(rows, key=lambda r: r.likely or Decimal(0))
        each, time = row.likely or Decimal(0), coin(exact(hours), 2)
        goods = Bought(
            time, 1.0, "h", row.supplier,
            each * exact(spread[0]) if row.low is None else row.low, each,
            each * exact(spread[1]) if row.high is None else row.high,
            coin(time * each, decimals), row.line, row.low is not None,
        )  # fmt: skip
        found.append(replace(order, bought=(goods,), missing=""))
    return Labour(tuple(found), paid, given, value, tuple(dict.fromkeys(missing)))


def _rate(match: Matched, role: str) -> Decimal | None:
    rates = [r.likely for r in match.labour(role) if r.likely is not None]
    return min(rates) if rates else None


def _as_hired(order: OrderLine, course: Course | None, pay: str) -> OrderLine:
    """Give the hours that a hired hand takes for what a slower one does."""
    if course is None:
        return order
    mine = course.role == course.roles.index(order.line.item)
    time = float((seconds(course, pay)[mine] * np.minimum(course.pace[mine], 1.0)).sum())
    line: TakeoffLine = replace(order.line, count=time)
    return replace(order, line=line)
