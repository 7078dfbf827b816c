"""The cover: what is in front hides what is behind, and it says what the plan says."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.sheets import perspective
from hillwright.sheets.cover import cover_sheets, gets, takes
from hillwright.sheets.marks import Fill, Words
from hillwright.sheets.model3d.plants import profile
from hillwright.sheets.perspective import Eye, downhill, eye_on, picture
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.safety import safety_sheets
from hillwright.units import show

near = st.floats(-20, 20)


@given(x=near, y=near, z=near)
def test_a_point_lies_in_the_picture_where_its_ray_meets_the_picture_plane(x, y, z):
    eye = Eye.looking(np.array([0.0, -60.0, 30.0]), np.zeros(3))
    point = np.array([x, y, z])
    u, v = eye.place(point)
    ray = eye.ahead + u * eye.right + v * eye.up  # one metre ahead
    assert np.allclose(eye.at + eye.depth(point) * ray, point, atol=1e-8)


@given(st.floats(0.1, 50))
def test_what_is_twice_as_far_looks_half_as_long(away):
    eye = Eye(np.zeros(3), np.array([1.0, 0, 0]), np.array([0, 0, 1.0]), np.array([0, 1.0, 0]))
    one, two = (
        np.ptp(eye.place(np.array([[-1.0, d, 0.0], [1.0, d, 0.0]]))[:, 0]) for d in (away, 2 * away)
    )
    assert one == pytest.approx(2 * two)


def test_the_eye_stands_below_and_sees_uphill(example):
    eye = eye_on(example)
    corners = example.layout.corners
    assert eye.ahead[:2] @ downhill(example) < 0
    # the top row is farther than the bottom row, and higher in the picture
    first, last = (corners[example.layout.row == r] for r in (1, example.layout.rows))
    assert eye.depth(first).mean() > eye.depth(last).mean()
    assert eye.place(first)[..., 1].mean() > eye.place(last)[..., 1].mean()
    # left looking uphill is left in the picture
    assert (eye.place(corners)[:, 1, 0] > eye.place(corners)[:, 0, 0]).all()


def test_cells_are_painted_from_the_farthest_to_the_nearest(worked):
    plan = worked("bracken-bank")
    eye = eye_on(plan)
    faces = [*perspective._cells(plan, eye), *perspective._plants(plan, eye)]
    assert len(perspective._cells(plan, eye)) == 4 * len(plan.layout.row)
    drawn = [m for m in picture(plan, 300, 180) if isinstance(m, Fill) and m.layer != "ground"]
    assert len(drawn) == len(faces) + 1  # and the arrow's head
    tones = [f.tone for f in sorted(faces, key=lambda f: -f.depth)]
    assert [m.tone for m in drawn[:-1]] == tones


def test_everything_is_inside_the_picture(example):
    for mark in picture(example, 300, 180):
        if not isinstance(mark, Words):
            assert (mark.points > -1e-6).all()
            assert (mark.points < np.array([300, 180]) + 1e-6).all()


def test_north_points_north(worked):
    plan = worked("long-meadow")
    eye = eye_on(plan)
    shaft, head = perspective._north(plan, eye)
    low = plan.layout.corners.reshape(-1, 3).mean(axis=0)
    # on level ground the arrow's way and a step north go the same way in the picture
    north = np.pi / 2 + plan.site.frame.north
    step = np.array([np.cos(north), np.sin(north), 0.0])
    a, b = eye.place(low), eye.place(low + 0.1 * step)
    way, told = b - a, head[0] - shaft[0]
    assert way @ told / np.linalg.norm(way) / np.linalg.norm(told) > 0.9


def test_a_plants_outline_is_one_wide_and_one_high():
    for kind in ("tree", "berry", "vegetable", "herb", "flower", "cover"):
        outline = profile(kind)
        assert np.ptp(outline, axis=0) == pytest.approx([1, 1])
        assert outline[:, 1].min() == 0


def test_the_cover_says_what_the_plan_says_and_does_not_hide_a_stop(example):
    (sheet,) = cover_sheets(example)
    said = " ".join([*gets(example), *takes(example)])
    assert f"{example.layout.count} cells" in said
    assert f"{example.planting.planted} planted cells" in said
    stops = [a.short for a in example.answers if a.verdict == "stop"]
    headings = [b.heading for b in sheet.blocks]
    assert ("Not yet" in headings) == bool(stops)


def test_the_cover_does_not_mix_the_program_with_the_worksheet_of_the_budget(worked):
    plan = worked("bracken-bank")
    (line,) = [f for f in takes(plan) if f.startswith("Drip to every plant")]
    over = plan.watering.estimated / plan.watering.allowance - 1
    assert f"{100 * over:.0f} % over" in line
    for volume in (plan.watering.estimated, plan.watering.allowance):
        assert show(volume, "m3.garden", "us") in line


def test_owner_and_crew_read_no_key_of_the_job_and_no_command_in_their_planting_papers(worked):
    plan = worked("bracken-bank")
    said = " ".join(str(b) for s in planting_sheets(plan) for b in s.blocks)
    assert "No latitude is given: 40" in said
    assert "No wish is given: a mixed garden" in said
    for word in ("site.latitude", "planting.entry", "[[wish]]", "`hillwright"):
        assert word not in said


def test_the_safety_sheet_says_nothing_of_contracts(worked):
    said = " ".join(str(b) for s in safety_sheets(worked("bracken-bank")) for b in s.blocks)
    assert "licence board" not in said
    assert "buried lines" in said
