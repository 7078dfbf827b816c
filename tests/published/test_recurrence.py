"""The calendar library that reads our files back keeps RFC 5545's own examples.

RFC 5545 section 3.8.5.3 and erratum 6212, as converted in the documentation of dateutil.
"""

from datetime import date, datetime

import pytest
from dateutil.rrule import rrulestr

START = datetime(1997, 9, 2, 9)


@pytest.mark.parametrize(
    ("rule", "days"),
    [
        (
            "FREQ=DAILY;INTERVAL=2;COUNT=5",
            ["09-02", "09-04", "09-06", "09-08", "09-10"],
        ),
        (
            "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH",
            [
                *("09-02", "09-04", "09-09", "09-11", "09-16"),
                *("09-18", "09-23", "09-25", "09-30", "10-02"),
            ],
        ),
    ],
)
def test_a_rule_falls_on_the_days_that_the_standard_names(rule, days):
    found = [each.date() for each in rrulestr(rule, dtstart=START)]
    assert found == [date.fromisoformat(f"1997-{day}") for day in days]


def test_until_midnight_cuts_the_last_morning_off():
    found = [each.date() for each in rrulestr("FREQ=DAILY;UNTIL=19971224T000000", dtstart=START)]
    assert len(found) == 113
    assert (found[0], found[-1]) == (date(1997, 9, 2), date(1997, 12, 23))
