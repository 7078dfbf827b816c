"""The whole room on cells of known ground: sums, mixes by row and cell, and what is warned of."""

import dataclasses
import math

import numpy as np
import pytest
from hills import plane
from laid import RUN, WIDTH, lay, rectangle, site_with, surface_of

from hillwright.errors import OutOfRange
from hillwright.fill.stage import fill_cells
from hillwright.job.planting_soil import FillText, MixText

SLOPE = math.radians(30)
GROUND = plane(0.0, math.tan(SLOPE))
MASK = np.ones((3, 4), bool)
LAYOUT = lay(MASK, GROUND, SLOPE)
OUTLINE = rectangle(3, 4, SLOPE)
HERBS = MixText(name="Herb mix", parts=(("topsoil", "60 %"), ("coarse sand", "40 %")), rows=(1, 3))


def filled(text=None, mixes=(), layout=LAYOUT, ground=GROUND, **more):
    return fill_cells(
        layout, surface_of(ground, OUTLINE), site_with(OUTLINE), text or FillText(), mixes, **more
    )


def middle(k):
    x, y = LAYOUT.corners[k, :, :2].mean(axis=0)
    return f"{x} m", f"{y} m"


def test_on_a_plane_every_cell_takes_the_same_and_the_sums_agree():
    found = filled(FillText(top="along the slope", freeboard="25 mm", mulch="50 mm"))
    assert found.settled == pytest.approx(WIDTH * RUN * 0.125, rel=1e-6)
    assert found.mulch == pytest.approx(WIDTH * RUN * 0.05, rel=1e-6)
    assert found.row_settled.sum() == pytest.approx(found.total_settled)
    assert found.total_settled == pytest.approx(sum(t.settled for t in found.totals))
    assert found.total_loose == pytest.approx(sum(t.loose for t in found.totals))
    assert found.brim == pytest.approx(12 * WIDTH * RUN * 0.2, rel=1e-6)
    assert found.dips.max() < 1e-9
    assert found.unsmoothed == pytest.approx(0.0, abs=1e-9)


def test_parts_are_what_is_ordered_before_it_shrinks_in_mixing():
    found = filled()
    t = found.totals[0]
    assert sum(v for _, v in t.parts) == pytest.approx(t.ordered / (1 - t.mix.mixing_loss))
    assert [p.name for p in found.parts] == [n for n, _ in t.parts]
    mass = sum(p.mass for p in found.parts)
    assert mass == pytest.approx(t.ordered * t.mix.loose_moist)


def test_rows_and_single_cells_take_their_own_mix():
    own = (HERBS, MixText(name="sand", parts=(("coarse sand", "100 %"),), cells=(middle(0),)))
    found = filled(FillText(mix="planting mix"), own)
    names = [found.mixes[i].name for i in found.mix]
    assert names == ["sand", *["Herb mix"] * 3, *["planting mix"] * 4, *["Herb mix"] * 4]
    assert {t.mix.name: t.cells for t in found.totals} == {
        "planting mix": 4,
        "Herb mix": 7,
        "sand": 1,
    }
    # topsoil goes into two mixes and is ordered once
    assert [p.name for p in found.parts].count("topsoil") == 1


def test_the_planting_says_mix_and_use_of_each_cell_and_the_job_overrides_single_ones():
    given = np.array([0, 1] * 6)
    full = np.linspace(0, 1, 12)
    found = filled(mix_of=given, fullness=full, names=("light mix", "dry mix"), mixes=(HERBS,))
    names = [found.mixes[i].name for i in found.mix]
    assert names[4:8] == ["light mix", "dry mix"] * 2
    assert set(names[:4]) == {"Herb mix"}
    assert found.settled[0] == 0.0
    assert np.all(np.diff(found.settled[4:8]) > 0)


def test_an_empty_cell_takes_nothing_and_a_half_full_one_less_than_half():
    text = FillText(empty=(middle(2),), part_full=((*middle(3), "50 %"),), top="level")
    found = filled(text)
    assert found.settled[2] == found.loose[2] == found.mulch[2] == found.saturated[2] == 0.0
    # a level wedge half as deep is a quarter of it
    assert found.settled[3] == pytest.approx(found.settled[0] / 4, rel=1e-3)


def test_only_what_is_left_of_a_trimmed_cell_is_filled():
    cut = np.zeros_like(MASK)
    cut[2, 3] = True
    layout = lay(MASK, GROUND, SLOPE, trimmed=cut)
    x = layout.corners[-1, :, 0].mean()
    outline = np.array([(-1, -9), (x, -9), (x, 1), (-1, 1)], float)
    surface = dataclasses.replace(surface_of(GROUND, OUTLINE), outline=outline)
    found = fill_cells(layout, surface, site_with(OUTLINE), FillText())
    assert found.share[-1] == pytest.approx(0.5)
    assert found.settled[-1] == pytest.approx(found.settled[0] / 2, rel=1e-6)


def test_a_measured_bucket_overrides_the_table():
    mix = MixText(name="weighed", parts=(("topsoil", "100 %"),), weight="80 lb/ft3")
    found = filled(mixes=(mix,)).mixes[0]
    assert found.weighed
    assert found.loose_moist == pytest.approx(80 * 16.018463, rel=1e-6)
    soaked = MixText(
        name="weighed", parts=(("topsoil", "100 %"),), soaked_weight="110 pcf", settlement="20 %"
    )
    found = filled(mixes=(soaked,)).mixes[0]
    assert found.saturated == pytest.approx(110 * 16.018463, rel=1e-6)
    assert found.settlement == pytest.approx(0.2)


def test_soil_that_is_dug_on_the_site_is_counted_in_the_ground():
    found = filled(FillText(mix="site soil with compost"))
    dug = next(p for p in found.parts if p.name == "site soil")
    assert dug.bank == pytest.approx(dug.loose / 1.25)
    assert (dug.bags, dug.trucks) == (0, 0)


def test_a_level_top_on_steep_ground_is_warned_of_and_so_is_one_too_steep():
    assert any("bare" in w for w in filled(FillText(top="level")).warnings)
    steep = math.radians(40)
    ground = plane(0.0, math.tan(steep))
    found = filled(FillText(top="along the slope"), layout=lay(MASK, ground, steep), ground=ground)
    assert any("up to 40 deg steep" in w for w in found.warnings)
    assert filled().warnings == ()


def test_every_figure_has_its_working_and_no_cell_has_none():
    figures = {w.figure for w in filled().workings}
    assert {"fill.settled", "fill.loose", "fill.ordered", "fill.cell.saturated"} <= figures
    nothing = lay(np.zeros((1, 1), bool), GROUND, SLOPE)
    assert filled(layout=nothing).workings == ()
    assert filled(layout=nothing).total_settled == 0.0


@pytest.mark.parametrize(
    ("text", "mixes", "said"),
    [
        ({"mix": "planting mx"}, (), "did you mean planting mix"),
        ({"mulch_kind": "wood chip"}, (), "did you mean wood chips"),
        ({"soil_depth": "7 in", "mulch": "2 in"}, (), "overfills the cell"),
        ({}, ({"parts": (("topsol", "100 %"),)},), "did you mean topsoil"),
        ({}, ({"rows": (9,)},), "is for row 9; the rows go from 1 to 3"),
        ({}, ({"weight": "25 kN/m3", "rows": (1,)},), "too heavy for its parts"),
        ({}, ({"soaked_weight": "4 kN/m3"},), "lighter than the same soil dried out"),
    ],
)
def test_what_nobody_knows_or_no_cell_holds_is_told_in_words(text, mixes, said):
    usual = {"name": "own", "parts": (("topsoil", "100 %"),)}
    with pytest.raises(OutOfRange, match=said):
        filled(FillText(**text), tuple(MixText(**(usual | m)) for m in mixes))


def test_several_wrong_mixes_are_told_together():
    wrong = tuple(
        MixText(name=n, parts=((n, "100 %"),), rows=(i,)) for i, n in ((1, "a"), (2, "b"))
    )
    with pytest.raises(OutOfRange) as told:
        filled(FillText(mix="nothing"), wrong)
    assert len(told.value.problems) == 3


def test_walls_of_known_thickness_leave_the_soil_less_room():
    text = FillText(top="along the slope", freeboard="25 mm", mulch="50 mm")
    found = filled(text, wall=0.01)
    assert found.settled == pytest.approx((WIDTH - 0.02) * (RUN - 0.02) * 0.125, rel=1e-6)
    assert found.area == pytest.approx((WIDTH - 0.02) * (RUN - 0.02), rel=1e-6)
    with pytest.raises(OutOfRange, match="leave no room"):
        filled(text, wall=0.3)
