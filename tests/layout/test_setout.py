import math
import pickle

import numpy as np
import pytest
from hills import plane, sphere, waves
from hypothesis import given, settings
from hypothesis import strategies as st
from laid import RUN, WIDTH, lay, rectangle, site_with, surface_of

from hillwright.errors import OutOfRange, SurveyError
from hillwright.layout.groundtapes import tapes_on_ground
from hillwright.layout.setout import set_out
from hillwright.layout.stakes import corners_of_string
from hillwright.layout.stretches import distance_from_string, stretches
from hillwright.layout.tapes import FLATTEST, SHARPEST

SLOPE = math.radians(30)
FALL = plane(0.0, math.tan(SLOPE))


def made(mask=None, rows=4, columns=5, ground=FALL, half_offset=False, **more):
    mask = np.ones((rows, columns), bool) if mask is None else np.asarray(mask, bool)
    rows, columns = mask.shape
    site = {k: more.pop(k) for k in ("benchmarks", "base_line", "exclusions") if k in more}
    layout = lay(mask, ground, SLOPE, half_offset, **more)
    outline = rectangle(rows, columns, SLOPE)
    return layout, surface_of(ground, outline), site_with(outline, **site)


def test_each_row_is_one_line_with_its_cells_and_its_two_ends():
    s = set_out(*made())
    np.testing.assert_array_equal(s.row, [1, 2, 3, 4])
    np.testing.assert_array_equal(s.cells, 5)
    np.testing.assert_array_equal(s.first, 1)
    np.testing.assert_allclose(s.along, 5 * WIDTH)
    np.testing.assert_allclose(s.straight, 5 * WIDTH)
    assert s.line_name == ("R01", "R02", "R03", "R04")


def test_on_a_plane_the_rows_lie_one_run_apart_below_the_string():
    s = set_out(*made())
    np.testing.assert_allclose(s.from_string, np.arange(4) * RUN, atol=1e-9)
    np.testing.assert_allclose(s.drop, [0, *[RUN * math.sin(SLOPE)] * 3], atol=1e-9)


def test_a_row_that_starts_beside_the_row_above_has_no_level_check_to_it():
    mask = np.ones((3, 6), bool)
    mask[0, :4] = False
    s = set_out(*made(mask))
    np.testing.assert_allclose(s.drop, [0, np.nan, RUN * math.sin(SLOPE)], atol=1e-9)


def test_a_hole_and_a_trimmed_cell_cut_a_row_in_two():
    mask = np.ones((3, 6), bool)
    mask[1, 2] = False
    trimmed = np.zeros((3, 6), bool)
    trimmed[2, 5] = trimmed[2, 0] = True
    s = set_out(*made(mask, trimmed=trimmed))
    assert s.line_name == ("R01", "R02", "R02b", "R03")
    np.testing.assert_array_equal(s.cells, [6, 2, 3, 4])
    np.testing.assert_array_equal(s.first, [1, 1, 3, 2])
    assert np.isnan(s.reach).sum() == 2


def test_a_seam_between_panels_cuts_a_row_though_the_cells_touch():
    panel = np.tile([1, 1, 2, 2], (2, 1))
    s = set_out(*made(rows=2, columns=4, panel=panel))
    np.testing.assert_array_equal(s.cells, 2)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), half=st.booleans())
def test_every_whole_cell_is_in_just_one_line_and_its_reach_is_its_right_edge(seed, half):
    rng = np.random.default_rng(seed)
    mask = rng.random((5, 7)) < 0.8
    trimmed = rng.random((5, 7)) < 0.1
    layout = lay(mask, FALL, SLOPE, half, trimmed=trimmed)
    found = stretches(layout)
    counted = np.zeros(len(layout.row), int)
    for first, last, cells in zip(found.first, found.last, found.cells, strict=True):
        mine = np.arange(first, last + 1)
        mine = mine[~layout.trimmed[mine]]
        assert len(mine) == cells
        counted[mine] += 1
        from_start = np.linalg.norm(layout.corners[mine, 1] - layout.corners[first, 0], axis=1)
        np.testing.assert_allclose(found.reach[mine], from_start, atol=1e-9)
    np.testing.assert_array_equal(counted, ~layout.trimmed)


@settings(max_examples=15, deadline=None)
@given(turn=st.floats(-0.6, 0.6), rounding=st.sampled_from([0.001, 0.003048]))
def test_the_printed_readings_close_on_a_plane_however_the_rows_are_turned(turn, rounding):
    mask = np.ones((4, 6), bool)
    layout = lay(mask, FALL, SLOPE, turn=turn)
    xy = layout.corners[:, :, :2].reshape(-1, 2)
    low, high = xy.min(axis=0) - 0.2, xy.max(axis=0) + 0.2
    outline = [low, [high[0], low[1]], high, [low[0], high[1]]]
    s = set_out(layout, surface_of(FALL, outline), site_with(outline), rounding=rounding)
    assert np.abs(s.closure).max() < 6 * rounding
    assert s.angle.min() >= SHARPEST
    assert s.angle.max() <= FLATTEST
    ends = np.stack([s.start, s.end], axis=1)
    np.testing.assert_allclose(s.tape_a, np.linalg.norm(ends - s.benchmark_a, axis=2))


def test_a_person_who_follows_the_tapes_comes_to_the_point():
    layout, surface, site = made(ground=waves(math.tan(SLOPE), 0.1, 5.0, 1.0))
    s = set_out(layout, surface, site)
    way = (s.benchmark_b - s.benchmark_a)[:2]
    to = (s.start - s.benchmark_a)[:, :2]
    left = way[0] * to[:, 1] - way[1] * to[:, 0] > 0
    assert left.all() or not left.any()
    found = tapes_on_ground(
        surface.graded,
        s.benchmark_a[:2],
        s.benchmark_b[:2],
        s.tape_a[:, 0],
        s.tape_b[:, 0],
        "left" if left.all() else "right",
    )
    np.testing.assert_allclose(found.point, s.start, atol=1e-3)


def test_chosen_pegs_stand_outside_the_cells_on_known_ground_and_a_is_on_the_left():
    s = set_out(*made(rows=8, columns=8))
    assert s.benchmark_a[0] < s.benchmark_b[0]
    outline = rectangle(8, 8, SLOPE)
    for peg in (s.benchmark_a, s.benchmark_b):
        inside = (peg[:2] > outline.min(axis=0)).all() and (peg[:2] < outline.max(axis=0)).all()
        assert not inside
    assert any("were chosen" in w for w in s.warnings)
    assert "chosen" in s.note


def test_pegs_keep_off_exclusions():
    everywhere_but_the_right = [[-9, -9], [3.0, -9], [3.0, 9], [-9, 9]]
    s = set_out(*made(exclusions=[everywhere_but_the_right]))
    assert min(s.benchmark_a[0], s.benchmark_b[0]) > 3.0


def test_given_pegs_and_base_line_are_used_as_they_are():
    layout, surface, site = made(
        benchmarks=([-1.0, -2.0], [4.0, -2.0]), base_line=[[-1.0, -2.5], [4.0, -2.5]]
    )
    s = set_out(layout, surface, site)
    np.testing.assert_allclose(s.benchmark_a[:2], [-1, -2])
    assert s.benchmark_a[2] == pytest.approx(-2 * math.tan(SLOPE))
    np.testing.assert_allclose(s.station[:, 0], 1.0, atol=1e-9)
    assert (s.offset < 0).all()  # uphill of a line that runs east is to its left
    assert not any("chosen" in w or "base line" in w for w in s.warnings)
    assert {"BL-1", "BL-2"} < set(s.stake_name)


def test_one_given_peg_gets_a_second():
    layout, surface, site = made(benchmarks=(None, [4.0, -2.0]))
    s = set_out(layout, surface, site)
    np.testing.assert_allclose(s.benchmark_b[:2], [4, -2])
    assert "Peg A was chosen" in s.note
    assert s.angle.min() > SHARPEST


def test_pegs_in_line_with_a_row_are_warned_of():
    y = -2 * RUN * math.cos(SLOPE)
    layout, surface, site = made(benchmarks=([-1.0, y], [5.0, y]))
    s = set_out(layout, surface, site)
    assert any("R03-S" in w and "30 to 150 degrees" in w for w in s.warnings)
    assert any("R03-S" in w and "25 mm" in w for w in s.warnings)
    assert np.isfinite(s.closure).all()


@pytest.mark.parametrize(
    ("benchmarks", "said"),
    [
        (([-100.0, 0.0], None), "benchmarks.A: stands where the ground is not known"),
        (([1.0, -2.0], [1.1, -2.0]), "within half a metre"),
    ],
)
def test_a_peg_that_cannot_serve_is_refused(benchmarks, said):
    layout, surface, site = made(benchmarks=benchmarks)
    with pytest.raises(SurveyError, match=said):
        set_out(layout, surface, site)


def test_a_base_line_that_leaves_the_survey_is_told():
    s = set_out(*made(base_line=[[0.0, -2.5], [90.0, -2.5]]))
    assert np.isfinite(s.base_line).all()
    assert any("base line lies off the survey" in w for w in s.warnings)
    away = set_out(*made(base_line=[[90.0, 90.0], [99.0, 90.0]]))
    assert np.isfinite(away.base_line).all()
    assert any("heights are not known" in w for w in away.warnings)


def test_a_hump_in_the_line_of_a_tape_is_told():
    hump = waves(math.tan(SLOPE), 0.9, 1.5, 0.0)
    s = set_out(*made(rows=8, columns=10, ground=hump))
    assert any("stands in the line of" in w for w in s.warnings)


@pytest.mark.parametrize(("half", "rows"), [(False, 4), (True, 4), (True, 5)])
def test_the_diagonals_of_the_first_block_show_whether_it_is_square(half, rows):
    s = set_out(*made(rows=rows, columns=5, half_offset=half))
    deep = rows if not half or rows % 2 else rows - 1  # whole steps of two rows, half-offset
    expected = math.hypot(5 * WIDTH, deep * RUN)
    np.testing.assert_allclose(s.diagonals, expected)
    assert s.square_note == f"rows 1 to {deep}, the 5 cells under R01"
    skew = set_out(*made(rows=rows, columns=5, half_offset=half, ground=plane(0.3, 0.5)))
    assert abs(skew.diagonals[0] - skew.diagonals[1]) > 0.01


def test_a_block_stops_where_a_cell_under_its_end_is_missing():
    mask = np.ones((4, 5), bool)
    mask[2, 4] = False
    assert set_out(*made(mask)).square_note == "rows 1 to 2, the 5 cells under R01"


def test_stakes_are_named_once_each_and_stand_on_the_ground():
    s = set_out(*made(ground=sphere(40.0)))
    assert len(set(s.stake_name)) == len(s.stake_name) == len(s.stake) == len(s.stake_note)
    names = set(s.stake_name)
    assert {"BM-A", "BM-B", "TS-1", "R04-S", "R04-E", "OL-4"} <= names
    np.testing.assert_allclose(s.stake[:, 2], sphere(40.0).at(*s.stake[:, :2].T)[0], atol=1e-3)
    np.testing.assert_array_equal(s.stake[s.stake_name.index("R03-E")], s.end[2])


def test_a_straight_string_needs_two_stakes_and_a_humped_one_more():
    x = np.linspace(0, 6, 13)
    straight = np.column_stack([x, 2 * x, 3 + x])
    np.testing.assert_array_equal(corners_of_string(straight), straight[[0, -1]])
    humped = straight + np.array([0, 0, 1]) * (0.3 * np.exp(-((x - 3) ** 2)))[:, None]
    kept = corners_of_string(humped)
    assert 6.0 in kept[:, 1]  # the top of the hump
    assert len(kept) < len(humped)


def test_the_working_of_each_start_gives_its_printed_figure():
    s = set_out(*made())
    by_figure = {w.figure: w.with_units() for w in s.workings}
    assert len(by_figure) == 5 * len(s.row)
    w = by_figure["setout.row.3.tape_a"]
    assert w.result.value == pytest.approx(s.tape_a[2, 0])
    assert math.hypot(*(n.value for n in w.given)) == pytest.approx(w.result.value)
    assert by_figure["setout.row.3.offset"].result.value == pytest.approx(s.offset[2, 0])
    assert by_figure["setout.row.3.from_string"].result.value == pytest.approx(2 * RUN)
    assert {n.unit for w in by_figure.values() for n in (*w.given, w.result)} == {"m", "rad"}


def test_a_hillside_without_a_cell_still_gets_its_pegs():
    s = set_out(*made(np.zeros((2, 2), bool)))
    assert len(s.row) == len(s.workings) == len(s.diagonals) == 0
    assert np.isfinite(s.benchmark_a).all()
    assert s.stake_name[:2] == ("BM-A", "BM-B")


def test_a_set_out_is_read_only_and_can_be_kept():
    s = set_out(*made())
    with pytest.raises(ValueError, match="read-only"):
        s.tape_a[0, 0] = 1
    again = pickle.loads(pickle.dumps(s))
    np.testing.assert_array_equal(again.tape_a, s.tape_a)


def test_below_the_end_of_a_string_it_counts_as_drawn_on():
    string = np.array([[0, 0, 0], [1, 0, 0], [2, 0, 0]], float)
    found = distance_from_string(string, np.array([[5, -3, -4], [-1, 0, 0], [1, 0, 2]], float))
    np.testing.assert_allclose(found, [5, 0, 2])
    with pytest.raises(OutOfRange, match="has no length"):
        distance_from_string(string[[0, 0]], string)
