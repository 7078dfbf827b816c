"""The stage lays whole cells inside the strings, hung, numbered and measured."""

import math

import fields
import hills
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.job.model import Choices
from hillwright.layout.stage import lay_out
from hillwright.terrain.heightfield import HeightField, Window

BOX = [(-5.0, -4.0), (5.0, -4.2), (5.5, 4.0), (-4.8, 4.4)]


def laid(ground, outline, site=None, cell=None, **choices):
    return lay_out(
        fields.surface(ground, outline),
        site or fields.site(),
        cell or fields.cell(),
        Choices(**choices),
    )


def plan(layout):
    return shapely.polygons(layout.corners[..., :2])


@pytest.mark.parametrize("half_offset", [False, True])
def test_every_cell_lies_inside_the_strings_and_off_the_exclusions(half_offset):
    tree = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
    layout = laid(
        hills.waves(0.6, 0.3, 5.0, 1.0),
        BOX,
        fields.site([("tree", tree)]),
        fields.cell(half_offset=half_offset),
    )
    assert layout.count > 300
    assert layout.count <= layout.bound <= layout.area_bound
    free = shapely.buffer(shapely.Polygon(BOX).difference(shapely.Polygon(tree)), 2e-4)
    assert shapely.covers(free, plan(layout)).all()


def test_a_tree_outside_the_strings_takes_nothing_away():
    far = [(20.0, 20.0), (21.0, 20.0), (21.0, 21.0)]
    beside = laid(fields.south_slope(), BOX, fields.site([("tree", far)]))
    without = laid(fields.south_slope(), BOX)
    assert (beside.count, beside.area_bound) == (without.count, without.area_bound)


def test_a_string_off_the_survey_is_named():
    window = Window(-8.0, -8.0, 0.25, 65, 65)
    surveyed = HeightField.sample(lambda x, y: 0.6 * y + 0 * x, window)
    site = fields.site(string=[(900.0, 900.0), (910.0, 900.0)])
    with pytest.raises(OutOfRange, match=r"layout\.string"):
        laid(surveyed, BOX, site, top="string")


def test_a_strip_that_just_holds_them_holds_ten_by_eight():
    shape = fields.cell()
    layout = laid(fields.south_slope(), fields.slope_rectangle(10, 8, shape), top="contour")
    assert (layout.count, layout.bound, layout.rows) == (80, 80, 8)
    assert layout.shear.max() < 1e-6
    assert layout.gap.max() < 1e-6
    assert len(layout.clips) == 10 * 7 + 9 * 8
    assert layout.anchored.sum() == 10


@pytest.mark.parametrize("bond", ["stacked", "half-offset"])
def test_strings_pulled_to_whole_cells_hold_them_though_the_ground_is_a_hair_off(bond):
    shape = fields.cell(half_offset=bond == "half-offset")
    wanted = 10 * 8 if bond == "stacked" else 4 * 10 + 4 * 9  # every second row loses one
    for lean in (0.0, 3e-6, -3e-6):  # rise across the strings, as by rounding in the survey
        box = fields.slope_rectangle(10, 8, shape, spare=0.0)
        layout = laid(hills.plane(lean, fields.STEEP), box, cell=shape)
        assert layout.count == wanted
        assert wanted == layout.bound <= layout.area_bound


def test_the_bound_by_area_holds_where_the_gentle_ground_is_kept_off():
    ground = hills.translation(0.0, 0.15)  # from 8 deg at its foot to 53 deg
    box = [(-4.0, 1.0), (4.0, 1.0), (4.0, 9.0), (-4.0, 9.0)]
    gentle = [(-4.5, 0.5), (4.5, 0.5), (4.5, 5.0), (-4.5, 5.0)]
    layout = laid(ground, box, fields.site([("pond", gentle)]), fields.cell(width=0.3, run=0.225))
    # arc length of y = 5 to 9 in closed form, times 8 m
    t = np.array([5.0, 9.0]) * 0.15
    arc = float(np.diff((t * np.sqrt(1 + t**2) + np.arcsinh(t)) / 2)[0]) / 0.15
    assert layout.area_bound == pytest.approx(8 * arc / (0.3 * 0.225), rel=2e-3)
    assert layout.count <= layout.bound <= layout.area_bound


def test_cells_kept_outside_full_strings_do_not_pass_the_bounds():
    shape = fields.cell()
    box = fields.slope_rectangle(10, 8, shape)
    beside = [(6.2, -1.0), (-0.2, -1.0)]
    layout = laid(fields.south_slope(), box, fields.site(keep=beside), shape)
    assert layout.count == 82
    assert layout.count <= layout.bound <= layout.area_bound


def test_rows_count_from_the_top_and_cells_from_the_left_looking_uphill():
    layout = laid(fields.south_slope(), BOX)
    height = layout.corners[..., 2].mean(axis=1)
    mean = [height[layout.row == r].mean() for r in range(1, layout.rows + 1)]
    assert np.all(np.diff(mean) < 0)
    # looking uphill is looking north here, so left is west
    for r in range(1, layout.rows + 1):
        x = layout.corners[layout.row == r, 0, 0]
        assert np.all(np.diff(x) > 0)
        assert layout.number[layout.row == r].tolist() == list(range(1, len(x) + 1))
    upper_left, upper_right, lower_right, lower_left = layout.corners.transpose(1, 0, 2)
    assert (upper_left[:, 0] < upper_right[:, 0]).all()
    assert (lower_left[:, 2] < upper_left[:, 2]).all()
    assert (lower_right[:, 0] > lower_left[:, 0]).all()


@settings(max_examples=8, deadline=None)
@given(
    ground=hills.smooth_hills,
    turn=st.floats(-3.1, 3.1),
    x=st.floats(-50, 50),
    y=st.floats(-50, 50),
)
def test_turning_and_moving_the_hill_turns_and_moves_the_cells(ground, turn, x, y):
    c, s = math.cos(turn), math.sin(turn)
    box = np.array([(-2.0, -2.0), (2.0, -2.0), (2.0, 2.0), (-2.0, 2.0)])
    there = laid(ground, box, top="contour")
    moved = laid(
        hills.Hill(ground.function, turn=turn, shift=(x, y)),
        box @ np.array([[c, s], [-s, c]]) + (x, y),
        top="contour",
    )
    assert abs(there.count - moved.count) <= 1  # a corner on a string may fall either way
    if there.count == moved.count:
        assert np.allclose(there.shear, moved.shear, atol=1e-5)


@settings(max_examples=10, deadline=None)
@given(ground=hills.smooth_hills)
def test_every_edge_keeps_its_length_and_every_panel_its_shear(ground):
    layout = laid(ground, BOX, top="straight", max_tilt="0 deg")
    p = layout.corners
    rows = np.linalg.norm(p[:, 1] - p[:, 0], axis=1), np.linalg.norm(p[:, 2] - p[:, 3], axis=1)
    runs = np.linalg.norm(p[:, 3] - p[:, 0], axis=1), np.linalg.norm(p[:, 2] - p[:, 1], axis=1)
    assert np.allclose(rows, 0.6, atol=1e-8)
    assert np.allclose(runs, 0.45, atol=1e-8)
    assert layout.shear.max() <= layout.cell.max_shear + 1e-9
    a, b = layout.clips.T
    gap = np.abs(p[a][:, :, None] - p[b][:, None]).max(axis=3).min(axis=(1, 2))
    assert gap.max(initial=0) < 1e-8  # clipped cells share a corner


def test_row_1_hangs_on_the_string_that_the_person_pulled():
    string = [(-4.5, 3.2), (0.0, 3.4), (4.5, 3.1)]
    layout = laid(hills.waves(0.6, 0.1, 5.0, 1.0), BOX, fields.site(string=string), top="string")
    upper = layout.corners[layout.row == 1][:, :2, :2].reshape(-1, 2)
    between = upper[np.abs(upper[:, 0]) < 4.4]  # beyond its ends the string is carried on
    assert len(between) > 20
    off = shapely.distance(shapely.LineString(string), shapely.points(between))
    assert off.max() < 0.02  # equal chords cut the string's corner by less than that
    assert layout.top == "your own top string"


def test_a_string_given_from_the_other_end_lays_the_same_cells():
    string = [(-4.5, 3.2), (4.5, 3.1)]
    there = laid(fields.south_slope(), BOX, fields.site(string=string), top="string")
    back = laid(fields.south_slope(), BOX, fields.site(string=string[::-1]), top="string")
    assert there.count == back.count
    assert np.allclose(there.corners, back.corners, atol=1e-6)


def test_a_row_fixed_by_hand_stays_where_it_hangs():
    layout = laid(fields.south_slope(), BOX, fields.site(fixed_rows=[(0.3, 1.234)]), top="contour")
    upper = layout.corners[:, 0, 1]
    assert np.abs(upper - 1.234).min() < 2e-3


def test_a_cell_fixed_by_hand_stays_where_it_is():
    layout = laid(fields.south_slope(), BOX, fields.site(fixed_cell=(0.321, 1.234)), top="contour")
    away = np.linalg.norm(layout.corners[:, 0, :2] - (0.321, 1.234), axis=1)
    assert away.min() < 2e-3


def test_rows_fixed_half_a_row_apart_are_refused_with_the_distance():
    half = 0.45 / 2 / math.hypot(1, fields.STEEP)
    site = fields.site(fixed_rows=[(0.0, 1.0), (0.0, 1.0 + half)])
    with pytest.raises(OutOfRange, match=r"0\.225 m from a whole number of rows"):
        laid(fields.south_slope(), BOX, site, top="contour")


def test_a_cell_left_out_by_hand_is_not_laid_and_a_kept_one_is():
    free = laid(fields.south_slope(), BOX, top="contour")
    inner = plan(free)[free.count // 2].centroid
    without = laid(
        fields.south_slope(), BOX, fields.site(leave_out=[(inner.x, inner.y)]), top="contour"
    )
    assert without.count == free.count - 1
    assert not shapely.contains_xy(shapely.union_all(plan(without)), inner.x, inner.y)
    # a place left of the first cell of row 5, where only part of a cell fits
    first = free.corners[(free.row == 5) & (free.number == 1)][0]
    beside = first[[0, 3], :2].mean(axis=0) - 0.5 * (first[1, :2] - first[0, :2])
    kept = laid(fields.south_slope(), BOX, fields.site(keep=[beside]), top="contour")
    assert kept.count == free.count + 1
    assert shapely.contains_xy(shapely.union_all(plan(kept)), *beside)


def test_cells_that_must_be_cut_are_shown_and_never_counted_as_whole():
    whole = laid(fields.south_slope(), BOX, top="contour")
    both = laid(fields.south_slope(), BOX, top="contour", trimmed=True)
    assert whole.trimmed.sum() == 0
    assert both.trimmed.sum() > 5
    assert both.count == (~both.trimmed).sum() == whole.count
    assert not shapely.covers(shapely.Polygon(BOX), plan(both)[both.trimmed]).any()


def test_a_dome_is_cut_into_panels_that_the_clips_can_follow():
    dome = hills.Hill(hills.sphere(30.0).function, shift=(0.0, 18.0))
    layout = laid(dome, BOX, top="straight", max_tilt="0 deg")
    assert layout.panel.max() >= 2
    assert layout.seams
    assert "clips allow 1.2 deg" in layout.seams[0].why
    assert layout.shear.max() <= layout.cell.max_shear + 1e-9
    a, b = layout.clips.T
    assert (layout.panel[a] == layout.panel[b]).all()
    tree = shapely.STRtree(plan(layout))
    one, other = tree.query(plan(layout), predicate="overlaps")
    shared = shapely.area(shapely.intersection(plan(layout)[one], plan(layout)[other]))
    assert shared.max(initial=0) <= 0.0127 * 0.45 + 1e-9  # the play of the clips


def test_a_prong_that_could_only_hang_from_below_is_left_out_and_said_to_be():
    # two prongs of which the right one starts lower: its first rows have nothing above them
    outline = [(-4, -3), (4, -3), (4, 1), (1.5, 1), (1.5, -1), (-0.5, -1), (-0.5, 3), (-4, 3)]
    layout = laid(fields.south_slope(), outline, top="contour")
    assert {out.why for out in layout.left_out} == {"nothing above to hang from"}
    centres = layout.corners[..., :2].mean(axis=1)
    assert not ((centres[:, 0] > 1.5) & (centres[:, 1] > -1)).any()


def test_strings_too_small_for_a_row_are_refused():
    with pytest.raises(OutOfRange, match="no row of 2 whole cells fits"):
        laid(fields.south_slope(), [(0, 0), (0.7, 0), (0.7, 0.7), (0, 0.7)])


def test_flat_ground_has_no_contour_to_follow():
    with pytest.raises(OutOfRange, match="flat"):
        laid(hills.plane(0.0, 0.0), BOX)


def test_the_working_of_every_figure_can_be_shown():
    layout = laid(hills.waves(0.6, 0.3, 5.0, 1.0), BOX)
    shown = {w.figure: w.with_units() for w in layout.workings}
    assert {"layout.count", "layout.bound", "layout.shear", "layout.gap"} <= set(shown)
    assert shown["layout.shear"].result.unit == "rad"
    assert shown["layout.count"].result.value == layout.count


def test_the_same_inputs_lay_the_same_cells():
    one, other = (laid(hills.waves(0.6, 0.3, 5.0, 1.0), BOX) for _ in range(2))
    assert np.array_equal(one.corners, other.corners)


def test_where_panels_decide_every_tilt_is_counted():
    # swells a few cells long: the tilt that holds most in the flat sheet is not the best in panels
    def swells(x, y):
        a, b = 2 * np.pi * x / 8, 2 * np.pi * y / 9
        z = 0.6 * y + 0.2 * np.sin(a) * np.cos(b)
        zx = 0.2 * 2 * np.pi / 8 * np.cos(a) * np.cos(b)
        return z, zx, 0.6 - 0.2 * 2 * np.pi / 9 * np.sin(a) * np.sin(b)

    both = laid(hills.Hill(swells), BOX, top="straight")
    level = laid(hills.Hill(swells), BOX, top="straight", max_tilt="0 deg")
    assert both.panel.max() > 1
    assert both.tilt <= math.radians(10.5)
    assert both.count <= both.bound
    assert level.count > 0


def test_ground_that_bends_too_sharply_for_the_clips_is_said_to_need_smoothing():
    rough = hills.waves(0.6, 0.35, 0.8, 1.0)
    layout = laid(rough, BOX, top="straight", max_tilt="0 deg")
    assert layout.count < 0.75 * layout.bound
    assert any("smooth it further first" in w for w in layout.warnings)
    assert not any("smooth it" in w for w in laid(fields.south_slope(), BOX).warnings)


@settings(max_examples=20)
@given(
    most=st.integers(1, 30),
    half_offset=st.booleans(),
    bumpy=st.booleans(),
    narrowest=st.integers(1, 4),
)
def test_fewer_rows_are_the_upper_ones_of_the_same_placing(most, half_offset, bumpy, narrowest):
    ground = hills.waves(0.6, 0.3, 5.0, 1.0) if bumpy else fields.south_slope()
    cell = fields.cell(half_offset=half_offset)
    outline = [(-2.0, -1.6), (2.2, -1.5), (2.4, 1.5), (-1.9, 1.8)]
    every = laid(ground, outline, cell=cell, narrowest_row=narrowest)
    fewer = laid(ground, outline, cell=cell, narrowest_row=narrowest, max_rows=most)
    upper = every.row <= most
    assert fewer.rows == min(most, every.rows)
    for name in ("corners", "row", "number", "panel", "anchored", "trimmed", "gap", "twist"):
        assert np.array_equal(getattr(fewer, name), getattr(every, name)[upper]), name
    assert np.array_equal(fewer.top_string, every.top_string)
    assert fewer.count == (upper & ~every.trimmed).sum() <= fewer.bound == every.bound
    assert fewer.fitted == every.count
    kept = upper[every.clips].all(axis=1)
    assert len(fewer.clips) == kept.sum()


def test_rows_that_are_not_asked_for_are_told_as_left_out_and_are_no_loss_of_seams():
    box = fields.slope_rectangle(10, 8, fields.cell())
    every = laid(fields.south_slope(), box)
    fewer = laid(fields.south_slope(), box, max_rows=3)
    assert (every.count, fewer.count, fewer.all_rows) == (80, 30, 80)
    reasons = [c.why for c in fewer.left_out]
    assert reasons.count("below row 3, the last one asked for (layout.max_rows)") == 50
    assert not any("seams" in w for w in fewer.warnings)
    assert laid(fields.south_slope(), box, max_rows=8).all_rows == 0
