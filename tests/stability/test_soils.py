"""Soils by name: as cautious as a bare slope asks for, and what was measured as it was measured."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.fills import fill_by_name, known_fills
from hillwright.stability.known import known
from hillwright.stability.lookup import PCF
from hillwright.stability.ranges import Range
from hillwright.stability.soils import (
    find_soil,
    known_soils,
    measured_soil,
    soil_by_fractions,
    soil_by_name,
    soil_by_texture,
    soil_by_uscs,
    soil_properties,
)

DEG = math.pi / 180


@pytest.mark.parametrize("name", known_soils())
def test_every_soil_of_the_tables_is_one_that_the_methods_take(name):
    soil = find_soil(name)
    known(soil.cohesion, soil.friction, soil.moist, soil.saturated)
    assert soil.cohesion == Range.fixed(0.0)  # nothing named has cohesion on a bare slope
    assert 10e3 < soil.moist.low <= soil.saturated.high < 25e3
    assert soil.source
    assert soil.status in ("verified", "memory")
    assert soil.notes


# NAVFAC DM-7.2, chapter 2, Table 1 (from memory) and the note of the table: loose ground 5 to 8
# degrees lower than compacted, c = 0
@pytest.mark.parametrize(("code", "compacted"), [("GW", 38), ("SM", 34), ("CL", 28), ("CH", 19)])
def test_a_uscs_class_is_brought_from_compacted_to_loose(code, compacted):
    soil = soil_by_uscs(code)
    assert soil.friction.high == pytest.approx((compacted - 5) * DEG)
    assert soil.friction.low == pytest.approx((compacted - 8) * DEG)
    assert any("cautious reduction" in note for note in soil.notes)


# Caltrans 2025, Trenching and Shoring Manual, Table 3-2
def test_a_name_without_a_density_is_loose():
    soil = soil_by_name("fine sand")
    assert soil.friction.best == pytest.approx(25 * DEG)
    assert soil.moist.best == pytest.approx(85 * PCF)
    assert any("loose" in note for note in soil.notes)
    assert soil_by_name("Dense  Fine Sand").friction.best == pytest.approx(31 * DEG)


# Caltrans 2025, Table 3-3: su = qu/2
def test_clay_has_an_undrained_strength_that_is_kept_apart():
    soil = soil_by_name("stiff clay")
    assert soil.undrained is not None
    assert soil.undrained.low == pytest.approx(1000 * 47.880258980335, rel=1e-9)
    assert soil.cohesion.high == 0
    assert any("short-term" in note for note in soil.notes)


def test_a_texture_and_its_fractions_give_the_same_soil():
    assert soil_by_fractions(65, 25, 10) == soil_by_texture("sandy loam") == find_soil("Sandy Loam")


def test_spelling_of_a_dual_class_does_not_matter():
    assert soil_by_uscs("sc-sm") == soil_by_uscs("SM-SC") == find_soil("SC-SM")


@pytest.mark.parametrize(
    ("find", "name", "says"),
    [
        (find_soil, "sandy lome", "did you mean sandy loam"),
        (find_soil, "clai", "did you mean clay"),
        (find_soil, "moon dust", "give a USCS class or a texture"),
        (find_soil, "OH", "organic soil"),
        (soil_by_uscs, "SX", "is not a USCS class"),
        (soil_by_uscs, "Pt", "ask an engineer"),
        (soil_by_texture, "loamy sande", "did you mean loamy sand"),
        (soil_by_name, "stif clay", "did you mean stiff clay"),
        (soil_properties, "sandy lome", "did you mean sandy loam"),
        (fill_by_name, "composte", "did you mean compost, settled"),
    ],
)
def test_an_unknown_soil_is_told_the_nearest_name(find, name, says):
    with pytest.raises(OutOfRange, match=says):
        find(name)


def test_what_was_measured_is_taken_as_it_was_measured():
    soil = measured_soil(17e3, [30 * DEG, 34 * DEG], 2e3, 19e3)
    assert soil.friction == Range(30 * DEG, 32 * DEG, 34 * DEG)
    assert soil.cohesion.best == soil.deep_cohesion.best == 2e3
    assert soil.status == "measured"
    assert any("wetted" in note for note in soil.notes)


def test_what_was_not_measured_comes_from_the_named_soil():
    base = soil_by_uscs("SM")
    soil = measured_soil(friction=33 * DEG, base=base)
    assert (soil.moist, soil.saturated, soil.cohesion) == (
        base.moist,
        base.saturated,
        base.cohesion,
    )
    assert soil.friction.best == pytest.approx(33 * DEG)
    assert "partly measured" in soil.name


# phase relation: 1.1 x dry = moist; saturated = dry (1 - 1/2.65) + 62.4 pcf
def test_a_missing_saturated_weight_is_worked_out():
    soil = measured_soil(110 * PCF, 30 * DEG)
    assert soil.saturated.best == pytest.approx((100 * (1 - 1 / 2.65) + 62.4) * PCF, rel=1e-9)
    assert any("worked out" in note for note in soil.notes)


@given(st.floats(10e3, 24e3), st.floats(0, 3e3))
def test_a_worked_out_saturated_weight_is_never_under_the_moist_one(low, width):
    soil = measured_soil([low, low + width], 0.5)
    assert soil.saturated.low >= soil.moist.low
    assert soil.saturated.high >= soil.moist.high


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"friction": 0.5}, "unit_weight: is missing"),
        ({"moist": 17e3}, "friction: is missing"),
        ({"moist": -17e3, "friction": 0.5}, "unit_weight.*negative"),
        ({"moist": 17e3, "friction": 55 * DEG}, "over 50 deg"),
        ({"moist": 17e3, "friction": [40 * DEG, 52 * DEG]}, "over 50 deg"),
        ({"moist": 17e3, "friction": [0.6, 0.5]}, "friction: upside down"),
        ({"moist": 17e3, "friction": 0.5, "cohesion": -1.0}, "cohesion.*negative"),
        ({"moist": 17e3, "friction": 0.5, "saturated": 15e3}, "weighs less than the same soil"),
        ({"moist": 17e3, "friction": 0.5, "undrained": -5.0}, "undrained_strength.*negative"),
    ],
)
def test_each_wrong_measurement_has_its_own_message(given, says):
    with pytest.raises(OutOfRange, match=says):
        measured_soil(**given)


def test_a_fill_weighs_more_soaked_than_dry():
    assert all(fill.saturated > fill.dry > 0 for fill in known_fills().values())
    # NRCS bulk densities (from memory): loam 1.4 g/cm3 and 47 % pores, 117 pcf soaked
    assert fill_by_name("loam").saturated == pytest.approx(117 * PCF, rel=0.01)
