import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.terrain.accuracy import nssda_vertical, slope_tape
from hillwright.terrain.levelling import (
    grade_rod,
    level_run,
    level_setup,
    string_heights,
    traverse_closure,
    traverse_sums,
)

rods = st.lists(st.floats(0, 4), min_size=1, max_size=8)


@given(bm=st.floats(-100, 3000), back=rods, fore=st.floats(0, 4))
def test_a_run_of_levels_is_set_up_after_set_up(bm, back, fore):
    run = level_run(bm, back, [fore] * len(back))
    height = bm
    for k, reading in enumerate(back):
        one = level_setup(height, reading, fore)
        height = float(one.elevation)
        assert run.hi[k] == pytest.approx(float(one.hi))
        assert run.elevation[k] == pytest.approx(height)
    assert run.misclosure == pytest.approx(height - bm)


def test_a_rod_that_reads_less_than_the_grade_rod_is_a_cut():
    found = grade_rod(360.48, 4.22, 358.0, [5.0, 6.7, 8.0])
    np.testing.assert_allclose(found.cut, [1.7, 0, -1.3], atol=1e-9)


def test_ground_falling_either_way_along_a_string_has_the_same_steepness():
    one = string_heights(10.0, [0, 1, 3], [0.1, 0.6, 1.6])
    other = string_heights(10.0, [0, 1, 3], [1.6, 0.6, 0.1])
    assert one.mean_slope == other.mean_slope == pytest.approx(math.atan(0.5))


@given(
    legs=st.lists(st.tuples(st.floats(1, 100), st.floats(0, 2 * math.pi)), min_size=3, max_size=9)
)
def test_a_traverse_that_comes_back_closes(legs):
    d, a = np.array(legs).T
    there_and_back = traverse_sums(np.concatenate([d, d]), np.concatenate([a, a + np.pi]))
    closed = traverse_closure(*there_and_back)
    assert closed.leoc == pytest.approx(0, abs=1e-9)
    assert there_and_back.perimeter == pytest.approx(2 * d.sum())


def test_a_traverse_without_any_error_has_no_end_to_its_precision():
    assert traverse_closure(5, 5, 7, 7, 30).precision_1_in == np.inf


@given(s=st.floats(0.1, 200), share=st.floats(0, 1))
def test_the_exact_correction_is_what_the_series_comes_down_to(s, share):
    h = share * s
    found = slope_tape(s, h)
    assert found.horizontal + found.correction == pytest.approx(s)
    assert found.horizontal**2 + h**2 == pytest.approx(s * s)
    assert found.correction_first <= found.correction_second <= found.correction + 1e-9
    np.testing.assert_array_equal(slope_tape(s, -h).horizontal, found.horizontal)


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: level_setup(math.nan, 1, 1), "benchmark"),
        (lambda: level_run(1, [1, 2], [1]), "1 for 2 backsights"),
        (lambda: grade_rod(1, 1, 9), "above the height of instrument"),
        (lambda: string_heights(5, [0, 1], [0.1]), "1 for 2 offsets"),
        (lambda: string_heights(5, [0, 0], [0.1, 0.2]), "offset 2"),
        (lambda: string_heights(5, [0, 1], [0.1, -0.2]), "depth 2"),
        (lambda: traverse_closure(1, 1, 1, 1, 0), "perimeter"),
        (lambda: traverse_closure(-1, 1, 1, 1, 5), "below zero"),
        (lambda: traverse_sums([1, 2], [0, 1]), "at least 3 legs"),
        (lambda: traverse_sums([1, 2, 0], [0, 1, 2]), "leg 3"),
        (lambda: slope_tape(0, 0), "slope_distance"),
        (lambda: slope_tape(5, 6), "more than the tape is long"),
        (lambda: nssda_vertical(-0.1), "rmse_z"),
        (lambda: nssda_vertical(0.1, 12), "at least 20"),
    ],
)
def test_readings_that_cannot_be_are_refused(ask, said):
    with pytest.raises(OutOfRange, match=said):
        ask()
