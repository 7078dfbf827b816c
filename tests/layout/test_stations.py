import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.layout.rows import cell_sag, rows_on_slope
from hillwright.layout.squareness import angle_on_slope, right_angle
from hillwright.layout.stations import station_offset, station_text
from hillwright.layout.tolerances import iso_position_deviation

numbers = st.floats(-1000, 1000)


@given(start=st.tuples(numbers, numbers), bearing=st.floats(0, 6.28), s=numbers, o=numbers)
def test_station_and_offset_lead_to_the_point(start, bearing, s, o):
    ahead = np.array([math.sin(bearing), math.cos(bearing)])
    right = np.array([math.cos(bearing), -math.sin(bearing)])
    point = np.array(start) + s * ahead + o * right
    found = station_offset(start, np.array(start) + 20 * ahead, point)
    assert found.station == pytest.approx(s, abs=1e-6)
    assert found.offset == pytest.approx(o, abs=1e-6)
    back = station_offset(np.array(start) + 20 * ahead, start, point)
    assert back.station == pytest.approx(20 - s, abs=1e-6)
    assert back.offset == pytest.approx(-o, abs=1e-6)


def test_a_base_line_of_no_length_is_refused():
    with pytest.raises(OutOfRange, match="has no length"):
        station_offset([1, 2], [1, 2], [[3, 4]])
    with pytest.raises(OutOfRange, match="points"):
        station_offset([1, 2], [1, 3], [[3, math.nan]])


FT = 0.3048


@pytest.mark.parametrize(
    ("distance", "how", "text"),
    [
        (653.25 * FT, {}, "6+53.25"),
        (399.996 * FT, {}, "4+00.00"),
        (399.994 * FT, {}, "3+99.99"),
        (0.0, {}, "0+00.00"),
        (5.5 * FT, {}, "0+05.50"),
        (2.675 * FT, {}, "0+02.68"),
        (-12.5 * FT, {}, "-0+12.50"),
        (-0.001 * FT, {}, "0+00.00"),
        (123456 * FT, {"decimals": 0}, "1234+56"),
        (1234.5 * FT, {"station": 1000 * FT, "decimals": 1}, "1+234.5"),
        (653.25, {"unit": "m"}, "0+653.25"),
        (1005.0, {"unit": "m", "decimals": 3}, "1+005.000"),
        (999.9996, {"unit": "m", "decimals": 3}, "1+000.000"),
        (653.25, {"unit": "m", "station": 100.0}, "6+53.25"),
    ],
)
def test_a_station_is_written_so_that_the_rest_carries(distance, how, text):
    assert station_text(distance, **how) == text


@given(cents=st.integers(0, 10**7))
def test_a_station_text_reads_back(cents):
    full, rest = station_text(cents / 100 * FT).split("+")
    assert len(rest) == 5
    assert round(100 * (100 * int(full) + float(rest))) == cents


@pytest.mark.parametrize(
    "wrong",
    [
        {"station": 0.0},
        {"station": 250 * FT},
        {"station": FT},
        {"decimals": -1},
        {"unit": "yd"},
        {"distance": math.inf},
    ],
)
def test_a_station_that_cannot_be_written_is_refused(wrong):
    with pytest.raises(OutOfRange):
        station_text(**{"distance": 1.0, **wrong})


@given(k=st.floats(0.1, 20))
def test_three_four_five_is_square_at_any_size_and_either_way_round(k):
    assert right_angle([0, 12 * k], 3 * k, 8 * k).angle == pytest.approx(math.pi / 2)
    assert right_angle([5, 5 + 12 * k], 5 + 4 * k, 5 + 9 * k).angle == pytest.approx(math.pi / 2)


def test_marks_that_are_not_square_show_their_angle():
    assert math.degrees(right_angle([0, 12], 4, 8).angle) == pytest.approx(60)


@pytest.mark.parametrize(
    "marks", [(([0, 12]), 8, 3), (([0, 12]), 1, 8), ([0], 3, 8), ([0, 12], 0, 8)]
)
def test_marks_that_make_no_triangle_are_refused(marks):
    with pytest.raises(OutOfRange, match="marks"):
        right_angle(*marks)


@given(slope=st.floats(0, 1.3), f=st.floats(-3, 3), g=st.floats(0.1, 3))
def test_the_angle_on_the_slope_is_that_of_the_lines_in_space(slope, f, g):
    m = math.tan(slope)
    one, other = (np.array([math.cos(t), math.sin(t), m * math.sin(t)]) for t in (f, f + g))
    cos = one @ other / np.linalg.norm(one) / np.linalg.norm(other)
    assert math.cos(angle_on_slope(slope, f, g)) == pytest.approx(cos, abs=1e-9)


@given(slope=st.floats(0, 1.2), pitch=st.floats(0.2, 2), n=st.integers(0, 200))
def test_a_slope_of_whole_rows_holds_them_all(slope, pitch, n):
    found = rows_on_slope(n * pitch * math.cos(slope), slope, pitch)
    assert found.rows == n
    assert found.rows_if_plan_length_used <= n


@given(length=st.floats(0.1, 2), radius=st.floats(1.1, 1e6))
def test_a_hollow_mirrors_a_hump(length, radius):
    hump, hollow = cell_sag(length, radius), cell_sag(length, -radius)
    assert hump.sag == -hollow.sag
    assert hump.sag >= hump.approx * (1 - 1e-9)
    assert math.hypot(radius - hump.sag, length / 2) == pytest.approx(radius)


def test_level_ground_leaves_no_gap():
    assert cell_sag(0.6, math.inf).sag == 0


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: rows_on_slope(5, 0.5, 0), "row_pitch"),
        (lambda: rows_on_slope(-5, 0.5, 1), "plan_depth"),
        (lambda: rows_on_slope(5, 1.6, 1), "angle of ground"),
        (lambda: cell_sag(0.6, 0.2), "bends too sharply"),
        (lambda: cell_sag(0, 5), "cell_length"),
        (lambda: iso_position_deviation([4.0, 0.0]), "distance"),
        (lambda: angle_on_slope(-0.1, 0.0), "angle of ground"),
    ],
)
def test_what_cannot_be_measured_is_refused(ask, said):
    with pytest.raises(OutOfRange, match=said):
        ask()
