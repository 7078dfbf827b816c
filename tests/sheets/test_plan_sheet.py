"""What stands on the plan and in the section."""

import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
import shapely

from hillwright.sheets.ground import contour_interval, contour_lines, unsurveyed
from hillwright.sheets.marks import LEAST_TEXT, Circle, Line, Words
from hillwright.sheets.plan_sheet import plan_sheet
from hillwright.sheets.scale import papers
from hillwright.sheets.section import cut_cells, distance, section_sheet


@pytest.fixture(scope="module")
def sheet(plan):
    return plan_sheet(plan)


def lettered(drawing):
    return [m.text for m in drawing.marks if isinstance(m, Words)]


def test_every_cell_is_drawn_as_it_lies_and_numbered(plan, sheet):
    drawn = [m for m in sheet.drawing.marks if isinstance(m, Line) and m.layer == "cells"]
    assert len(drawn) == len(plan.layout.corners)
    np.testing.assert_allclose(drawn[3].points, sheet.drawing.view.place(plan.layout.corners[3]))
    numbers = Counter(
        m.text for m in sheet.drawing.marks if isinstance(m, Words) and m.layer == "cell-numbers"
    )
    assert sum(numbers.values()) == plan.layout.count


def test_rows_pegs_spots_and_places_to_keep_off_are_named(plan, sheet):
    texts = lettered(sheet.drawing)
    for name in ("R1", "R5", "Boulder", "Oak", "Base line", "dip 2.2 in", "hump 2.6 in"):
        assert name in texts
    height = f"{plan.setout.benchmark_a[2] / 0.3048:.2f}"
    assert f"A: {height}" in texts
    assert not sheet.drawing.unplaced


def test_corners_of_the_outline_are_named_as_the_table_of_marks_names_them(make):
    plan = make()
    corners = np.column_stack([plan.surface.outline, np.zeros(len(plan.surface.outline))])
    names = tuple(f"OL-{k}" for k in range(1, len(corners) + 1))
    setout = replace(plan.setout, stake_name=names, stake=corners, stake_note=names)
    assert set(names) <= set(lettered(plan_sheet(replace(plan, setout=setout)).drawing))


def test_large_jobs_keep_every_row_and_spot_readable(make):
    sheet = plan_sheet(make(rows=20, columns=26))
    texts = lettered(sheet.drawing)
    assert {f"R{r}" for r in range(1, 21)} <= set(texts)
    assert {"Boulder", "dip 2.2 in"} <= set(texts)
    assert min(m.size for m in sheet.drawing.marks if isinstance(m, Words)) >= 1.5


def test_cells_too_small_for_their_numbers_are_numbered_at_every_fifth(make):
    sheet = plan_sheet(make(rows=20, columns=26, scale=120, paper="arch-d"))
    words = [m for m in sheet.drawing.marks if isinstance(m, Words)]
    numbers = {m.text for m in words if m.layer == "cell-numbers"}
    assert {"5", "10", "25"} <= numbers
    assert "7" not in numbers
    assert "fifth" in sheet.drawing.notes["cell-numbers"]
    assert min(m.size for m in words) >= LEAST_TEXT - 1e-9


def test_rings_are_numbered_on_their_spots(plan, sheet):
    balloons = [m for m in sheet.drawing.marks if isinstance(m, Circle) and m.layer == "spots"]
    spot = plan.surface.spots[0]
    np.testing.assert_allclose(balloons[0].centre, sheet.drawing.view.place([spot.x, spot.y]))


def test_contours_lie_at_their_level(plan):
    interval, lines = contour_lines(plan.surface, 0.3048)
    assert interval == 0.5  # 10 ft of relief in at most 24 lines
    for level, line in lines:
        z = plan.surface.graded.at(line[:, 0], line[:, 1])[0] / 0.3048
        np.testing.assert_allclose(z, level, atol=0.01)
        assert level / interval == pytest.approx(round(level / interval))


@pytest.mark.parametrize(("relief", "interval"), [(10, 0.5), (24, 1), (25, 2), (100, 5), (2, 0.1)])
def test_contour_interval_is_one_two_or_five(relief, interval):
    assert contour_interval(relief) == pytest.approx(interval)


def test_ground_outside_the_survey_is_found(plan):
    (ring,) = unsurveyed(plan.surface)
    # the fixture leaves out the corner with x < 1 and y < 1.5
    assert ring[:, 0].max() == pytest.approx(1.0, abs=0.2)
    assert ring[:, 1].max() == pytest.approx(1.5, abs=0.2)
    known = replace(plan.surface, supported=np.ones_like(plan.surface.supported))
    assert unsurveyed(known) == []


@pytest.mark.parametrize("bearing", [0.0, 0.4])
def test_north_arrow_follows_the_frame_and_downhill_the_aspect(make, bearing):
    sheet = plan_sheet(make(bearing=bearing))
    # +y stands `bearing` clockwise of north, so north stands `bearing` anticlockwise of +y
    assert sheet.north == pytest.approx(math.pi / 2 + bearing + sheet.turn)
    # the hill faces along -y (aspect pi from +y)
    assert math.cos(sheet.downhill - (sheet.turn - math.pi / 2)) == pytest.approx(1.0)


def test_the_section_is_true_to_scale_and_not_exaggerated(plan):
    section = section_sheet(plan, papers()["tabloid"])
    ground = [m for m in section.drawing.marks if isinstance(m, Line) and m.layer == "ground"]
    graded = ground[1].points
    fall = plan.surface.fall_line
    z = plan.surface.graded.at(fall[:, 0], fall[:, 1])[0]
    run, rise = np.ptp(graded, axis=0)
    assert run == pytest.approx(1000 * distance(fall)[-1] / section.scale)
    assert rise == pytest.approx(1000 * np.ptp(z) / section.scale)


def test_the_section_cuts_one_cell_of_each_row(plan):
    fall = plan.surface.fall_line
    cut = cut_cells(plan.layout, fall, distance(fall))
    # the section runs at 0.6 of the width, where the last row has ended
    assert [c.row for c in cut] == [1, 2, 3, 4, 5]
    for c in cut:
        x, y = fall[0, 0], fall[0, 1] - c.base[0, 0]
        z = plan.surface.graded.at(np.array([x]), np.array([y]))[0]
        assert c.base[0, 1] == pytest.approx(float(z[0]), abs=0.01)


def test_slopes_stand_in_the_section_in_all_three_ways(plan):
    section = section_sheet(plan, papers()["tabloid"])
    slopes = [t for t in lettered(section.drawing) if "H:1V" in t]
    assert slopes
    assert all("°" in t and "%" in t for t in slopes)


@pytest.mark.parametrize("job", ["bracken-bank", "quarry-garden", "long-meadow"])
def test_the_slip_circle_is_named_clear_of_the_cells(worked, job):
    drawing = section_sheet(worked(job), papers()["tabloid"]).drawing
    (name,) = [m for m in drawing.marks if isinstance(m, Words) and m.layer == "slip"]
    boxes = [m.points for m in drawing.marks if isinstance(m, Line) and m.layer == "cells"]
    wide = 0.5 * name.size * len(name.text)  # about: a letter is half as wide as its body
    left = name.at[0] - {"left": 0, "middle": 0.5, "right": 1}[name.anchor] * wide
    y = name.at[1]
    words = shapely.box(left, y - 0.35 * name.size, left + wide, y + 0.35 * name.size)
    assert not any(shapely.intersects(words, shapely.Polygon(b)) for b in boxes)


def test_the_legend_says_in_which_unit_the_pegs_heights_are(worked):
    for job, unit in (("bracken-bank", "ft"), ("long-meadow", "m")):
        drawing = plan_sheet(worked(job)).drawing
        assert drawing.notes["benchmarks"] == f"Peg for the tapes, with its height in {unit}"
