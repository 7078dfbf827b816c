"""The sections of the crew: each wrong input has a message of its own."""

import datetime

import pytest

from hillwright.errors import JobError
from hillwright.job.crew import CrewText
from hillwright.job.read import open_job

HEAD = """
units = "us"
[survey]
kind = "sections"
file = "sections.csv"
"""


def opened(tmp_path, text):
    (tmp_path / "sections.csv").write_text("x", encoding="utf-8")
    (tmp_path / "job.toml").write_text(HEAD + text, encoding="utf-8")
    return open_job(tmp_path / "job.toml").job


def test_what_is_written_is_what_is_read(tmp_path):
    job = opened(
        tmp_path,
        """
[crew]
start = 2026-05-04
begin = 07:30:00
end = "15:00"
days = ["Sat", "Sun"]
daylight = ["06:45", "18:00"]
[[person]]
name = "Ana"
role = "lead"
away = ["2026-05-09"]
[[measured]]
task = "fill"
done = "3 yd3"
people = 4
took = "2 h"
[[measured]]
task = "stake"
done = 24
people = 2
took = "45 min"
""",
    )
    assert (job.crew.start, job.crew.begin, job.crew.end) == ("2026-05-04", 450, 900)
    assert job.crew.daylight == (405, 1080)
    assert job.person[0].away == ("2026-05-09",)
    assert job.measured[0].done == (pytest.approx(3 * 0.9144**3), "m3")
    assert job.measured[1].done == (24, "")


def timed(task, done, hours):
    return f'[[measured]]\ntask = "{task}"\ndone = {done}\npeople = 2\ntook = "{hours} h"'


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("0 is too small", "[crew]\npeople = 0"),
        ("a calendar without a working day", "[crew]\ndays = []"),
        ("less than an hour of the day", '[crew]\nend = "09:00"'),
        ("no later than begin", '[crew]\nbegin = "08:00"\nend = "07:00"'),
        ("is not a time of day", '[crew]\nbegin = "8 am"'),
        ("is not a date", '[crew]\nstart = "4 May"'),
        ("is before the first day", '[crew]\nstart = "2026-05-04"\nfinish_by = "2026-05-01"'),
        ("there is no crew.start", '[crew]\nfinish_by = "2026-05-01"'),
        ("there is no crew.start", '[crew]\nutilities_called = "2026-05-01"'),
        ("ends before it begins", '[crew]\ndaylight = ["18:00", "06:00"]'),
        ("is not a pair of times", '[crew]\ndaylight = ["18:00"]'),
        ("less than an hour a day for heavy work", '[crew]\nheavy_until = "08:30"'),
        ('did you mean "Sat"', '[crew]\ndays = ["Satt"]'),
        ("makes no sense here", '[crew]\nlearning = "40 %"'),
        ('"role"', '[[person]]\nname = "Ana"\nrol = "lead"'),
        ("name: is missing", '[[person]]\nrole = "lead"'),
        (
            'a child does not do work of the kind "lift"',
            '[[person]]\nname = "Kid"\nrole = "child"\nmay = ["light", "lift"]',
        ),
        ("names no kind of work", '[[person]]\nname = "Ana"\nmay = []'),
        ("is the name of number 1 too", '[[person]]\nname = "Ana"\n[[person]]\nname = "Ana"'),
        ("is 4, and 1 are named", '[crew]\npeople = 4\n[[person]]\nname = "Ana"'),
        ("is empty", '[[person]]\nname = " "'),
        ("no later than begin", '[[person]]\nname = "Ana"\nbegin = "12:00"\nend = "11:00"'),
        ("did you mean fill", timed("fil", '"1 yd3"', 1)),
        ("is a rate of zero", timed("stake", "0", 1)),
        ("is a rate of zero", timed("fill", '"0 yd3"', 1)),
        ('is not what "fill" is measured by', timed("fill", "3", 1)),
        ('is not what "stake" is measured by', timed("stake", '"3 ft"', 1)),
        ("is not an amount of work", timed("fill", '"lots"', 1)),
        ("makes no sense here", timed("fill", '"1 yd3"', 0)),
        ("done: is missing", '[[measured]]\ntask = "fill"\npeople = 2\ntook = "1 h"'),
    ],
)
def test_each_wrong_input_has_a_message_of_its_own(tmp_path, what, text):
    with pytest.raises(JobError) as error:
        opened(tmp_path, text)
    assert what in str(error.value)
    assert all(p.right for p in error.value.problems)


def test_several_problems_come_together(tmp_path):
    with pytest.raises(JobError) as error:
        opened(tmp_path, '[crew]\npeople = 0\nbegin = "8"\n[[person]]\nrole = "boss"')
    assert len(error.value.problems) == 4


def test_dates_and_times_of_toml_are_taken_too():
    found = CrewText(start=datetime.date(2026, 5, 4), begin=datetime.time(7, 5))
    assert (found.start, found.begin) == ("2026-05-04", 425)
