"""Soil, checklist and holding: ranges, both ways to write a weight, cautious when left out."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright import units
from hillwright.data import table
from hillwright.job.ground import Checklist, Holding, SoilText
from hillwright.job.model import Job

units.registry()  # opened once here, so that no timed example pays for it

PCF = 157.0874638  # N/m3: 4.4482216152605 N over a cubic foot


def test_a_job_that_says_nothing_of_the_ground_is_told_what_is_not_known():
    job = Job.model_validate({"survey": {"kind": "dem", "file": "a.tif"}})
    assert {getattr(job.checklist, key) for key in Checklist.model_fields} == {"unknown"}
    assert job.soil.soaked == 1.0
    assert job.holding.tested_pull is None
    assert "depth" not in job.soil.model_fields_set  # the room can tell a guess from a spade


def test_the_checklist_asks_what_the_stability_room_judges():
    asked = [row["key"] for row in table("stability_limits")["stop"]]
    assert list(dict.fromkeys(asked)) == list(Checklist.model_fields)


def test_every_answer_is_yes_no_or_unknown(wrong):
    assert wrong("[checklist]\nsprings = true\ncracks = 'maybe'\nleaning_tree = 'no'") == [
        "hill.toml line 2: checklist.springs: true is not known here; "
        'write "yes", "no" or "unknown"',
        "hill.toml line 3: checklist.cracks: 'maybe' is not known here; "
        'write "yes", "no" or "unknown"',
        'hill.toml line 4: checklist.leaning_tree: unknown key "leaning_tree"; '
        'did you mean "leaning_trees"?',
    ]


def test_a_range_is_one_value_or_two_or_three():
    soil = SoilText(
        name="x", cohesion="100 psf", friction=["30 deg", "34 deg"],
        unit_weight=["115 lb/ft3", "1900 kg/m3", "125 pcf"],
    )  # fmt: skip
    assert soil.cohesion == pytest.approx((4788.026,), rel=1e-6)
    assert [len(v) for v in (soil.cohesion, soil.friction, soil.unit_weight)] == [1, 2, 3]
    # 1900 kg/m3 * 9.80665 m/s2
    assert soil.unit_weight == pytest.approx((115 * PCF, 18632.635, 125 * PCF))


@given(st.lists(st.integers(0, 500), min_size=1, max_size=3))
def test_a_range_that_rises_is_kept_and_any_other_is_refused(values):
    text = [f"{v} kPa" for v in values]
    if values == sorted(values):
        assert SoilText(name="x", cohesion=text).cohesion == pytest.approx(
            [1e3 * v for v in values]
        )
    else:
        with pytest.raises(ValueError, match="cohesion"):
            SoilText(name="x", cohesion=text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'friction = ["34 deg", "30 deg"]',
            'soil.friction: ["34 deg", "30 deg"] is upside down; '
            "write the lowest value first, the highest last",
        ),
        (
            'friction = ["30 deg", "36 deg", "34 deg"]',
            'soil.friction: ["30 deg", "36 deg", "34 deg"] is upside down; '
            "write the lowest value first, the highest last",
        ),
        (
            "friction = []",
            "soil.friction: has 0 values; write one value, two (lowest, highest) or three "
            "(lowest, likeliest, highest)",
        ),
        (
            'friction = ["1 deg", "2 deg", "3 deg", "4 deg"]',
            "soil.friction: has 4 values; write one value, two (lowest, highest) or three "
            "(lowest, likeliest, highest)",
        ),
        (
            'friction = "51 deg"',
            'soil.friction: "51 deg" makes no sense here; write from "0 °" to "50 °"',
        ),
        (
            'friction = ["30 deg", "51 deg"]',
            'soil.friction[2]: "51 deg" makes no sense here; write from "0 °" to "50 °"',
        ),
        ('friction = 30', 'soil.friction: 30 has no unit; write "30 deg"'),
        (
            'friction = ["30 deg", 34]',
            'soil.friction[2]: 34 has no unit; write "34 deg"',
        ),
        (
            'unit_weight = "-18 kN/m3"',
            'soil.unit_weight: "-18 kN/m3" makes no sense here; '
            'write from "25.5 pcf" to "191 pcf"',
        ),
        (
            'unit_weight = "115 psf"',
            'soil.unit_weight: "115 psf" is not a unit weight; '
            'did you mean "115 pcf"?',
        ),
        (
            'cohesion = "5 KPA"',
            'soil.cohesion: "5 KPA": \'KPA\' is not a unit; did you mean "5 kPa"?',
        ),
        (
            'cohesion = "5 kN/m3"',
            'soil.cohesion: "5 kN/m3" is not a pressure; write "100 psf" or "5 kPa"',
        ),
        ("cohesion = true", 'soil.cohesion: true is not a pressure; write "18 psf" or "18 kPa"'),
        ("soaked = 0.5", 'soil.soaked: 0.5 has no unit; write "0.5 %"'),
        (
            'soaked = "120 %"',
            'soil.soaked: "120 %" makes no sense here; write from "0 %" to "100 %"',
        ),
        (
            'earthquake = "0.15"',
            'soil.earthquake: "0.15" is not a number; write a number without quotes, as in 0.15',
        ),
        ("earthquake = 1.5", "soil.earthquake: 1.5 is too large; write 0.9 or less"),
        (
            "earthquake = nan",
            "soil.earthquake: nan is not a number to reckon with; write one such as 0.15",
        ),
        (
            'depth = "0 ft"',
            'soil.depth: "0 ft" makes no sense here; write from "2 in" to "100 ft"',
        ),
    ],
)  # fmt: skip
def test_a_slip_of_the_pen_in_the_soil_is_told_with_what_would_be_right(wrong, text, said):
    assert wrong(f'[soil]\nname = "x"\n{text}') == [f"hill.toml line 3: {said}"]


@pytest.mark.parametrize(
    ("text", "key", "what"),
    [
        ('name = "clay"\nuscs = "CL"', "soil.uscs", "named by name already"),
        ('uscs = "CL"\ntexture = "clay"', "soil.texture", "named by uscs already"),
        ('friction = "30 deg"', "soil.friction", "no unit_weight with it"),
        ('cohesion = "3 kPa"', "soil.cohesion", "no unit_weight and no friction with it"),
        ('unit_weight = "110 pcf"', "soil.unit_weight", "no friction with it"),
        (
            'name = "x"\nunit_weight = "20 kN/m3"\nsaturated_weight = "18 kN/m3"',
            "soil.saturated_weight",
            "weighs more, not less",
        ),
    ],
)
def test_soil_keys_that_do_not_go_together_are_named(wrong, text, key, what):
    (said,) = wrong(f"[soil]\n{text}")
    assert key in said
    assert what in said


def test_a_measured_soil_needs_no_name_and_a_named_one_no_measure():
    SoilText(unit_weight="110 pcf", friction="30 deg")
    SoilText(uscs="SM", cohesion="0 psf")
    SoilText(name="x", undrained_strength=["20 kPa", "40 kPa"])
    # ranges that overlap leave room for a soil that is heavier soaked
    SoilText(name="x", unit_weight=["17 kN/m3", "20 kN/m3"], saturated_weight="19 kN/m3")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'bars = "#4"',
            'holding.bars: "#4" is not a list of bars; write a list, as in ["#4", "#5"]',
        ),
        ("bars = []", 'holding.bars: names no bar; write a list, as in ["#4", "#5"]'),
        (
            'bars = ["#4", "#9"]',
            'holding.bars[2]: "#9" is not known here; '
            'write "#3", "#4", "#5", "#6", "#7" or "#8"',
        ),
        (
            'steel = "galvanized"',
            'holding.steel: "galvanized" is not known here; did you mean "galvanised"? '
            '(it takes "galvanised" or "plain")',
        ),
        (
            'clip_strength = "2 ft"',
            'holding.clip_strength: "2 ft" is not a force; write "450 lbf" or "2 kN"',
        ),
        ("life = 25", 'holding.life: 25 has no unit; write "25 years"'),
        (
            'life = "200 years"',
            'holding.life: "200 years" makes no sense here; write from "1 years" to "100 years"',
        ),
        ('life = "25 yeers"', 'holding.life: "25 yeers": \'yeers\' is not a unit; '
                              'did you mean "25 years"?'),
        ("people = 2.5", "holding.people: 2.5 is not a whole number; "
                         "write a whole number without quotes"),
        ("people = 0", "holding.people: 0 is too small; write 1 or more"),
        (
            'mix_soaked = "80 pcf"\nmix_dry = "100 pcf"',
            "holding.mix_soaked: is less than mix_dry: soil full of water weighs more, not less; "
            "weigh a full pail of both",
        ),
        (
            'tested_pull = "420 lb"',
            "holding.tested_pull: there is no tested_bar and no tested_depth; a test holds for "
            "bars as thick and as deep as the tested one: give all three",
        ),
    ],
)  # fmt: skip
def test_a_slip_of_the_pen_in_holding_is_told_with_what_would_be_right(wrong, text, said):
    assert wrong(f"[holding]\n{text}") == [f"hill.toml line 2: {said}"]


TEST = {"tested_pull": "420 lb", "tested_bar": "#5", "tested_depth": "30 in"}


@pytest.mark.parametrize("count", [1, 2])
def test_a_pull_test_is_given_whole_or_not_at_all(count):
    for keys in itertools.combinations(TEST, count):
        with pytest.raises(ValueError, match="do not go together"):
            Holding(**{key: TEST[key] for key in keys})
    # a mass hung on the bar pulls with its weight: 420 lbf
    assert Holding(**TEST).tested_pull == pytest.approx(1868.2530784)


@pytest.mark.parametrize(
    "more", [{"bars": ["#3", "#4"]}, {"longest_bar": "24 in"}], ids=["thinner", "shallower"]
)
def test_a_pull_test_of_a_bar_that_will_not_be_used_is_refused(more):
    with pytest.raises(ValueError, match="do not go together"):
        Holding(**TEST, **more)
