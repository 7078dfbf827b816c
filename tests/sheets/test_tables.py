"""Words and tables of the sheets."""

from dataclasses import replace

import numpy as np
import pytest

from hillwright.sheets import figures, tables, words


def test_stations_and_offsets_say_their_side_in_words():
    base = np.array([[0.0, 0, 0], [10, 0, 0]])
    assert tables.station_offset(base, np.array([3.0, -2.0, 5.0])) == (3.0, 2.0)
    assert tables.offset_text(2.0, "metric") == "2.000 right"
    assert tables.offset_text(-0.3048, "us") == "1.00 left"
    assert tables.offset_text(-0.0001, "us") == "on it"


def test_numbers_are_written_as_ranges():
    assert tables.number_ranges([1, 2, 3, 4, 6, 8, 9]) == "1 to 4, 6, 8 to 9"
    assert tables.number_ranges([]) == ""


@pytest.mark.parametrize(
    ("change", "mark"),
    [
        ({"angle": 0.2}, "W start, W end"),
        ({"angle": 2.9}, "W start, W end"),
        ({"sigma": np.nan}, "W start, W end"),
        ({"closure": 0.2}, "C"),
        ({}, ""),
    ],
)
def test_poor_points_are_marked(plan, change, mark):
    s = plan.setout
    broken = {k: np.full_like(getattr(s, k), v) for k, v in change.items()}
    assert tables.flag(replace(s, **broken), 0) == mark


def test_cumulative_distances_end_where_cells_end():
    # 24 in is 2 ft
    assert tables.cumulative(24 * 0.0254, 3, "us") == [["1", "2.00"], ["2", "4.00"], ["3", "6.00"]]


def test_the_side_of_the_pegs_is_told(plan):
    s = plan.setout
    swapped = replace(s, benchmark_a=s.benchmark_b, benchmark_b=s.benchmark_a)
    assert "on your right" in " ".join(words.steps(s, "us"))
    assert "on your left" in " ".join(words.steps(swapped, "us"))
    across = replace(s, benchmark_a=np.array([2.0, -9, 0]), benchmark_b=np.array([2.0, 9, 0]))
    assert "that the plan shows" in " ".join(words.steps(across, "us"))


# exact geometry: a 3-4-5 triangle 12 m high is 13 m long
def test_pegs_string_and_corners_can_be_taped_from_paper_alone(plan):
    s = replace(
        plan.setout,
        benchmark_a=np.zeros(3),
        benchmark_b=np.array([6.0, 0, 0]),
        base_line=np.array([[0.0, 0, 0], [10, 0, 0]]),
        stake_name=("BM-A", "TS-1", "R01-S", "OL-1"),
        stake=np.array([[0.0, 0, 0], [6, 8, 0], [1, 1, 1], [3, 4, 12]]),
    )
    found = tables.marks(s, "metric")
    assert [row[0] for row in found["rows"]] == ["BM-A", "TS-1", "OL-1"]
    assert found["rows"][1] == ["TS-1", "6.000", "8.000 left", "10.000", "8.000"]
    assert found["rows"][2] == ["OL-1", "3.000", "4.000 left", "13.000", "13.000"]
    many = tables.MOST_MARKS + 7
    s = replace(s, stake_name=tuple(f"OL-{k}" for k in range(many)), stake=np.ones((many, 3)))
    assert len(tables.marks(s, "us")["rows"]) == tables.MOST_MARKS
    assert tables.marks(s, "us")["more"] == "7 more in stakes.csv."


def test_a_closure_outside_the_tolerance_is_said(plan):
    assert "within the 1.0 in" in words.closure_text(plan.setout, "us")
    open_ = replace(plan.setout, closure=plan.setout.closure + 0.1)
    assert "OUTSIDE" in words.closure_text(open_, "us")


def test_inches_beside_hundredths_of_a_foot_are_right():
    for pair in ("0.01 ft is 1/8", "0.08 is 1 in", "0.17 is 2", "0.67 is 8", "0.92 is 11"):
        assert pair in words.INCHES
    for feet, inches in ((0.01, 0.125), (0.04, 0.5), (0.08, 1), (0.17, 2), (0.67, 8), (0.92, 11)):
        assert feet == pytest.approx(inches / 12, abs=0.005)


@pytest.mark.parametrize(
    ("angle", "text"),
    [
        (np.pi / 4, "45°, 100\u00a0%, 1.0H:1V"),
        (0.0, "level"),
        (np.arctan(0.5), "27°, 50\u00a0%, 2.0H:1V"),
    ],
)
def test_a_slope_is_written_three_ways(angle, text):
    assert figures.slope(float(angle)) == text
