"""Notice to the utilities, in working days."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.crew.notice import digging_days, latest_notice
from hillwright.errors import OutOfRange

days = st.dates(datetime.date(2024, 1, 1), datetime.date(2032, 12, 31)).map(str)


@given(days)
def test_the_latest_notice_is_in_time_and_a_working_day(day):
    notice = latest_notice(day)
    assert digging_days(notice).first_day <= day
    assert datetime.date.fromisoformat(notice).weekday() < 5


@given(days, st.integers(0, 5))
def test_more_notice_never_means_an_earlier_day(day, working_days):
    less, more = (
        digging_days(day, working_days=k).first_day for k in (working_days, working_days + 1)
    )
    assert day < less < more


def test_notice_on_a_saturday_counts_from_monday():
    assert digging_days("2025-06-07").first_day == digging_days("2025-06-09").first_day


@pytest.mark.parametrize(
    ("what", "call"),
    [
        ("not a date", lambda: digging_days("June 2nd")),
        ("holidays, number 2", lambda: digging_days("2025-06-02", ["2025-07-04", "x"])),
        ("negative", lambda: latest_notice("2025-06-02", working_days=-1)),
    ],
)
def test_each_wrong_notice_has_its_own_message(what, call):
    with pytest.raises(OutOfRange, match=what):
        call()
