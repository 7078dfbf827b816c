"""The stage: before and after on an invented slope, by hand where a hand can follow."""

import dataclasses
import math
from types import SimpleNamespace

import numpy as np
import pytest
from hillside import SLOPE, hill

from hillwright.errors import OutOfRange
from hillwright.job.ground import SoilText
from hillwright.job.rainevent import read_event
from hillwright.job.rainread import RainFiles
from hillwright.job.water import Rain
from hillwright.runoff.designrain import column, design_rain, hardest, rainfall_of, storm_of
from hillwright.runoff.hillsoil import hill_soil
from hillwright.runoff.soilloss import soil_loss
from hillwright.runoff.stage import where_rain_goes

INCH, FOOT, DAY = 0.0254, 0.3048, 86400.0
DEPTHS = [
    ["2 years", "24 h", "2.6 in"],
    ["10 years", "5 min", "0.42 in"],
    ["10 years", "60 min", "1.6 in"],
    ["10 years", "24 h", "4.1 in"],
]


def ran(soil=None, crest="when needed", files=None, shape=None, **rain):
    surface, layout = hill(**(shape or {}))
    rain.setdefault("depths", DEPTHS)
    return where_rain_goes(
        surface, layout, soil or SoilText(uscs="CL"), Rain(**rain), crest, files or RainFiles()
    )


def test_the_bare_hill_runs_off_by_its_curve_number():
    # TR-55 eq. 2-3 by hand: CN 94, S = 0.638 in, Q = (4.1 - 0.1277)^2 / (4.1 + 0.5106) = 3.422 in
    found = ran()
    bare = found.states[0]
    assert bare.curve_number[1] == 94
    assert bare.runoff[1] / INCH == pytest.approx(3.422, abs=0.002)
    assert bare.volume == pytest.approx(bare.runoff[1] * found.area)
    # TR-55 Table F-1: type II, Ia/P below 0.1, Tc 0.1 h: 1010 csm/in
    csm = bare.peak / found.area / bare.runoff[1] * (5280 * FOOT) ** 2 * INCH / FOOT**3
    assert csm == pytest.approx(1010, rel=0.02)
    # rational: 0.42 in in 5 minutes is 5.04 in/h; C 0.82 of cultivated tight clay, hilly
    assert bare.intensity / INCH * 3600 == pytest.approx(5.04, rel=1e-6)
    assert bare.rational == pytest.approx(0.82 * 5.04 * INCH / 3600 * found.area, rel=1e-6)


def test_the_soil_of_the_bare_hill_is_lost_by_hand_figures():
    found = ran(erosivity="100 us_R")
    bare = found.states[0]
    # R 100, K 0.30 of clay loam: 30 ton/acre times LS, C = P = 1
    tons = 30 * bare.ls[1] * found.area / (43560 * FOOT**2)
    assert bare.loss[1] / 907.18474 == pytest.approx(tons, rel=1e-6)
    assert bare.loss[0] < bare.loss[1] < bare.loss[2]


def test_rows_earn_their_slope_length_and_no_lower_curve_number():
    found = ran(erosivity="100 us_R")
    bare, built = found.states[:2]
    assert built.curve_number == bare.curve_number
    assert built.runoff == pytest.approx(bare.runoff)
    assert built.peak == pytest.approx(bare.peak)
    assert built.practice[1] == bare.practice[1] == 1.0
    assert built.cover[1] == bare.cover[1] == 1.0
    assert built.length == pytest.approx(0.45 / math.hypot(1, SLOPE), rel=1e-6)
    assert built.length < bare.length
    under = soil_loss(1.0, 1.0, built.ls[1], 1.0) / soil_loss(1.0, 1.0, bare.ls[1], 1.0)
    beside = 1 - found.cells / found.area
    whole = under * found.cells / found.area + beside
    assert built.loss[1] / bare.loss[1] == pytest.approx(whole, rel=1e-6)
    assert built.loss_beside == pytest.approx(beside * bare.loss[1], rel=1e-6)


def test_the_states_lose_ever_less_once_something_grows():
    losses = [s.loss[1] for s in ran(erosivity="100 us_R").states]
    assert losses == sorted(losses, reverse=True)


def test_the_storm_on_the_rows_keeps_every_drop():
    found = ran(shape={"above": 3.0}, crest="never")
    storm = found.storm
    assert storm.run_on > 0
    assert storm.balance < 1e-9
    assert found.leaves.sum() == pytest.approx(storm.rows.volume, rel=1e-9)
    assert len(storm.held) == len(storm.frame_time) <= 97


# refinement: a day in steps of 2 minutes against half a minute
def test_steps_of_two_minutes_tell_what_steps_of_half_a_one_do(monkeypatch):
    def finer(asked, rainfall):
        rain = design_rain(asked, rainfall)
        storm = storm_of(rain.durations, rain.depths, rain.shape, 2880)
        return dataclasses.replace(rain, time=storm.time, rain=storm.rain)

    coarse = ran()
    monkeypatch.setattr("hillwright.runoff.stage.design_rain", finer)
    fine = ran()
    assert (coarse.rain.step, fine.rain.step) == (120, 30)
    for a, b in ((coarse.storm.rows, fine.storm.rows), (coarse.storm.bare, fine.storm.bare)):
        assert a.volume == pytest.approx(b.volume, rel=0.01)
        assert a.peak == pytest.approx(b.peak, rel=0.02)


def test_water_from_above_comes_from_the_ground_above():
    dry, wet = (ran(shape={"above": a}) for a in (0.0, 4.0))
    width = 8 * 0.6
    assert dry.above.area < 0.3 * width
    assert wet.above.area == pytest.approx(4.0 * width, rel=0.1)
    given = ran(water_from_above="500 ft2")
    assert given.above.area == pytest.approx(500 * FOOT**2)
    assert given.above.whole
    assert given.above.how == "given"
    assert not wet.above.whole  # the plane goes on beyond the survey
    assert any("below the divide" in w for w in wet.warnings)
    assert given.warnings == ()


@pytest.mark.parametrize(
    ("crest", "area", "drained"),
    [
        ("when needed", "2000 ft2", True),
        ("when needed", "20 ft2", False),
        ("always", "20 ft2", True),
        ("never", "2000 ft2", False),
    ],
)
def test_a_crest_drain_is_there_when_it_is_needed_or_asked_for(crest, area, drained):
    found = ran(crest=crest, water_from_above=area)
    assert found.above.drained == drained
    assert (found.storm.run_on == 0) == drained
    assert any("drains.crest is never" in w for w in found.warnings) == (crest == "never")


def test_the_threshold_is_the_first_storm_that_spills():
    depths = [[f"{t} years", d, f"{p * f} mm"] for t, f in ((1, 0.05), (5, 0.3), (50, 1.0))
              for d, p in (("5 min", 15), ("60 min", 50), ("24 h", 120))]  # fmt: skip
    found = ran(depths=depths, return_period="5 years")
    spills = [
        ran(depths=depths, return_period=f"{t} years").storm.first_row
        for t in found.threshold.years
    ]
    first = next(t for t, row in zip(found.threshold.years, spills, strict=True) if row)
    assert found.threshold.first == first
    assert spills[0] == 0  # the case says something
    assert found.threshold.row == spills[list(found.threshold.years).index(first)]


def test_an_event_is_played_on_the_rows_too():
    text = "time (min), total (mm)\n0, 0\n30, 20\n60, 45\n120, 50\n"
    found = ran(files=RainFiles(event=read_event(text, "storm.csv")))
    assert found.event.rain == pytest.approx(0.050 * found.cells)
    assert found.event.balance < 1e-9
    assert found.event_rain.sum() == pytest.approx(0.050)


def test_without_rain_the_figures_are_said_to_be_for_comparison():
    found = ran(depths=())
    assert not found.rain.given
    assert "invented" in found.rain.source
    assert any("invented" in a for a in found.assumed)
    assert not found.weighed


def test_a_hill_that_is_steeper_than_any_table_says_so():
    said = " ".join(ran(shape={"slope": 0.7}).doubts)
    assert "above 60 % no published" in said
    assert "above 30 %" in said
    assert "above 60 %" not in " ".join(ran(shape={"slope": 0.2}).doubts)


def test_cover_of_today_counts_before_and_beside_the_cells():
    bare, meadow = ran(), ran(cover_now="meadow, continuous grass, mown", ground_cover="80 %")
    assert meadow.states[0].name == "today"
    assert meadow.states[0].curve_number[1] == 78  # TR-55 Table 2-2c, group D
    assert meadow.states[0].loss[1] < 0.05 * bare.states[0].loss[1]
    # a meadow that is dug up for rows loses more at first: nothing is hidden
    assert meadow.states[1].loss[1] > meadow.states[0].loss[1]


@pytest.mark.parametrize(
    ("soil", "group", "texture", "known"),
    [
        ({}, "D", "clay loam", False),
        ({"texture": "Sandy Loam"}, "A", "sandy loam", True),
        ({"uscs": "ml"}, "B", "silt loam", True),
        ({"name": "loose fine silty sand"}, "A", "sandy loam", True),
        ({"name": "stiff clay"}, "D", "clay", True),
    ],
)
def test_a_soil_is_what_it_is_called(soil, group, texture, known):
    found = hill_soil(SoilText(**soil), None)
    assert (found.group, found.texture, found.known) == (group, texture, known)
    assert hill_soil(SoilText(**soil), "C").group == "C"


@pytest.mark.parametrize(
    ("soil", "rain", "where", "right"),
    [
        ({"texture": "sandy lome"}, {}, "soil.texture", "did you mean sandy loam"),
        ({"uscs": "QX"}, {}, "soil.uscs", "known are"),
        ({"name": "moon dust"}, {}, "soil.name", "texture or its USCS class"),
        ({}, {"cover_now": "wods"}, "rain.cover_now", "did you mean woods"),
        ({}, {"return_period": "100 years"}, "rain.return_period", "add that return period"),
        (
            {"texture": "sand"},
            {"cover_now": "sagebrush with grass"},
            "rain.cover_now",
            "take another cover",
        ),
    ],
)
def test_what_cannot_be_is_told_at_its_place(soil, rain, where, right):
    with pytest.raises(OutOfRange) as told:
        ran(soil=SoilText(**soil), **rain)
    (problem,) = told.value.problems
    assert problem.where == where
    assert right in problem.right


def test_a_storm_of_the_wrong_shape_is_told():
    day_only = Rain(depths=[["10 years", "24 h", "100 mm"]])
    assert design_rain(day_only, rainfall_of(day_only, None)).shape == "II"
    for rain, storm in (
        (day_only, "nested"),
        (Rain(depths=[["10 years", "30 min", "30 mm"]]), "II"),
    ):
        asked = rain.model_copy(update={"storm": storm})
        with pytest.raises(OutOfRange) as told:
            design_rain(asked, rainfall_of(asked, None))
        assert told.value.problems[0].where == "rain.storm"


def test_return_periods_between_those_known_are_found_on_log_paper():
    rain = Rain(depths=[["2 years", "24 h", "60 mm"], ["50 years", "24 h", "150 mm"]])
    _, (depth,) = column(rainfall_of(rain, None), 10.0)
    assert depth == pytest.approx(0.060 * (150 / 60) ** (math.log(5) / math.log(25)))


def test_the_hardest_burst_is_found_wherever_it_begins():
    time, rain = np.arange(1, 7) * 60.0, np.array([0.0, 1.0, 4.0, 3.0, 0.0, 0.0])
    assert hardest(time, rain, 60.0) == pytest.approx(4 / 60)
    assert hardest(time, rain, 120.0) == pytest.approx(7 / 120)
    assert hardest(time, rain, 90.0) == pytest.approx(5.5 / 90)
    assert hardest(time, rain, 3600.0) == pytest.approx(8 / 3600)


def test_a_hill_without_cells_still_tells_what_runs_off():
    surface, layout = hill()
    empty = SimpleNamespace(**vars(layout))
    empty.corners, empty.row = layout.corners[:0], layout.row[:0]
    empty.top_string = layout.top_string[:0]
    found = where_rain_goes(surface, empty, SoilText(), Rain(), "when needed", RainFiles())
    assert found.storm is None
    assert found.states[1].loss[1] == pytest.approx(found.states[0].loss[1])


def test_rain_that_is_not_known_for_five_minutes_is_said_to_come_out_low():
    bursts = [["10 years", "5 min", "12 mm"], ["10 years", "1 h", "40 mm"]]
    for depths, said in ((bursts, False), (bursts[1:], True)):
        found = ran(depths=[*depths, ["10 years", "24 h", "100 mm"]], return_period="10 years")
        assert found.rain.shape == "nested"
        assert any("shortest rain given is 60 minutes" in a for a in found.assumed) == said
