import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright import units

SIZE = st.floats(1e-6, 1e6)


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("18 in", 0.4572),  # international inch, 25.4 mm by definition
        ("1.5 ft", 0.4572),
        ('18"', 0.4572),
        ("5'", 1.524),
        ("1 1/2 in", 0.0381),
        ("1/2 in", 0.0127),
        ("5 ft 6 in", 1.6764),
        ("5'-6 1/2\"", 1.6891),
        ("-5 ft 6 in", -1.6764),
        ("1,204.5 ft", 367.1316),
        ("2 yd", 1.8288),
        ("46 cm", 0.46),
        ("1e3mm", 1.0),
        ("-.5 m", -0.5),
        # 1200/3937 m: NIST and NOAA 2020, 85 FR 62698
        ("3937 us_survey_foot", 1200.0),
    ],
)
def test_a_length_as_written_on_site_is_read_in_metres(text, metres):
    assert units.length(text) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("38 deg", 38),
        ("38°", 38),
        ("100 %", 45),
        ("1:1", 45),
        ("1.5:1", 33.69006752597979),  # atan(1 / 1.5)
        ("1.5H:1V", 33.69006752597979),
        ("2h : 1v", 26.56505117707799),
        ("0 %", 0),
        ("-50 %", -26.56505117707799),
        ("0:1", 90),
        ("1 rad", 57.29577951308232),
    ],
)
def test_a_slope_may_be_degrees_percent_or_h_to_v(text, degrees):
    assert math.degrees(units.slope(text)) == pytest.approx(degrees, rel=1e-12)


@given(slope=st.floats(0.01, 1.5))
def test_the_three_forms_of_one_slope_are_one_angle(slope):
    percent = f"{100 * math.tan(slope):.12f} %"
    ratio = f"{1 / math.tan(slope):.12f}:1"
    assert units.slope(percent) == pytest.approx(slope, rel=1e-8)
    assert units.slope(ratio) == pytest.approx(slope, rel=1e-8)
    assert units.slope(f"{math.degrees(slope)!r} deg") == pytest.approx(slope, rel=1e-12)


@pytest.mark.parametrize(
    ("reader", "value", "what", "right"),
    [
        (units.length, "3", "'3' has no unit", '"18 in", "1.5 ft" or "0.46 m"'),
        (units.length, 3, "3 has no unit", '"18 in"'),
        (units.length, True, "True has no unit", '"18 in"'),
        (units.length, "3 lb", "'3 lb' is not a length", '"18 in"'),
        (units.length, "3 furlong", "'furlong' is not a unit", '"18 in"'),
        (units.length, "1,5 m", "'1,5 m' has a decimal comma", '"18 in"'),
        (units.length, "1e999 m", "is not a finite number", '"18 in"'),
        (units.length, "1/0 in", "is not a finite number", '"18 in"'),
        (units.length, "nan m", "cannot be read as a quantity", '"18 in"'),
        (units.length, "five ft", "cannot be read as a quantity", '"18 in"'),
        (units.length, "", "cannot be read as a quantity", '"18 in"'),
        (units.length, "5 3 ft", "'3 ft' is not a unit", '"18 in"'),
        (units.length, "3 __import__('os')", "is not a unit", '"18 in"'),
        (units.mass, "3 m", "'3 m' is not a mass", '"12 lb" or "5.4 kg"'),
        (units.mass, "3 lbf", "'3 lbf' is not a mass", '"12 lb"'),
        (units.angle, "38", "'38' has no unit", '"38 deg"'),
        (units.angle, 38, "38 has no unit", '"38 deg"'),
        (units.angle, "70 %", "'70 %' is not an angle", '"38 deg"'),
        (units.angle, "3 ft", "'3 ft' is not an angle", '"38 deg"'),
        (units.slope, 0.7, "0.7 has no unit", '"38 deg", "70 %" or "1.5:1"'),
        (units.slope, "0.7", "'0.7' has no unit", '"70 %"'),
        (units.slope, "0:0", "'0:0' is not a slope", '"1.5:1"'),
        (units.slope, "steep %", "'steep %' is not a slope", '"1.5:1"'),
        (units.slope, "2:1:1", "'2:1:1' is not a slope", '"1.5:1"'),
        (units.slope, "2 m", "'2 m' is not a slope", '"1.5:1"'),
        (
            lambda v: units.quantity(v, "[length] ** 2"),
            "3 ft",
            "'3 ft' is not an area",
            '"120 ft2"',
        ),
        (
            lambda v: units.quantity(v, "[temperature]"),
            "3 ft",
            "not a temperature",
            "a temperature",
        ),
    ],
)
def test_what_is_not_a_quantity_is_refused_with_what_would_be_right(reader, value, what, right):
    with pytest.raises(units.UnitError) as caught:
        reader(value)
    assert what in caught.value.what
    assert right in caught.value.right


@pytest.mark.parametrize(
    ("name", "tag", "factor"),
    [
        ("ft2", "m2", 0.09290304),
        ("ft²", "m2", 0.09290304),
        ("yd3", "m3", 0.764554857984),
        ("psf", "N/m2", 47.88025898033584),  # lbf by definition 0.45359237 kg * 9.80665 m/s2
        ("psf", "Pa", 47.88025898033584),
        ("pcf", "N/m3", 157.08746384624618),
        ("1/ft", "1/m", 1 / 0.3048),
        ("deg", "rad", math.pi / 180),
        ("%", "-", 0.01),
        ("ft", "any", 0.3048),
        ("", "-", 1),
        ("", "any", 1),
    ],
)
def test_a_written_unit_becomes_the_si_of_the_methods_tag(name, tag, factor):
    assert units.scale(name, tag).factor == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "tag", "says"),
    [
        ("ft", "m2", '"120 ft2"'),
        ("", "m", '"18 in"'),
        ("", "N/m3", '"115 pcf" or "18 kN/m3"'),
        ("", "N m", '"1 N m"'),
        ("deg", "m", "does not fit m"),
        ("m", "rad", "not a unit of angle"),
        ("deg", "-", "pure number belongs"),
        ("ft", "-", "pure number belongs"),
        ("2 ft", "m", "not a unit"),
    ],
)
def test_a_unit_of_another_kind_than_the_tag_is_refused(name, tag, says):
    with pytest.raises(units.UnitError) as caught:
        units.scale(name, tag)
    assert says in str(caught.value)


@given(
    size=SIZE,
    pair=st.sampled_from(
        [("ft", "m"), ("in", "m"), ("yd3", "m3"), ("psf", "Pa"), ("%", "rad"), ("gal", "m3")]
    ),
)
def test_there_and_back_is_the_same_number(size, pair):
    scale = units.scale(*pair)
    assert scale.back(scale.si(size)) == pytest.approx(size, rel=1e-6)


def test_arrays_convert_like_their_numbers():
    scale = units.scale("%", "rad")
    written = np.array([[0.0, 50.0], [100.0, -20.0]])
    assert scale.si(written).tolist() == [[scale.si(float(v)) for v in row] for row in written]


@given(metres=st.floats(0.01, 1e5), system=st.sampled_from(["us", "metric"]))
def test_what_is_shown_reads_back_within_its_last_digit(metres, system):
    text = units.show(metres, "m", system)
    assert units.length(text) == pytest.approx(metres, abs=0.0051 * units.length("1 ft"))


@pytest.mark.parametrize(
    ("value", "tag", "us", "metric"),
    [
        (1.0, "m", "3.28 ft", "1.000 m"),
        (0.0254, "m.small", "1.00 in", "25 mm"),
        (1e-8, "m.small", "0.00 in", "0 mm"),
        (100.0, "m2", "1,076.4 ft²", "100.00 m²"),
        (0.764554857984, "m3", "1.00 yd³", "0.765 m³"),
        (math.pi / 6, "rad", "30.0°", "30.0°"),
        (0.25, "%", "25.0 %", "25.0 %"),
        (1204, "-", "1,204", "1,204"),
        (np.int64(1204), "-", "1,204", "1,204"),
        (0.5, "-", "0.5000", "0.5000"),
        (3e-7, "-", "3e-07", "3e-07"),
        (True, "-", "yes", "yes"),
        ("the top string", "text", "the top string", "the top string"),
        (math.nan, "m", "unknown", "unknown"),
        (math.inf, "m", "without limit", "without limit"),
        (2.0, "W/m2", "2.0000 W/m2", "2.0000 W/m2"),
    ],
)
def test_a_figure_is_shown_in_the_jobs_units(value, tag, us, metric):
    assert units.show(value, tag, "us") == us
    assert units.show(value, tag, "metric") == metric


# pound-force = 4.4482216152605 N by definition (9.80665 m/s2, ISO 80000-3)
@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("100 psf", units.PRESSURE, 4788.0258980),
        ("5 kPa", units.PRESSURE, 5000.0),
        ("100 lb/ft2", units.PRESSURE, 4788.0258980),
        ("500 kg/m2", units.PRESSURE, 4903.325),
        ("115 pcf", units.UNIT_WEIGHT, 18065.058342),
        ("115 lb/ft3", units.UNIT_WEIGHT, 18065.058342),
        ("18 kN/m3", units.UNIT_WEIGHT, 18000.0),
        ("1850 kg/m3", units.UNIT_WEIGHT, 18142.3025),
        ("450 lbf", units.FORCE, 2001.69972687),
        ("450 lb", units.FORCE, 2001.69972687),
        ("2 kN", units.FORCE, 2000.0),
        ("25 years", "[time]", 788_940_000.0),
    ],
)
def test_a_mass_stands_for_its_weight_where_a_weight_is_wanted(text, dimension, si):
    assert units.quantity(text, dimension) == pytest.approx(si, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("115 pcf", units.PRESSURE),
        ("5 kPa", units.UNIT_WEIGHT),
        ("5 lb/ft", units.FORCE),
        ("18 kN/m3", "[mass]"),
        ("2 kN", "[mass]"),  # the other way round it would be a guess
    ],
)
def test_a_weight_of_another_kind_is_refused_with_examples(text, dimension):
    with pytest.raises(units.UnitError) as caught:
        units.quantity(text, dimension)
    assert caught.value.right.startswith("write ")


def test_a_share_is_written_in_percent():
    assert units.share("40 %") == pytest.approx(0.4)
    assert units.share("12.5 percent") == pytest.approx(0.125)


@pytest.mark.parametrize("value", [0.4, 40, "0.4", "40 deg", "40 ft", "", "x %"])
def test_a_share_without_its_sign_is_refused(value):
    with pytest.raises(units.UnitError) as caught:
        units.share(value)
    assert caught.value.right == 'write "40 %"'


def test_a_bearing_just_short_of_north_is_shown_as_north():
    assert units.show(2 * math.pi - 1e-9, "rad", "us") == "0.0°"
    assert units.show(2 * math.pi - math.radians(0.2), "rad", "us") == "359.8°"
