"""Drains: sized for their water, laid along the contour, counted, and let out downhill only."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hillside import hill
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.estimate.drainage import drain_lines
from hillwright.job.ground import SoilText
from hillwright.job.rainread import RainFiles
from hillwright.job.water import Drains, Rain
from hillwright.runoff.apron import stone_apron
from hillwright.runoff.channels import normal_flow
from hillwright.runoff.drainlines import bed_of, crest_line, on_contour, toe_line
from hillwright.runoff.drains import lay_drains
from hillwright.runoff.stage import where_rain_goes
from hillwright.terrain.heightfield import HeightField, Window


def drained(outlet=None, area="2000 ft2", ground=None, **asked):
    surface, layout = hill(above=3.0)
    if ground is not None:
        field = surface.ground
        surface.ground = HeightField.sample(ground, field.window)
    found = where_rain_goes(
        surface, layout, SoilText(), Rain(water_from_above=area), "when needed", RainFiles()
    )
    return layout, surface, lay_drains(surface, layout, found, Drains(**asked), outlet), found


def test_both_drains_carry_their_water_and_their_lining_stands_it():
    _, _, drainage, found = drained()
    assert [d.key for d in drainage.drains] == ["crest", "toe"]
    assert drainage.drains[0].flow == pytest.approx(found.above.peak)
    peaks = [s.peak for s in found.states[1:]] + [found.storm.rows.peak]
    assert drainage.drains[1].flow >= max(peaks)
    for d in drainage.drains:
        assert d.ditch.velocity <= d.ditch.velocity_limit
        assert d.ditch.shear <= d.ditch.shear_limit
        full = d.ditch.depth + d.ditch.freeboard
        room = normal_flow(2 * d.flow, d.ditch.bottom_width, 2.0, 0.05, d.gradient).depth
        assert room < full


def test_no_drain_is_dug_above_row_1_where_little_comes():
    assert [d.key for d in drained(area="20 ft2")[2].drains] == ["toe"]


def test_drains_keep_clear_of_the_cells_on_their_own_side():
    layout, _, drainage, _ = drained()
    crest, toe = drainage.drains
    assert crest.line[:, 1].min() - crest.ditch.top_width / 2 > layout.corners[..., 1].max()
    assert toe.line[:, 1].max() + toe.ditch.top_width / 2 < layout.corners[..., 1].min()
    for d in (crest, toe):
        assert np.ptp(d.line[:, 0]) > np.ptp(layout.corners[..., 0])


def test_a_ditch_on_a_plane_is_no_deeper_than_it_must_be():
    # the ground falls straight across the rows: a line that falls by 2 % along it needs no digging
    _, _, drainage, _ = drained()
    for d in drainage.drains:
        least = d.ditch.depth + d.ditch.freeboard
        assert d.deepest == pytest.approx(least, abs=0.02)
        assert d.steepest == pytest.approx(0.02, abs=0.002)
        assert d.drop == pytest.approx(0.02 * d.length, rel=0.05)
        section = (d.ditch.bottom_width + 2 * least) * least
        assert d.dug == pytest.approx(section * d.length, rel=0.1)


@given(wave=st.floats(0, 0.6), gradient=st.floats(0.005, 0.1), depth=st.floats(0.1, 0.5))
def test_a_bed_always_falls_and_never_lies_above_its_least_depth(wave, gradient, depth):
    window = Window(-1.0, -1.0, 0.2, 60, 30)
    ground = HeightField.sample(lambda x, y: 0.4 * y + wave * np.sin(x), window)
    line = np.array([[0.0, 1.0], [5.0, 1.2], [9.0, 1.0]])
    bed = bed_of(line, ground, gradient, depth)
    falls = -np.diff(bed.bed) / np.diff(bed.along)
    assert (falls >= gradient - 1e-9).all()
    assert (falls <= max(2.5 * gradient, 0.05) + 1e-9).all()
    assert (bed.cut >= depth - 1e-9).all()
    assert bed.cut.min() == pytest.approx(depth)


def test_on_a_cone_a_ditch_bends_with_the_contour():
    window = Window(-12.0, 0.0, 0.1, 240, 130)
    cone = HeightField.sample(lambda x, y: -0.5 * np.hypot(x, y - 14.0), window)
    line = np.array([[-4.0, 6.0], [4.0, 6.0]])
    moved = on_contour(line, np.array([0.0, 1.0]), cone, 1e-6)
    radius = np.hypot(moved[:, 0], moved[:, 1] - 14.0)
    assert radius == pytest.approx(np.full(len(radius), 8.0), abs=0.02)


def test_the_lines_of_drains_follow_the_rows_from_left_to_right():
    _, layout = hill()
    for line in (crest_line(layout, 0.4), toe_line(layout, 0.4)):
        assert (np.diff(line[:, 0]) > 0).all()


def test_the_way_to_the_outlet_is_a_pipe_where_it_is_steep_and_a_ditch_where_it_is_not():
    low = np.array([6.0, -4.2])
    _, surface, drainage, _ = drained(outlet=low)
    crest, toe = drainage.drains
    assert crest.lead.kind == "pipe"
    assert crest.lead.gradient > 0.25
    assert crest.end == toe.end == "right"
    fall = float(
        surface.ground.at(*crest.line[-1:].T)[0][0] - surface.ground.at(*low[None].T)[0][0]
    )
    run = float(np.hypot(*(low - crest.line[-1])))
    assert crest.lead.gradient == pytest.approx(fall / run)
    assert any("pipe" in line.item for line in drain_lines(drainage))
    gentle = drained(outlet=np.array([5.9, -4.0]), ground=lambda x, y: 0.12 * y + 0 * x)[2]
    assert gentle.drains[1].lead is None or gentle.drains[1].lead.kind == "ditch"


def test_an_outlet_above_the_crest_drain_is_refused_and_one_above_the_toe_told():
    with pytest.raises(OutOfRange, match="water runs down") as told:
        drained(outlet=np.array([2.0, 2.9]))
    assert told.value.problems[0].where == "drains.outlet"
    _, _, drainage, _ = drained(outlet=np.array([2.0, 0.2]), area="20 ft2")
    assert any("needs a lower place of its own" in w for w in drainage.warnings)


def test_without_an_outlet_the_plan_says_that_it_must_be_found():
    assert any("drains.outlet" in w for w in drained()[2].warnings)
    assert not any("drains.outlet" in w for w in drained(outlet=np.array([6.0, -4.2]))[2].warnings)


@pytest.mark.parametrize(
    ("asked", "where"),
    [
        ({"lining": "straw bales"}, "drains.lining"),
        ({"slope": "12 %", "lining": "riprap 6 in"}, "drains.slope"),
    ],
)
def test_a_drain_that_cannot_be_is_told_at_its_key(asked, where):
    with pytest.raises(OutOfRange) as told:
        drained(**asked)
    assert told.value.problems[0].where == where


def test_what_drains_take_is_counted():
    _, _, drainage, _ = drained()
    lines = {line.item: line for line in drain_lines(drainage)}
    for d in drainage.drains:
        assert lines[f"{d.name}, ditch"].count == pytest.approx(d.length)
        side = 2 * math.hypot(1, 2) * (d.ditch.depth + d.ditch.freeboard)
        area = (d.ditch.bottom_width + side) * d.length
        assert lines[f"{d.name}, lining"].count == pytest.approx(area)
        assert lines[f"{d.name}, stones at its end"].count > 0
        assert {lines[f"{d.name}, {x}"].unit for x in ("ditch", "lining")} == {"m", "m2"}


# HEC-14 3rd ed., eq. 10.4 by hand: D = 1.5 m, Q = 2.33 m3/s, tailwater under 0.4 D:
# 0.2 * 1.5 * (2.33 / (9.81^0.5 * 1.5^2.5))^(4/3) * 2.5 = 0.131 m
def test_stones_are_as_the_equation_says():
    found = stone_apron(2.33, 1.5, 0.5)
    assert float(found.stone) == pytest.approx(0.131, abs=0.001)
    assert float(found.median) == 0.150
    assert float(found.length) == pytest.approx(6.0)
    assert float(found.end_width) == pytest.approx(8.5)
    with pytest.raises(OutOfRange, match="ask an engineer"):
        stone_apron(30.0, 1.5)


@given(st.floats(1e-3, 1.0), st.floats(1e-3, 1.0), st.floats(0.1, 1.0))
def test_more_water_never_takes_smaller_stones(a, b, rise):
    less, more = sorted((a, b))
    try:
        large = stone_apron(more, rise)
    except OutOfRange:
        return
    assert stone_apron(less, rise).median <= large.median


def test_a_hill_without_cells_has_no_drains():
    surface, layout = hill()
    empty = SimpleNamespace(**{**vars(layout), "row": layout.row[:0]})
    assert lay_drains(surface, empty, None, Drains(), None).drains == ()
