"""Tape sections: what a field book holds, and every refusal."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import SurveyError
from hillwright.job.sections import COLUMNS, ends, read_sections

HEAD = "section, chainage, base_height, side, leg, distance, angle, rise, note\n"
TWO = HEAD + (
    "1, 0 ft, 0 ft, left, 1, 8.2 ft, 24 deg, ,\n1, , , , 2, 6.0 ft, 33 deg, , grass edge, wet\n"
    "2, 10 ft, 0.3 ft, left, 1, 10 ft, , 6 ft,\n"
)
JOB = '[survey]\nkind = "sections"\nfile = "s.csv"\n'


def read(text, unit=""):
    return read_sections(text, "s.csv", unit, 0.02, math.radians(0.25))


def wrong(text, unit=""):
    with pytest.raises(SurveyError) as caught:
        read(text, unit)
    return [str(p) for p in caught.value.problems]


def test_a_field_book_is_read_leg_by_leg():
    found = read(TWO)
    assert found.chainage == pytest.approx([0, 3.048])
    assert found.base_height == pytest.approx([0, 0.3 * 0.3048])
    assert found.left == (True, True)
    assert found.section == (0, 0, 1)
    assert found.distance == pytest.approx(np.array([8.2, 6, 10]) * 0.3048)
    assert found.where == ("s.csv line 2", "s.csv line 3", "s.csv line 4")
    assert not found.distance.flags.writeable


# exact geometry: a 3-4-5 triangle, rise 6 on a slope distance of 10 is asin 0.6
def test_a_rise_becomes_the_angle_it_stands_for():
    assert read(TWO).angle == pytest.approx([math.radians(24), math.radians(33), math.asin(0.6)])


def test_bare_lengths_take_the_jobs_unit():
    text = HEAD + "1, 0, 0, right, 1, 2.5, -30 deg, ,\n1,,,,2, 100 cm, -45 %, ,\n"
    found = read(text, "m")
    assert found.distance.tolist() == [2.5, 1.0]
    assert found.angle == pytest.approx([-math.radians(30), -math.atan(0.45)])
    assert found.left == (False,)


# 1 ft = 12 in = 0.3048 m exactly
@pytest.mark.parametrize(
    ("written", "inches"),
    [("6 ft 4 in", 76), ("6' 4\"", 76), ('"6\' 4 1/2"""', 76.5), ("5 1/2 ft", 66), ("66 in", 66)],
)
def test_a_tape_is_read_in_feet_and_inches(written, inches):
    text = HEAD + f"1, 0 ft, -3 in, left, 1, {written}, , -2 ft 8 in,\n"
    found = read(text)
    assert found.distance == pytest.approx([inches * 0.0254])
    assert found.angle == pytest.approx([-math.asin(32 / inches)])
    assert found.base_height == pytest.approx([-0.0762])


def test_semicolons_let_decimals_have_a_comma():
    text = HEAD.replace(",", ";") + "1; 0; 0; left; 1; 2,5 m; 24,5 deg; ;\n"
    found = read(text, "m")
    assert (found.distance[0], found.angle[0]) == (2.5, pytest.approx(math.radians(24.5)))


def test_columns_may_stand_in_any_order_and_some_be_left_out():
    text = (
        "section,side,chainage,base_height,distance,rise\nA,left,0 m,0 m,5 m,3 m\nA,,,,5 m,-4 m\n"
    )
    assert read(text).angle == pytest.approx([math.asin(0.6), -math.asin(0.8)])


def test_both_sides_of_one_chainage_are_two_sections():
    text = HEAD + "1, 5 m, 0 m, left, 1, 2 m, 30 deg,,\n1, 5 m, 0 m, right, 1, 2 m, -30 deg,,\n"
    found = read(text)
    assert found.left == (True, False)
    assert found.section == (0, 1)


# exact geometry: 10 m at asin(0.6) goes 8 m out and 6 m up
def test_ends_of_legs_add_up_along_a_section():
    text = HEAD + "1, 2 m, 1 m, right, 1, 10 m, , 6 m,\n1,,,,2, 10 m, , -6 m,\n"
    assert ends(read(text)) == pytest.approx(np.array([[2, -8, 7], [2, -16, 1], [2, 0, 1]]))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("1, 0 ft, 0 ft, left, 1, 8.2, 24 deg, ,", "the distance '8.2' has no unit"),
        ("1, 0 ft, 0 ft, left, 1, 8.2 ft, 24, ,", "the angle '24' has no unit"),
        ("1, 0 ft, 0 ft, left, 1, 8.2 deg, 24 deg, ,", "the distance '8.2 deg' is not a length"),
        ("1, 0 ft, 0 ft, left, 1, wide, 24 deg, ,", "is not a length"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, steep, ,", "the angle 'steep' is not an angle"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, 24 ft, ,", "is not an angle"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, 85 deg, ,", "steeper than 80 deg"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, 24 deg, 3 ft,", "both an angle and a rise"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, , ,", "neither an angle nor a rise"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, , 8 ft,", "the rise 8 ft is not less than"),
        ("1, 0 ft, 0 ft, left, 1, -8 ft, 24 deg, ,", "not more than 0"),
        ("1, 0 ft, 0 ft, up, 1, 8 ft, 24 deg, ,", 'write "left" or "right"'),
        ("1, , 0 ft, left, 1, 8 ft, 24 deg, ,", "section 1 has no chainage"),
        ("1, 0 ft, , left, 1, 8 ft, 24 deg, ,", "section 1 has no base_height"),
        (", 0 ft, 0 ft, left, 1, 8 ft, 24 deg, ,", "the section has no name"),
        ("1, 0 ft, 0 ft, left, 2, 8 ft, 24 deg, ,", "goes on with leg '2'; the next leg is 1"),
    ],
)
def test_a_bad_leg_is_told_with_its_line_and_what_would_be_right(line, says):
    found = wrong(HEAD + line + "\n")
    assert says in found[0]
    assert found[0].startswith("s.csv line 2: ")


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (
            "1, 0 ft, 0 ft, left, 1, 8 ft, 4 deg,,\n1, 2 ft, , , 2, 8 ft, 4 deg,,",
            "another chainage",
        ),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, 4 deg,,\n1, , , right, 2, 8 ft, 4 deg,,", "changes side"),
        (
            "1, 0 ft, 0 ft, left, 1, 8 ft, 4 deg,,\n2, 0 ft, 0 ft, left, 1, 8 ft, 4 deg,,",
            "section 2 is at the chainage and side of section 1",
        ),
        (
            "1, 0 ft, 0 ft, left, 1, 8 ft, 4 deg,,\n2, 9 ft, 0 ft, left, 1, 8 ft, 4 deg,,\n"
            "1, 0 ft, 0 ft, left, 1, 8 ft, 4 deg,,",
            "has begun before",
        ),
        ("", "holds no legs"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, 4 deg, , a, b, c", ""),
    ],
)
def test_sections_that_do_not_go_together_are_refused(lines, says):
    if not says:
        assert len(read(HEAD + lines).distance) == 1  # a note may hold commas
    else:
        assert any(says in line for line in wrong(HEAD + lines))


@pytest.mark.parametrize(
    ("head", "says"),
    [
        ("section, chainage, base_height, side, leg, distance, note\n", "not complete"),
        ("section, base_height, side, distance, angle\n", "no chainage"),
        ("station, chainage, base_height, side, distance, angle\n", "'station' is not a column"),
        ("1, 0 ft, 0 ft, left, 1, 8 ft, 4 deg, ,\n", "is not a column"),
        ("# only a remark\n", "holds no sections"),
    ],
)
def test_a_wrong_header_is_told_with_the_right_one(head, says):
    found = wrong(head)
    assert says in found[0]
    assert ", ".join(COLUMNS) in found[0]


def test_everything_wrong_is_told_at_once():
    text = (
        HEAD
        + "1, 0 ft, 0 ft, left, 1, 8, 24, ,\n1,,,,2, 8 ft, , ,\n2, , 0 ft, left, 1, 1 ft, 4 deg,,\n"
    )
    assert [w.split(":")[0] for w in wrong(text)] == [f"s.csv line {n}" for n in (2, 2, 3, 4)]


@given(st.data())
def test_no_mangled_field_book_gives_anything_but_sections_or_a_survey_error(data):
    text = list(TWO)
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(text) - 1))
        put = data.draw(
            st.sampled_from([*"0123456789,;. -+eE#\n\t\"%:'*()", "ft", "é", "\0", "9" * 40])
        )
        if data.draw(st.booleans()):
            text[at] = put
        else:
            text.insert(at, put)
    try:
        found = read("".join(text), data.draw(st.sampled_from(["", "ft"])))
    except SurveyError:
        return
    assert np.isfinite(found.distance).all()
    assert np.isfinite(found.chainage).all()
    assert (found.distance > 0).all()


@given(st.text(max_size=200))
def test_no_text_at_all_gives_anything_but_sections_or_a_survey_error(text):
    try:
        read(HEAD + text, "ft")
    except SurveyError:
        return


# a base line that runs east (90 deg) has north on its left
@pytest.mark.parametrize(("bearing", "north"), [("90 deg", 0), ("180 deg", 90), ("0 deg", 270)])
def test_the_bearing_of_the_base_line_turns_the_frame(site, bearing, north):
    found = site(JOB + f'[base_line]\nbearing = "{bearing}"\n', s_csv=TWO)
    assert math.degrees(found.frame.north) == pytest.approx(north)


def test_without_a_bearing_the_frame_says_so(site):
    assert "bearing of the base line is not given" in site(JOB, s_csv=TWO).frame.note


def test_the_base_line_runs_from_the_first_to_the_last_chainage(site):
    assert site(JOB, s_csv=TWO).base_line == pytest.approx(np.array([[0, 0], [3.048, 0]]))


def test_the_accuracy_of_the_job_is_that_of_one_leg(site):
    text = HEAD + "1, 0 m, 0 m, left, 1, 10 m, , 6 m,\n2, 5 m, 0 m, left, 1, 10 m, , 6 m,\n"
    found = site(JOB.rstrip() + '\naccuracy = "4 cm"\n', s_csv=text)
    assert found.measured.angle_sigma * 8 == pytest.approx(0.04)


def test_a_geojson_outline_needs_to_know_the_unit(refused):
    job = JOB + '[outline]\nfile = "o.geojson"\n'
    ring = '{"type": "Polygon", "coordinates": [[[1, 1], [9, 1], [9, 9], [1, 1]]]}'
    assert "survey.unit" in refused(job, s_csv=TWO, o_geojson=ring)[0]


def test_reading_sections_opens_no_map_library():
    import subprocess
    import sys

    code = (
        "import sys; from pathlib import Path; from hillwright.job.read import open_job; "
        "from hillwright.job.sidecar import read_site; "
        "read_site(open_job(Path('examples/bracken-bank'))); "
        "heavy = ('pyproj', 'rasterio', 'pyogrio', 'scipy.interpolate'); "
        "print([m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
