"""The stage: a plane hill whose factors are known in closed form, and what holds its cells."""

import math
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))
from laid import site_with
from planes import STRONG, holding, plane, seen, soil

from hillwright.errors import OutOfRange
from hillwright.fill.stage import fill_cells
from hillwright.job.ground import SoilText
from hillwright.job.planting_soil import FillText
from hillwright.stability.clipload import clip_loads
from hillwright.stability.hang import hang
from hillwright.stability.stage import assess

DEG = math.radians
GENTLE, STEEP = DEG(12), DEG(30)


def judge(slope=STEEP, ground=None, holds=None, reply="no", **where):
    return assess(*plane(slope, **where), ground or soil(), seen(reply), holds or holding(**STRONG))


# --- the layer


def test_bare_ground_has_the_factor_of_the_closed_form_everywhere():
    found = judge()
    b, c, z, p = STEEP, 6e3, 1.0, math.tan(DEG(33))
    dry = c / (18e3 * z * math.sin(b) * math.cos(b)) + p / math.tan(b)
    wet = (c + (20e3 - 9810) * z * math.cos(b) ** 2 * p) / (20e3 * z * math.sin(b) * math.cos(b))
    assert found.map.bare[0] == pytest.approx(np.full(len(found.map.xy), dry), rel=1e-6)
    assert found.map.bare[1] == pytest.approx(np.full(len(found.map.xy), wet), rel=1e-6)


def test_soaked_cells_press_with_their_water_as_deep_as_it_stands_over_the_plane():
    # fill of the same weight as the soil: a layer that is deeper by the fill's upright thickness
    same = holding(mix_dry="18 kN/m3", mix_soaked="20 kN/m3", **STRONG)
    found = judge(holds=same)
    m, b, p = found.map, STEEP, math.tan(DEG(33))
    z, box = 1.0 + 0.2 / math.cos(b), 5.0 * 9.80665 / (0.6 * 0.45) / math.cos(b)
    weight, pore = 20e3 * z + box, 9810 * z * math.cos(b) ** 2
    factor = (6e3 + (weight * math.cos(b) ** 2 - pore) * p) / (weight * math.sin(b) * math.cos(b))
    assert m.filled[1, m.loaded] == pytest.approx(np.full(m.loaded.sum(), factor), rel=1e-6)
    assert (m.filled[1, ~m.loaded] == m.bare[1, ~m.loaded]).all()


def test_places_under_cells_are_those_that_are_loaded():
    mask = np.ones((6, 5), bool)
    mask[2:4, 1:3] = False
    found = judge(mask=mask)
    x, y = found.map.xy.T
    d = 0.45 * math.cos(STEEP)
    hole = (x > 0.6) & (x < 3 * 0.6) & (y < -2 * d) & (y > -4 * d)
    block = (x > 0) & (x < 5 * 0.6) & (y < 0) & (y > -6 * d)
    assert (found.map.loaded == (block & ~hole)).all()
    assert hole.any()


def test_soaked_half_way_lies_between_dry_and_full_and_the_cells_water_runs_off():
    dry, half, full = (
        judge(ground=soil(soaked=s)).map.filled[1].min() for s in ("0 %", "50 %", "100 %")
    )
    assert dry > half > full


def test_an_earthquake_is_looked_at_where_the_job_gives_one():
    still, shaken = judge(), judge(ground=soil(earthquake=0.2))
    assert not any("earthquake" in row.what for row in still.slope_checks)
    rows = [row for row in shaken.slope_checks if "earthquake" in row.what]
    assert {row.required for row in rows} == {1.1}
    assert len(rows) == 2  # the layer, and the circle of the weakest section
    assert shaken.map.filled[2].min() < still.map.filled[1].min()


def test_grown_roots_are_a_bonus_and_pass_no_check():
    found = judge(ground=soil(depth="0.5 m"))
    assert (found.map.rooted > found.map.filled[1]).all()
    assert not any("root" in row.what for row in found.slope_checks)


# --- circles


def test_the_circle_of_a_thin_layer_comes_near_the_infinite_slope_from_above():
    # a slope long against the depth: the ends of the circle hold a little more
    found = judge(slope=DEG(28), rows=30, ground=soil(cohesion="2 kPa", depth="0.8 m"))
    layer = found.map.filled[1].min()
    soaked = [c for c in found.circles if c.loaded]
    assert soaked
    for circle in soaked:
        assert layer * 0.99 < circle.factor < 2.0 * layer


def test_no_circle_crosses_into_firm_ground_that_was_found():
    known = judge()
    for circle in known.circles:
        assert circle.depth <= 1.0 + 1e-6
    deep = assess(*plane(STEEP, rows=20), soil(depth="1 m"), seen(), holding(**STRONG))
    nobody_dug = {"unit_weight": "18 kN/m3", "friction": "20 deg", "cohesion": "12 kPa"}
    unknown = SoilText.model_validate(nobody_dug)
    loose = assess(*plane(STEEP, rows=20), unknown, seen(), holding(**STRONG))
    assert max(c.depth for c in loose.circles) > 1.05
    assert max(c.depth for c in deep.circles) <= 1.0 + 1e-6
    assert any("depth of soil" in warning for warning in loose.warnings)


@pytest.mark.parametrize("turn", [0.7, math.pi, -2.0])
def test_a_hill_turned_on_the_map_has_the_same_factors(turn):
    one, other = judge(), judge(turn=turn)
    assert [c.factor for c in other.circles] == pytest.approx(
        [c.factor for c in one.circles], rel=2e-3
    )
    assert other.map.filled[1].min() == pytest.approx(one.map.filled[1].min(), rel=1e-6)
    assert other.anchoring.count.sum() == one.anchoring.count.sum()


@settings(deadline=None, max_examples=4)
@given(a=st.floats(8, 38), b=st.floats(8, 38))
def test_a_steeper_hill_is_never_safer_and_never_needs_fewer_bars(a, b):
    gentle, steep = (judge(slope=DEG(s), rows=3, columns=2) for s in sorted((a, b)))
    assert steep.map.filled[1].min() <= gentle.map.filled[1].min() * (1 + 1e-9)
    assert steep.anchoring.pull[2].max() >= gentle.anchoring.pull[2].max() - 1e-9


# --- the verdict


def test_a_gentle_strong_hill_with_tested_bars_is_cleared_with_measures():
    strong = soil(cohesion="15 kPa")
    found = judge(slope=GENTLE, ground=strong)
    assert found.hill == ()
    assert found.hill_verdict == "clear"
    assert found.grid_verdict == "with measures"


def test_a_factor_below_the_required_one_stops_and_names_the_engineer():
    found = judge(ground=soil(cohesion="0 kPa"))
    assert found.hill_verdict == "stop"
    assert found.grid_verdict == "stop"
    assert "geotechnical engineer" in found.hill[0].who
    assert "below 1.5" in found.hill[0].condition


def test_soil_that_nobody_named_stops_whatever_its_factors_are():
    nobody = SoilText.model_validate({"depth": "1 m"})
    found = judge(slope=DEG(3), ground=nobody)
    assert found.hill_verdict == "stop"
    assert "nobody has said what the soil is" in found.hill[0].condition
    assert found.soil == ""


@pytest.mark.parametrize("reply", ["yes", "unknown"])
def test_one_thing_on_the_checklist_stops_a_hill_that_stands(reply):
    found = judge(slope=GENTLE, ground=soil(cohesion="15 kPa"), reply=reply)
    assert found.hill == ()
    assert found.hill_verdict == "stop"


def test_a_hill_that_slides_on_paper_and_stands_in_fact_is_said_to_be_stronger():
    found = judge(slope=DEG(36), ground=soil(cohesion="0 kPa"))
    assert any("It stands, so its soil is stronger" in warning for warning in found.warnings)
    assert not any("It stands" in warning for warning in judge(slope=GENTLE).warnings)


# --- what the cells hang from


def test_bars_and_clips_have_what_they_need_row_by_row():
    surface, layout = plane(STEEP, rows=9)
    found = assess(surface, layout, soil(), seen(), holding(**STRONG))
    bars = found.anchoring
    loads = clip_loads(layout.row, layout.number, layout.clips, bars.hangs, bars.pull)
    assert loads.pair.max() <= 4000.0 * 2 / 2 * (1 + 1e-9)  # two clips of 4 kN, factor 2
    assert (bars.held == loads.anchor.max(axis=0)).all()
    assert ((bars.count > 0) == bars.hangs).all()
    per_bar = bars.held[bars.hangs] / bars.count[bars.hangs]
    assert per_bar.max() * 2 <= 6000 * (1 + 1e-9)  # the tested pull, factor 2
    assert all(row.passed for row in found.grid_checks if "anchor" in row.what)


def test_what_the_cells_hold_decides_what_they_pull_with():
    surface, layout = plane(STEEP)
    n = len(layout.row)
    full = assess(surface, layout, soil(), seen(), holding(**STRONG))
    half = np.where(layout.row == 2, 0.0, 1.0)
    fill = fill_cells(layout, surface, site_with(surface.outline), FillText(), fullness=half)
    found = assess(surface, layout, soil(), seen(), holding(**STRONG), fill)
    weight = fill.saturated * 9.80665 + 5.0 * 9.80665
    assert found.anchoring.weight[2] == pytest.approx(weight, rel=1e-9)
    assert (found.anchoring.pull[2, layout.row == 2] < 30).all()  # an empty box
    assert found.anchoring.pull[2].max() <= full.anchoring.pull[2].max()
    assert n == len(fill.settled)


def test_soil_that_was_weighed_overrides_its_mix():
    surface, layout = plane(STEEP)
    fill = fill_cells(layout, surface, site_with(surface.outline), FillText())
    weighed = holding(mix_soaked="12 kN/m3", mix_dry="9 kN/m3", **STRONG)
    found = assess(surface, layout, soil(), seen(), weighed, fill)
    volume = fill.settled + fill.mulch
    assert found.anchoring.weight[2] == pytest.approx(volume * 12e3 + 5 * 9.80665, rel=1e-9)


def test_cells_that_all_stay_empty_pull_with_their_boxes_alone():
    surface, layout = plane(STEEP)
    none = np.zeros(len(layout.row))
    fill = fill_cells(layout, surface, site_with(surface.outline), FillText(), fullness=none)
    found = assess(surface, layout, soil(), seen(), holding(**STRONG), fill)
    weight = found.anchoring.weight
    assert weight == pytest.approx(np.full(weight.shape, 5 * 9.80665))
    assert not any("bottom row" in row.what for row in found.grid_checks)


def test_a_hill_that_is_part_filled_in_any_order_is_held():
    # the top cell pulls more empty than filled, as a light mix on rough ground may
    _, layout = plane(STEEP, rows=2, columns=1)
    pull = np.array([[5.0, 1.0], [0.0, 9.0]])  # empty, filled
    found = hang(layout, pull, layout.row == 1, 1e9, 1e9)
    assert found.held.tolist() == [14.0, 0.0]  # the top one empty, the lower one filled
    assert found.pair.tolist() == [9.0]


def test_each_bar_stands_on_the_upper_edge_of_its_cell():
    surface, layout = plane(STEEP)
    bars = assess(surface, layout, soil(), seen(), holding(**STRONG)).anchoring
    assert len(bars.place) == bars.count.sum()
    left, right = (layout.corners[bars.place_cell, k] for k in (0, 1))
    run, off = right - left, bars.place - left
    along = (off * run).sum(axis=1) / (run * run).sum(axis=1)
    assert ((along > 0) & (along < 1)).all()
    assert off == pytest.approx(along[:, None] * run, abs=1e-9)


def test_a_cell_with_nothing_above_hangs_from_its_own_bars():
    mask = [[0, 1, 1], [1, 1, 1], [1, 1, 1]]
    surface, layout = plane(STEEP, mask=mask)
    found = assess(surface, layout, soil(), seen(), holding(**STRONG))
    alone = (layout.row == 2) & (layout.number == 1)
    assert found.anchoring.hangs[alone].all()


def test_stronger_clips_let_more_rows_hang_by_them():
    weak, strong = (
        judge(rows=12, holds=holding(**(STRONG | {"clip_strength": s}))) for s in ("1 kN", "8 kN")
    )
    assert len(strong.anchoring.staked_rows) < len(weak.anchoring.staked_rows)


def test_untested_bars_are_chosen_subject_to_a_pull_test_that_is_named():
    found = judge(holds=holding())
    bars = found.anchoring
    assert bars.adequate
    per_bar = (bars.held[bars.hangs] / bars.count[bars.hangs]).max()
    assert bars.test_load >= 2 * per_bar * (1 - 1e-9)
    assert bars.by_rule < bars.test_load / 2
    assert "pull-test No." in found.measures[0]
    assert f"{bars.test_load:.0f} N" in found.measures[0]


@pytest.mark.parametrize("steel", ["galvanised", "plain"])
@pytest.mark.parametrize("bars", [["#3", "#4"], ["#5"], ["#4", "#5", "#6"]])
def test_the_asked_test_made_and_written_down_gives_the_same_bars_back(steel, bars):
    rest = {"steel": steel, "bars": bars, "life": "80 years"}
    asked = judge(rows=9, slope=DEG(34), holds=holding(**rest)).anchoring
    assert asked.test_load > 0
    printed = math.floor(asked.test_load / 10) * 10  # to the hundredth of a kilonewton
    made = {
        "tested_pull": f"{printed} N",
        "tested_bar": f"#{asked.bar}",
        "tested_depth": f"{asked.length} m",
    }
    again = judge(rows=9, slope=DEG(34), holds=holding(**rest, **made))
    assert again.anchoring.test_load == 0
    assert again.anchoring.bar == asked.bar
    assert (again.anchoring.count == asked.count).all()
    assert all(row.passed for row in again.grid_checks if row.what.startswith("anchor"))


@pytest.mark.parametrize("degrees", [10, 13, 15, 17, 19])
def test_a_gentle_hill_is_not_given_more_bars_than_a_steep_one(degrees):
    gentle = judge(slope=DEG(degrees), rows=8, holds=holding()).anchoring
    steep = judge(slope=DEG(30), rows=8, holds=holding()).anchoring
    assert gentle.count.sum() <= steep.count.sum()


def test_an_earthquake_pulls_harder_and_is_held_at_three_quarters():
    still = judge(rows=8)
    shaken = judge(rows=8, ground=soil(earthquake=0.3))
    assert shaken.anchoring.pull[3].max() > 1.5 * still.anchoring.pull[2].max()
    assert (still.anchoring.pull[3] == still.anchoring.pull[2]).all()
    # W (sin b + kh cos b) - (W (cos b - kh sin b) - u) tan d, by hand for one cell
    weight, b, kh = shaken.anchoring.weight[2, 0], STEEP, 0.3
    water = 9810 * 0.2 * math.cos(b) * 0.6 * 0.45
    by = {w.figure: w for w in shaken.workings}
    d = next(n.value for n in by["stability.pull.shaken"].given if n.name == "interface_friction")
    pressing = weight * (math.cos(b) - kh * math.sin(b)) - water
    pull = weight * (math.sin(b) + kh * math.cos(b)) - pressing * math.tan(d)
    assert shaken.anchoring.pull[3, 0] == pytest.approx(pull, rel=1e-9)
    assert shaken.anchoring.held.max() >= 0.75 * pull * (1 - 1e-9)
    assert any("earthquake" in said for said in shaken.measures)


def test_a_chance_that_is_too_high_stops_though_the_likeliest_soil_holds():
    wide = soil(cohesion=["0 kPa", "9 kPa", "10 kPa"], friction=["10 deg", "36 deg", "37 deg"])
    found = judge(slope=DEG(24), ground=wide)
    assert found.map.filled[1].min() >= 1.5
    assert any("chance" in reason.condition and reason.verdict == "stop" for reason in found.hill)
    narrow = soil(cohesion=["8 kPa", "9 kPa", "10 kPa"], friction=["35 deg", "36 deg", "37 deg"])
    assert not any("chance" in r.condition for r in judge(slope=DEG(24), ground=narrow).hill)


def test_what_was_seen_on_the_site_stops_the_grid_too():
    assert judge(slope=GENTLE, ground=soil(cohesion="15 kPa"), reply="yes").grid_verdict == "stop"


def test_every_check_of_the_grid_that_fails_has_its_measure():
    for slope in (DEG(8), DEG(20), DEG(34)):
        found = judge(slope=slope, ground=soil(cohesion="30 kPa"), holds=holding())
        said = " ".join(found.measures)
        for row in found.grid_checks:
            if row.passed:
                continue
            words = {
                "with people": "nobody" if "nobody" in said else "no more than",
                "sliding": "stakes of its own",
                "overturning": "level bench",
                "bearing": "level bench",
            }
            told = [word for what, word in words.items() if what in row.what]
            assert told, row.what
            assert all(word.lower() in said.lower() for word in told), row.what


def test_a_share_of_water_that_is_less_than_all_is_said():
    assert any("60 %" in w for w in judge(ground=soil(soaked="60 %")).warnings)
    assert not any("Soaked is taken" in w for w in judge().warnings)


def test_a_test_that_showed_too_little_is_not_taken_for_enough():
    poor = holding(tested_pull="60 N", tested_bar="#4", tested_depth="0.3 m")
    found = judge(holds=poor)
    assert found.anchoring.test_load > 60
    assert "is not enough" in found.measures[0]


def test_no_bar_that_holds_one_cell_is_a_stop():
    feeble = holding(clip_strength="6 N", bars=["#3"])
    found = judge(slope=DEG(25), ground=soil(cohesion="40 kPa"), holds=feeble)
    assert found.hill_verdict == "with measures"  # the slope alone
    assert not found.anchoring.adequate
    assert any("no bar of the list" in reason.condition for reason in found.grid)
    assert "holding.clip_strength" in found.grid[0].condition  # what is too weak
    assert found.grid_verdict == "stop"
    assert found.anchoring.count.sum() == 0  # nothing to order that would not hold


def test_the_bottom_row_gets_stakes_where_it_would_not_hold_itself():
    surface, layout = plane(STEEP)
    found = assess(surface, layout, soil(), seen(), holding(**STRONG))
    assert found.anchoring.hangs[layout.row == layout.rows].all()
    assert any("bottom row would not hold itself" in said for said in found.measures)
    level = plane(DEG(4))
    rest = assess(*level, soil(), seen(), holding(**STRONG))
    assert not rest.anchoring.hangs[level[1].row == level[1].rows].any()


def test_a_wall_is_checked_where_its_strength_is_known_and_asked_for_where_not():
    unknown = judge()
    assert any("Ask the maker" in said for said in unknown.measures)
    thick, thin = (
        judge(holds=holding(wall_thickness=t, wall_strength="20 MPa", **STRONG))
        for t in ("30 mm", "1 mm")
    )
    for found, passes in ((thick, True), (thin, False)):
        row = next(r for r in found.grid_checks if r.what.startswith("downhill wall"))
        assert row.passed == passes
        assert any("too weak" in said for said in found.measures) == (not passes)


def test_a_layout_without_a_cell_holds_nothing_and_still_judges_the_hill():
    surface, layout = plane(STEEP, mask=np.zeros((3, 3), bool))
    found = assess(surface, layout, soil(cohesion="0 kPa"), seen(), holding())
    assert found.hill_verdict == "stop"
    assert found.anchoring.count.size == 0
    assert found.measures == ()


# --- wrong input: each its own message


@pytest.mark.parametrize(
    ("keys", "where", "what"),
    [
        ({"name": "lose sand"}, "soil.name", "is not a soil of the tables"),
        ({"uscs": "SMX"}, "soil.uscs", "is not a USCS class"),
        ({"texture": "sandy lome"}, "soil.texture", "is not a soil of the tables"),
    ],
)
def test_a_soil_that_no_table_has_is_named_by_its_key(keys, where, what):
    with pytest.raises(OutOfRange) as caught:
        judge(ground=SoilText.model_validate(keys))
    (problem,) = caught.value.problems
    assert problem.where == where
    assert what in problem.what
    assert problem.right


def test_every_working_of_the_stage_gives_what_the_stage_says():
    found = judge()
    by = {w.figure: w for w in found.workings}
    assert len(by) == len(found.workings)
    assert by["stability.slope.cells.soaked"].result.value == found.map.filled[1].min()
    assert by["stability.bars"].result.value == found.anchoring.count.sum()
    for working in found.workings:
        filled = working.with_units()
        assert all(n.unit not in ("", "any") for n in (*filled.given, filled.result))


def test_people_are_held_against_the_rows_that_have_walking_cells():
    place = (*plane(DEG(34)), soil(cohesion="30 kPa"), seen("no"), holding())
    layout = place[1]
    anywhere, low, top = (assess(*place, None, rows) for rows in ((), (1, layout.rows), (1,)))

    def load(found):
        what = "clips of a pair, filled, with people"
        return next((r.demand for r in found.grid_checks if r.what == what), 0.0)

    assert load(low) == load(anywhere)
    assert load(top) < load(anywhere)
    assert any(f"walking cells in 2 rows (1, {layout.rows})" in m for m in low.measures)
    assert not any("walking cells" in m for m in anywhere.measures)
