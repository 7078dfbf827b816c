"""Ways to haul against closed forms, and the whole stage on cells of known ground."""

import dataclasses
import math
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.crew.handstage import carry
from hillwright.crew.haul import Haul, haul_of
from hillwright.crew.haulways import (
    WAYS,
    Setting,
    best,
    carried_pace,
    compare,
    shovel_rate,
)
from hillwright.crew.lifting import lift_limit
from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.fill.stage import fill_cells
from hillwright.job.carrying import CarryText
from hillwright.job.planting_soil import FillText
from hillwright.layout.setout import set_out

sys.path.insert(0, str(Path(__file__).parents[1] / "layout"))
from hills import plane
from laid import lay, rectangle, site_with, surface_of

SETTING = Setting(8, 0.0189, 1.0, "long", 0.085, 0.0, 0.0, 0.0, WAYS)
HAUL = Haul(5.0, 5500.0, 1100.0, 12.0, 20.0, 6.0, 9.0, math.radians(30))
SLOPE = math.radians(30)
GROUND = plane(0.0, math.tan(SLOPE))


def ways(haul=HAUL, **changed):
    found = compare(haul, dataclasses.replace(SETTING, **changed))
    return {w.name: w for w in found}


def test_the_haul_is_weighted_by_the_soil_that_goes_each_way():
    middles = np.array([[0.0, 3.0, 4.0], [0.0, 6.0, 8.0]])
    found = haul_of(middles, [1.0, 3.0], [1100.0, 3300.0], [0.0, 0.0, 0.0])
    assert found.distance == pytest.approx(0.25 * 5 + 0.75 * 10)
    assert found.rise == pytest.approx(7.0)
    assert (found.farthest, found.highest) == (10.0, 8.0)
    assert found.density == pytest.approx(1100.0)
    with pytest.raises(OutOfRange, match="there is no soil to carry"):
        haul_of(middles, [0.0, 0.0], [0.0, 0.0], [0.0, 0.0, 0.0])


def test_all_ways_are_told_and_each_that_is_not_possible_says_why():
    found = ways()
    assert tuple(found) == WAYS
    for way in found.values():
        assert way.why
        if way.possible:
            assert way.time == pytest.approx(HAUL.volume / way.rate)
            assert way.person_time == pytest.approx(way.time * way.people)
        else:
            assert math.isnan(way.rate)
    assert not found["wheelbarrow"].possible  # 30 deg
    assert not found["conveyor"].possible  # 20 m to the farthest cell


def test_a_brigade_carries_what_its_pace_allows_by_the_lifting_equation():
    way = ways()["bucket brigade"]
    limit = lift_limit(0.35, 0.75, 0.5, math.radians(45), way.pace, "long", "fair").limit
    assert way.load + 1.0 == pytest.approx(float(limit))
    # no other whole pace a minute brings more up
    for per_min in range(1, 13):
        f = per_min / 60
        other = float(lift_limit(0.35, 0.75, 0.5, math.radians(45), f, "long", "fair").limit) - 1
        assert f * max(other, 0.0) <= way.pace * way.load * (1 + 1e-9)


def test_a_timed_brigade_is_no_faster_than_it_was_timed():
    slow = ways(cycle=60.0)["bucket brigade"]
    assert slow.pace == pytest.approx(1 / 60)
    assert slow.rate < ways()["bucket brigade"].rate


def test_a_timed_round_replaces_the_reckoned_one():
    way = ways(trip=120.0)["carried buckets"]
    loaders = way.people - round(way.rate * 120.0 / way.volume)
    assert way.rate <= (way.people - 1) * way.volume / 120.0 + 1e-12
    assert loaders >= 1


@given(st.floats(2, 60), st.floats(0.02, 0.9), st.integers(1, 20))
def test_nothing_that_is_possible_takes_no_time_or_nobody(distance, slope, people):
    rise = distance * math.sin(slope)
    haul = Haul(5.0, 5500.0, 1100.0, distance, 1.5 * distance, rise, 1.5 * rise, slope)
    for way in ways(haul, people=people).values():
        if way.possible:
            assert way.rate > 0
            assert way.people >= 1
            assert way.rate <= max(way.people * shovel_rate(), 15 / 3600) + 1e-9


def test_a_ramp_makes_the_barrow_possible_and_a_steep_one_does_not():
    assert ways(ramp=math.atan(0.1))["wheelbarrow"].possible
    assert not ways(ramp=math.radians(15))["wheelbarrow"].possible


def test_soil_above_the_cells_needs_no_hoist():
    down = HAUL._replace(rise=-6.0, highest=-2.0, slope=-HAUL.slope)
    assert not ways(down)["rope hoist"].possible
    assert ways(down)["carried buckets"].possible


def test_the_best_way_is_one_that_can_be_had():
    found = compare(HAUL, SETTING)
    assert best(found, ("wheelbarrow",)) == -1
    chosen = found[best(found, WAYS)]
    assert chosen.person_time == min(w.person_time for w in found if w.possible)
    assert found[best(found, ("bucket brigade",))].name == "bucket brigade"


def staged(text=None, mask=(4, 6), **fill_keys):
    layout = lay(np.ones(mask, bool), GROUND, SLOPE)
    outline = rectangle(*mask, SLOPE)
    surface, site = surface_of(GROUND, outline), site_with(outline)
    setout = set_out(layout, surface, site, 0.001)
    fill = fill_cells(layout, surface, site, FillText(**fill_keys))
    found = carry(layout, surface, setout, fill, text or CarryText(), None, site.frame)
    return layout, found


def test_the_pile_lies_at_the_foot_and_every_figure_has_its_working():
    layout, found = staged()
    assert found.pile[2] < layout.corners[..., 2].min()
    assert found.rise > 0
    figures = [w.figure for w in found.workings]
    assert len(set(figures)) == len(figures)
    for working in found.workings:
        filled = working.with_units()
        assert all(n.unit not in ("", "any") for n in (*filled.given, filled.result))


def test_rows_go_up_in_lifts_that_the_crew_can_drag_from_the_top_down():
    _, found = staged(CarryText(people=4))
    rows = [r for lift in found.lifts for r in lift.rows]
    assert rows == [f"R{k:02d}" for k in range(1, 5)]
    assert all(lift.people <= 4 for lift in found.lifts)
    _, alone = staged(CarryText(people=1))
    assert alone.singles == tuple(rows)
    assert any("cannot be dragged up whole" in w for w in alone.warnings)


def test_less_friction_makes_fewer_lifts():
    _, rough = staged(CarryText(people=6, drag_friction=0.9))
    _, smooth = staged(CarryText(people=6, drag_friction=0.1))
    assert len(smooth.lifts) <= len(rough.lifts)
    assert smooth.practice_pull < rough.practice_pull


def test_heat_is_reckoned_only_where_the_job_names_it():
    assert staged()[1].heat is None
    hot = staged(CarryText(temperature="95 degF", humidity="60 %"))[1].heat
    assert hot.band == "danger"
    assert hot.work < 3600
    assert any("3395" in duty and "high-heat" in duty for duty in hot.duties)
    assert any("heat index" not in duty or "90" not in duty for duty in hot.duties)


def test_a_hill_without_soil_still_has_its_rows_to_drag():
    _, found = staged(mask=(2, 3), soil_depth="0.5 in", mulch="0 in")
    assert found.lifts
    layout = lay(np.zeros((1, 1), bool), GROUND, SLOPE)
    outline = rectangle(2, 2, SLOPE)
    surface, site = surface_of(GROUND, outline), site_with(outline)
    setout = set_out(layout, surface, site, 0.001)
    fill = fill_cells(layout, surface, site, FillText())
    empty = carry(layout, surface, setout, fill, CarryText())
    assert (empty.ways, empty.lifts, empty.best) == ((), (), -1)
    assert empty.cautions


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("people = 0", "carry.people: 0 is too small; write 1 or more"),
        ("ways = []", 'carry.ways: names no way; name at least one, as ["bucket brigade"]'),
        ('ways = ["brigade"]', "carry.ways[1]"),
        ('bucket = "0 gal"', "carry.bucket"),
        ('brigade_cycle = "0 s"', "carry.brigade_cycle"),
        ("drag_friction = 0", "carry.drag_friction"),
        ('humidity = "50 %"', "carry.humidity: there is no temperature with it"),
        ('temperature = "90 degF"', "carry.temperature: there is no humidity with it"),
        ('temperature = "90 F"\nhumidity = "50 %"', "carry.temperature"),
        ("temperature = 90\nhumidity = '50 %'", "carry.temperature: 90 has no unit"),
    ],
)
def test_hands_that_cannot_be_are_told_in_words(tmp_path, text, said):
    from hillwright.errors import JobError
    from hillwright.job.read import open_job

    (tmp_path / "s.csv").write_text("1,0,0,0\n")
    head = '[survey]\nkind = "points"\nfile = "s.csv"\n'
    (tmp_path / "hill.toml").write_text(f"{head}[carry]\n{text}\n")
    with pytest.raises(JobError) as told:
        open_job(tmp_path / "hill.toml")
    assert said in str(told.value)


def test_buckets_are_counted_level_and_to_the_line():
    _, found = staged()
    (mark,) = found.marks
    # within one bucket: both counts are rounded up
    assert mark.level_buckets - 1 < mark.carried_buckets * mark.carried < mark.level_buckets + 1
    _, small = staged(CarryText(bucket="1 gal"))
    assert small.marks[0].carried == 1.0
    assert small.marks[0].carried_buckets == small.marks[0].level_buckets


def test_the_fill_line_holds_at_the_pace_at_which_buckets_are_really_lifted():
    setting = SETTING
    for distance in (5.0, 40.0):
        haul = HAUL._replace(distance=distance, slope=math.radians(10))
        pace = carried_pace(haul, setting)
        way = next(w for w in compare(haul, setting) if w.name == "carried buckets")
        # the limit at that pace, for the bucket that is carried
        k = table("lifting")["posture"][1]
        limit = lift_limit(
            k["reach_cm"] / 100, k["height_cm"] / 100, k["travel_cm"] / 100, 0.0, pace,
            setting.duration, k["coupling"],
        ).limit  # fmt: skip
        assert way.load + setting.bucket_mass <= float(limit) * (1 + 1e-9)
    near, far = (
        carried_pace(HAUL._replace(distance=d, slope=math.radians(10)), setting)
        for d in (5.0, 40.0)
    )
    assert near > far  # a short way is walked more often
