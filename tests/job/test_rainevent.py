"""A storm as it fell: forms of time, units, totals and steps, and every refusal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import SurveyError
from hillwright.job.rainevent import read_event


def read(text):
    return read_event(text, "storm.csv")


def wrong(text):
    with pytest.raises(SurveyError) as caught:
        read(text)
    return [str(p) for p in caught.value.problems]


def test_minutes_and_millimetres():
    event = read("time (min), total (mm)\n0, 0\n5, 0.4\n20, 3\n")
    assert event.time.tolist() == [0, 300, 1200]
    assert event.total == pytest.approx([0, 0.0004, 0.003])
    assert (event.kind, event.sure) == ("total", True)


@pytest.mark.parametrize(
    "text",
    [
        "time_min,total_in\n0,0\n30,0.5\n",
        "elapsed [h]; cumulative [in]\n0; 0\n0.5; 0.5\n",
        "time,total\n0 min,0 in\n30 min,0.5 in\n",
        "0:00, 0 in\n0:30, 0.5 in\n",
        "clock,total (in)\n23:45,0\n24:15,0.5\n",
        "time,total (in)\n2026-01-04 23:45,0\n2026-01-05 00:15,0.5\n",
        "time (UTC),total (in)\n2026-01-04T23:45Z,0\n2026-01-05T00:15Z,0.5\n",
        "# gauge at the shed\nminutes\train total (inches)\n0\t0\n30\t0.5\n",
        "total (in), time (min)\n0, 0\n0.5, 30\n",
    ],
)
def test_half_an_inch_in_half_an_hour_however_it_is_written(text):
    event = read(text)
    assert event.time.tolist() == [0, 1800]
    assert event.total == pytest.approx([0, 0.0127])


def test_what_fell_since_the_line_before_is_summed():
    event = read("time (min),step (mm)\n0,0\n5,1\n10,0\n15,2\n")
    assert event.total == pytest.approx([0, 0.001, 0.001, 0.003])
    assert (event.kind, event.sure) == ("step", True)


def test_a_plain_depth_that_falls_is_taken_as_steps_and_said_to_be_unsure():
    event = read("time (min),depth (mm)\n0,0\n5,1\n10,0\n15,2\n")
    assert (event.kind, event.sure) == ("step", False)
    assert read("time (min),depth (mm)\n0,0\n5,1\n10,3\n").kind == "total"


def test_a_season_s_total_starts_the_storm_at_nothing():
    assert read("time (min),total (mm)\n0,212\n5,213\n").total == pytest.approx([0, 0.001])


@given(steps=st.lists(st.integers(0, 400), min_size=2, max_size=40).filter(any))
def test_steps_and_totals_tell_the_same_storm(steps):
    totals = [sum(steps[: i + 1]) for i in range(len(steps))]
    rows = [f"{5 * (i + 1)},{{}}" for i in range(len(steps))]
    a, b = (
        read(
            f"time (min),{kind} (mm)\n0,0\n"
            + "\n".join(r.format(v / 100) for r, v in zip(rows, values, strict=True))
        )
        for kind, values in (("step", steps), ("total", totals))
    )
    assert a.total == pytest.approx(b.total)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("time (min),total (mm)\n0,0\n10,1\n5,2\n", "line 4: the time runs backwards from line 3"),
        ("clock,total (mm)\n23:55,0\n00:05,1\n", "past midnight, write the date too"),
        ("time (min),total (mm)\n0,0\n5,1\n5,2\n", "line 4: the time is that of line 3"),
        ("time (min),total (mm)\n0,0\n5,2\n10,1\n", "line 4: the total falls"),
        ("time (min),total (cubits)\n0,0\n5,2\n", "line 1: the unit 'cubits' is not known"),
        ("time (moons),total (mm)\n0,0\n5,2\n", "line 1: the unit 'moons' is not known"),
        ("time (min),total_barn\n0,0\n5,2\n", "line 1: the unit 'barn' is not known"),
        ("time,total (mm)\n0,0\n5,2\n", "line 2: the time '0' has no unit"),
        ("time (min),total\n0,0\n5,2\n", "line 2: the depth '0' has no unit"),
        ("time (min),total (mm)\n0,0\n5,-2\n", "line 3: the depth -2 is negative"),
        ("time (min),total (mm)\n0,0\n5,two\n", "line 3: the depth 'two' cannot be read"),
        ("time (min),total (mm)\n0,0\nnoon,2\n", "line 3: the time 'noon' cannot be read"),
        ("time (min),total (mm)\n0,0\n04/01/2026 10:00,2\n", 'write a number, "14:05" or'),
        ("time (min),total (mm)\n0,0\n5\n", "line 3: has 1 columns"),
        ("time (min),total (m)\n0,0\n5,25\n", "never fell anywhere"),
        ("time (min),step (mm)\n0,3\n5,2\n", "nothing says since when"),
        ("time (min),total (mm)\n0,0\n5,0\n", "no rain falls in it"),
        ("time (min),total (mm)\n0,0\n", "fewer than two readings"),
        ("when,how much\n0,0\n5,2\n", "the header names no time or no depth"),
        ("time (min),total (mm),depth (mm)\n0,0,0\n", "two times or two depths"),
        ("# nothing\n", "holds no readings"),
    ],
)
def test_each_wrong_file_is_told_what_is_wrong_and_where(text, said):
    assert any(said in p for p in wrong(text))


def test_everything_wrong_is_told_at_once():
    assert len(wrong("time (min),total (mm)\n0,zero\nfive,1\n10,-1\n")) == 3
