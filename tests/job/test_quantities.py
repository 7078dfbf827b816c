"""Quantities of a job: what is written out is read back; a slip of the pen is never a number."""

from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hillwright import units
from hillwright.units import UnitError

units.registry()  # opened once here, so that no timed example pays for it

SYSTEMS = st.sampled_from(["us", "metric"])
TAGS = {
    "m": "[length]",
    "m.small": "[length]",
    "m2": "[length] ** 2",
    "m3": "[length] ** 3",
    "kg": "[mass]",
    "1/m": "1 / [length]",
    "N": units.FORCE,
    "Pa": units.PRESSURE,
    "N/m3": units.UNIT_WEIGHT,
    "year": "[time]",
}


@given(st.floats(-1e7, 1e7), st.sampled_from(sorted(TAGS)), SYSTEMS)
def test_any_quantity_that_is_shown_is_read_back_to_its_last_decimal(value, tag, system):
    text = units.show(value, tag, system)
    assume("less than" not in text)  # rounding of the machine, not a quantity
    number, _, decimals = units.shown(value, tag, system)  # small forces are shown in newtons
    factor = number / value if value else 1.0
    rounding = 0.5 * 10.0**-decimals / factor
    assert units.quantity(text, TAGS[tag]) == pytest.approx(value, abs=1.001 * rounding, rel=1e-9)


@given(st.floats(-1.5, 1.5), SYSTEMS)
def test_any_angle_that_is_shown_is_read_back(value, system):
    text = units.show(value, "rad", system)
    assert units.angle(text) == pytest.approx(value, abs=math.radians(0.0501))
    assert units.slope(text) == pytest.approx(units.angle(text))


# 1 in = 0.0254 m and 1 ft = 0.3048 m exactly: international yard and pound agreement 1959.
@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("18 in", 0.4572),
        ("18in", 0.4572),
        ('18"', 0.4572),
        ("3 1/2 in", 0.0889),
        ("1/2 in", 0.0127),
        ("5 ft 6 in", 1.6764),
        ("5'-6\"", 1.6764),
        ("-5 ft 6 in", -1.6764),
        ("1,200 ft", 365.76),
        ("46 cm", 0.46),
    ],
)
def test_lengths_are_read_as_the_trade_writes_them(text, metres):
    assert units.length(text) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "1,5 ft",  # a decimal comma would otherwise become 15
        "ft",
        "",
        "9**9**9**9 ft",  # never worked out
        "3 ft*9**9**9**9",
        "1/0 ft",
        "1e308 mi",
        "nan ft",
        "18",
        "3 kg",
        "3 inche",
    ],
)
def test_what_is_not_a_length_is_refused_with_an_example(text):
    with pytest.raises(UnitError) as caught:
        units.length(text)
    assert '"18 in"' in caught.value.right


@pytest.mark.parametrize("text", ["45 deg", "100 %", "1:1", "2H:2V", "45°"])
def test_a_slope_reads_the_same_in_degrees_percent_and_h_to_v(text):
    assert units.slope(text) == pytest.approx(math.pi / 4)


@pytest.mark.parametrize("text", ["1.2.3:1", "nan %", "0:0", "1/0 %", "3 ft", "", "1e999:1"])
def test_what_is_not_a_slope_is_refused(text):
    with pytest.raises(UnitError):
        units.slope(text)


@given(st.text(max_size=30))
def test_no_text_makes_a_reader_fail_otherwise_than_by_a_unit_error(text):
    for read in (units.length, units.mass, units.angle, units.slope):
        with contextlib.suppress(UnitError):
            assert math.isfinite(read(text))
