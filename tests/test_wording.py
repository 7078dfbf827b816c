"""Sentences of the rooms are read in the job's units."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.wording import in_units, plural


@pytest.mark.parametrize(
    ("said", "us", "metric"),
    [
        ("1.23 m", "4.04 ft", "1.23 m"),
        ("0.24 m", "9.45 in", "0.24 m"),  # 0.24 / 0.0254
        ("25 mm", "0.98 in", "25 mm"),
        ("1,200.0 m", "3,937.01 ft", "1,200.0 m"),
        ("-0.5 m off", "-1.64 ft off", "-0.5 m off"),
        ("+0.5 m off", "+1.64 ft off", "+0.5 m off"),
        ("(0.2 m2 in plan)", "(2.2 ft² in plan)", "(0.2 m² in plan)"),
        ("3 m3", "3.92 yd³", "3 m³"),  # 1 yd3 = 0.764555 m3
        ("34 deg", "34°", "34°"),
        ("3.14159 rad", "180.0°", "180.0°"),
        ("7.044 m of water", "10.0 psi", "69 kPa"),  # 998.16 kg/m3
        ("12 L/min", "3.17 gal/min", "12.00 L/min"),
        ("1.5 m/s", "4.9 ft/s", "1.50 m/s"),
        ("7.57 litres", "2.00 gal", "7.57 L"),
    ],
)
def test_figures_in_a_sentence_are_given_in_the_jobs_units(said: str, us: str, metric: str) -> None:
    assert in_units(f"worst is {said}, look", "us") == f"worst is {us}, look"
    assert in_units(f"worst is {said}, look", "metric") == f"worst is {metric}, look"


@pytest.mark.parametrize(
    "words",
    [
        'exclusion "tank 2 m"',  # the person's own words
        "0.24 m/h",
        "row 3 cell 8",
        "points.csv line 12",
        "3 machines, 12 meters",
        "R12 m",
        "ISO 4463-1:1989",
    ],
)
def test_other_words_stay_as_they_are(words: str) -> None:
    assert in_units(words, "us") == words


@given(metres=st.floats(0.3, 5000), decimals=st.integers(2, 4))
def test_a_length_keeps_its_size(metres: float, decimals: int) -> None:
    said = in_units(f"off by {metres:.{decimals}f} m", "us")
    found = re.fullmatch(r"off by ([\d,.]+) (ft|in)", said)
    assert found
    size = float(found[1].replace(",", "")) * {"ft": 0.3048, "in": 0.0254}[found[2]]
    assert size == pytest.approx(metres, abs=0.006 * 0.3048 + 10**-decimals)


def test_one_of_a_thing_has_no_ending() -> None:
    assert plural(1, "cell") == "1 cell"
    assert plural(1204, "cell") == "1,204 cells"
    assert plural(0, "cell hangs", "cells hang") == "0 cells hang"


def test_much_water_is_told_in_whole_gallons_and_little_with_its_decimals():
    assert in_units("528 litres in the month", "us") == "139 gal in the month"
    assert in_units("8 litres run out", "us") == "2.11 gal run out"
