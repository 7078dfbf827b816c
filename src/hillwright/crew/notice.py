"""Days that may be dug on: buried lines are located first, on notice given in time."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from hillwright.errors import OutOfRange
from hillwright.method import method

WORKING_DAYS, TICKET_DAYS, EARLIEST_DAYS = 2, 28, 14  # California Government Code 4216


class DigWindow(NamedTuple):
    """From when to when a notice allows digging."""

    first_day: str
    ticket_expires_on_or_before: str


def as_day(where: str, text: str) -> datetime.date:
    """Read a date, or refuse it.

    Raises
    ------
    OutOfRange
        Not a date as in "2026-05-04".
    """
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        right = 'write year, month and day, as in "2026-05-04"'
        raise OutOfRange(where, f"{text!r} is not a date", right) from None


def _holidays(holidays: Sequence[str]) -> list[datetime.date]:
    return [as_day(f"holidays, number {i}", day) for i, day in enumerate(holidays, 1)]


def _count(where: str, value: int) -> int:
    if value < 0:
        raise OutOfRange(where, "is negative", "give 0 or more days")
    return int(value)


@method(
    title="Days that may be dug on after notice to the utilities",
    equation="first = day after so many working days, the day of notice not counted",
    source="California Government Code 4216 et seq.; other states differ: 811 tells",
)
def digging_days(
    notice: str,
    holidays: Sequence[str] = (),
    working_days: int = WORKING_DAYS,
    ticket_days: int = TICKET_DAYS,
) -> DigWindow:
    """Give the first day that may be dug on, and the last that the ticket covers.

    Parameters
    ----------
    notice : str
        Day that the notice is given, as "2026-05-04". [text]
    holidays : sequence of str
        Days that do not count as working days, beside Saturdays and Sundays. [text]
    working_days : int
        How many whole working days must pass. [-]
    ticket_days : int
        How many calendar days after the notice the ticket lives. [-]

    Returns
    -------
    first_day : str
        First day that may be dug on. [text]
    ticket_expires_on_or_before : str
        Day on which the ticket runs out; a new one is needed after it. [text]

    Raises
    ------
    OutOfRange
        A date that is none, or a number of days below zero.

    Notes
    -----
    Notice on a day off counts from the next working day, as if it were given there. The marks of
    every operator must be there before anyone digs, whatever the day.
    """
    given = as_day("notice", notice)
    days = _count("working_days", working_days)
    counted = np.busday_offset(given, days, roll="forward", holidays=_holidays(holidays))
    first = counted.astype(object) + datetime.timedelta(days=1)
    ends = given + datetime.timedelta(days=_count("ticket_days", ticket_days))
    return DigWindow(first.isoformat(), ends.isoformat())


@method(
    title="Last day to give notice to the utilities before digging",
    equation="so many working days before, neither the day of notice nor that of digging counted",
    source="California Government Code 4216 et seq.; other states differ: 811 tells",
)
def latest_notice(
    digging: str, holidays: Sequence[str] = (), working_days: int = WORKING_DAYS
) -> str:
    """Give the last working day on which notice is in time.

    Parameters
    ----------
    digging : str
        First day that will be dug on, as "2026-05-04". [text]
    holidays : sequence of str
        Days that do not count as working days, beside Saturdays and Sundays. [text]
    working_days : int
        How many whole working days must pass. [-]

    Returns
    -------
    notice : str
        Last day for the notice. [text]

    Raises
    ------
    OutOfRange
        A date that is none, or a number of days below zero.
    """
    day = as_day("digging", digging)
    off = _holidays(holidays)
    before = np.busday_offset(day - datetime.timedelta(days=1), 0, roll="backward", holidays=off)
    found = np.busday_offset(before, -_count("working_days", working_days), holidays=off)
    return str(found.astype(object).isoformat())
