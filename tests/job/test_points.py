"""Point files: orders of columns, what real exports hold, codes, and every refusal."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import SurveyError
from hillwright.job.model import SurveyFile
from hillwright.job.points import features, point_line, read_points

JOB = '[survey]\nkind = "points"\nfile = "points.csv"\nunit = "m"\n'
SQUARE = "1,0,0,10,GR\n2,0,9,11,GR\n3,9,9,12,GR\n4,9,0,13,GR\n"


def read(text, **survey):
    return read_points(text, "points.csv", SurveyFile(kind="points", file="points.csv", **survey))


def wrong(text, **survey):
    def whole():
        shots = read(text, **survey).shots
        features(shots, SurveyFile(kind="points", file="points.csv"), "points.csv")

    with pytest.raises(SurveyError) as caught:
        whole()
    return [str(p) for p in caught.value.problems]


def places(text, **survey):
    return [(s.east, s.north, s.height) for s in read(text, **survey).shots]


# common practice, no source: point, northing, easting, elevation, description
def test_a_description_keeps_its_commas():
    point = point_line("101,5012.340,2001.050,103.270,GRND toe of bank, wet, soft")
    assert point.description == "GRND toe of bank, wet, soft"
    assert point.xyz.tolist() == [2001.05, 5012.34, 103.27]


def test_penzd_swaps_the_first_two_numbers():
    point = point_line("a7,2001.05,5012.34,103.27,", "PENZD")
    assert (point.point, point.easting, point.northing) == ("a7", 2001.05, 5012.34)


def test_a_blank_elevation_is_no_height_and_never_zero():
    assert math.isnan(point_line("1,2,3,,EX").elevation)
    assert read("1,2,3,,EX\n2,3,4,5,GR\n").shots[0].height is None


def test_nh_in_the_description_is_no_height():
    assert read("1,2,3,0,EX oak NH\n2,3,4,5,GR\n").shots[0].height is None


@given(
    name=st.from_regex(r"[A-Za-z0-9_-]{1,8}", fullmatch=True),
    numbers=st.tuples(*[st.floats(-1e7, 1e7)] * 3),
    about=st.from_regex(r"[A-Za-z0-9,;:. -]{0,30}", fullmatch=True).map(str.strip),
    order=st.sampled_from(["PNEZD", "PENZD"]),
)
def test_what_is_written_in_either_order_is_read_back(name, numbers, about, order):
    n, e, z = numbers
    first, second = (n, e) if order == "PNEZD" else (e, n)
    point = point_line(f"{name},{first!r},{second!r},{z!r},{about}", order)
    assert (point.point, point.northing, point.easting, point.elevation) == (name, n, e, z)
    assert point.description == about


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("Point,Northing,Easting,Elevation,Description\n1,2,3,4,GR\n", "auto"),
        ("pt;E;N;Z;code\n1;3;2;4;GR\n", "auto"),
        ("x,y,z\n3,2,4\n", "auto"),
        ("\ufeffX Y Z\n3 2 4\n", "auto"),
        ("3,2,4\n", "auto"),
        ("3\t2\t4\tGR\n", "XYZD"),
        ("3,2,4,grass\n", "auto"),
        ("1,2,3,4\n", "PNEZD"),
        ("# shot in May\n\n1,2,3,4,GR\n", "PNEZD"),
        ("P,E,N,Z\n1,3,2,4\n", "PENZD"),
        (
            '"Point","Northing (m)","Easting (m)","Elevation (m)","Desc"\n"1","2","3","4","a, b"\n',
            "auto",
        ),
    ],
)
def test_each_usual_form_puts_easting_northing_and_height_where_they_belong(text, order):
    assert places(text.lstrip("\ufeff"), order=order) == [(3.0, 2.0, 4.0)]


def test_semicolons_let_decimals_have_a_comma():
    text = "1;5012,34;2001,05;103,27;GR\n2;5013,00;2001,05;104;GR\n"
    assert places(text, order="PNEZD")[0] == (2001.05, 5012.34, 103.27)


def test_decimal_commas_between_commas_are_seen():
    text = "".join(f"{i},5012,34,2001,05,103,27,GR\n" for i in range(3))
    assert "decimals written with a comma" in wrong(text)[0]


def test_the_header_names_the_unit():
    assert read("P,N (ft),E (ft),Z (ft)\n1,2,3,4\n").unit == "ft"


def test_five_columns_without_a_header_are_not_sure():
    assert not read(SQUARE).sure
    assert read(SQUARE, order="PENZD").sure


def test_every_bad_line_is_told_at_once_with_its_number():
    found = wrong("1,0,0,1,GR\n2,x,0,1,GR\n3,0\n4,0,0,nan,GR\n5,1e999,0,1,GR\n")
    assert [f.split(":")[0] for f in found] == [f"points.csv line {n}" for n in (2, 3, 4, 5)]
    assert "the northing 'x' is not a number; write a plain number" in found[0]
    assert "has 2 columns; write point, northing, easting, elevation" in found[1]
    assert "leave it blank where the shot has no height" in found[2]


@pytest.mark.parametrize(
    ("text", "survey", "says"),
    [
        ("P,E,N,Z\n1,3,2,4\n", {"order": "PNEZD"}, "leave the order to the header"),
        ("alpha,beta,gamma\n1,2,3\n", {}, "names no northing and easting"),
        ("N,E,D\n1,2,x\n", {}, "names no elevation"),
        ("N,E,N,Z\n1,2,3,4\n", {}, "one column twice"),
        ("P,N,E,Z\n", {}, "no shots below its header"),
        ("# nothing\n", {}, "holds no shots"),
        ("1,2,3,4,OL\n2,3,4,5,OL\n", {}, "the outline (OL) has 2 shot; take at least 3"),
        ("1,2,3,4,EX oak\n", {}, "exclusion EX oak has 1 shot"),
        ("1,2,3,4,BL 1\n2,3,4,5,GR\n", {}, "breakline BL 1 has 1 shot"),
        ("1,2,3,4,TS\n2,3,4,5,GR\n", {}, "the top string (TS) has 1 shot"),
        ("1,2,3,,BL 1\n2,3,4,5,BL 1\n", {}, "breakline shot 1 has no height"),
    ],
)
def test_refusals_name_the_thing_and_what_would_be_right(text, survey, says):
    assert any(says in line for line in wrong(text, **survey))


def test_codes_are_grouped_by_the_word_behind_and_case_does_not_matter():
    codes = ["OL", "ol corner", "Ol-3", "EX oak", "ex OAK", "EX oak", "BL 1", "bl1", "BL 2/OL"]
    codes += ["BL2", "TS", "ts", "EXTRA", "BLDG corner", "GR"]
    text = "".join(f"{i},{i},{i},1,{c}\n" for i, c in enumerate(codes))
    survey = SurveyFile(kind="points", file="p.csv")
    found = features(read(text).shots, survey, "p.csv")
    assert found.outline == [0, 1, 2, 8]
    assert found.exclusions == {"oak": [3, 4, 5]}
    assert found.breaklines == {"1": [6, 7], "2": [8, 9]}
    assert found.string == [10, 11]


def test_a_job_may_have_its_own_codes():
    survey = SurveyFile(kind="points", file="p.csv", outline_code="EDGE", breakline_code="CREST")
    text = "1,0,0,1,EDGE\n2,0,1,1,EDGE\n3,1,1,1,EDGE\n4,1,0,1,OL\n"
    assert features(read(text).shots, survey, "p.csv").outline == [0, 1, 2]


@given(st.text(max_size=200))
def test_no_text_at_all_gives_anything_but_shots_or_a_survey_error(text):
    try:
        shots = read(text).shots
        features(shots, SurveyFile(kind="points", file="p.csv"), "p.csv")
    except SurveyError:
        return
    assert all(math.isfinite(s.east) and math.isfinite(s.north) for s in shots)


@given(st.lists(st.sampled_from([*'0123456789,;.\t -+eEn#"\n', "NaN", "OL", "BL 1", "\r", "1e9"])))
def test_no_broken_point_file_gives_anything_but_shots_or_a_survey_error(parts):
    try:
        read("".join(parts))
    except SurveyError:
        return


def test_a_site_has_ground_outline_exclusions_breaklines_and_string(site):
    text = SQUARE + (
        "11,1,1,10,OL\n12,1,8,11,OL\n13,8,8,12,OL\n14,8,1,13,OL\n"
        "21,2,2,,EX stump\n22,2,3,,EX stump\n23,3,3,,EX stump\n"
        "31,4,1,12,BL 1\n32,4,8,12.5,BL 1\n"
    )
    found = site(JOB, points_csv=text)
    assert found.outline.tolist() == [[1, 1], [8, 1], [8, 8], [1, 8]]  # counter-clockwise
    assert [e.name for e in found.exclusions] == ["stump"]
    assert len(found.measured.names) == 10
    assert found.measured.breaklines == ((8, 9),)
    assert found.measured.where[-1] == "points.csv line 13"
    assert "3 shots of points.csv have no height" in found.frame.note
    assert "northing or easting comes first" in found.frame.note
    assert not found.measured.xyz.flags.writeable


def test_an_outline_elsewhere_tells_the_order_of_the_columns(site):
    shots = "".join(f"{i},{2000 + i % 4 * 3},{5000 + i // 4 * 3},{100 + i},GR\n" for i in range(16))
    job = JOB + (
        '[outline]\ncorners = [["2001 m", "5001 m"], ["2008 m", "5001 m"], ["2008 m", "5008 m"]]\n'
    )
    found = site(job, points_csv=shots)
    assert "read as PENZD: told by the outline" in found.frame.note
    assert found.measured.xyz[1, 0] == 2003


def test_an_outline_that_fits_neither_order_is_off_the_survey(refused):
    job = JOB + '[outline]\ncorners = [["90 m", "90 m"], ["98 m", "90 m"], ["98 m", "98 m"]]\n'
    assert "off the survey" in refused(job, points_csv=SQUARE)[0]


def test_an_outline_with_its_numbers_swapped_is_told_so(refused):
    shots = "P,N,E,Z\n" + "".join(f"{i},{500 + i},{20 + i * i % 7},{i}\n" for i in range(9))
    job = JOB + '[outline]\ncorners = [["501 m", "21 m"], ["506 m", "21 m"], ["506 m", "25 m"]]\n'
    assert "look swapped" in refused(job, points_csv=shots)[0]


def test_a_filled_in_zero_height_is_seen(refused):
    text = "1,0,0,101,GR\n2,0,9,102,GR\n3,9,9,0,GR\n4,9,0,103,GR\n"
    assert refused(JOB, points_csv=text) == [
        "points.csv line 3: height 0 is 102 away from the other heights; "
        "leave the elevation blank where the shot has none"
    ]


def test_a_site_that_starts_at_zero_may_have_zero_heights(site):
    assert site(JOB, points_csv="1,0,0,0,GR\n2,0,9,1,GR\n3,9,9,2,GR\n").measured.xyz[0, 2] == 0


def test_one_stray_shot_is_named(refused):
    text = SQUARE + "5,50000,5,12,GR\n"
    assert "points.csv line 5: this shot lies 50,000 m" in refused(JOB, points_csv=text)[0]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1,0,0,1,GR\n2,0,0.4,2,GR\n3,0.4,0,2,GR\n", "only 0.4 m across"),
        ("1,0,0,1,\n2,0,3000,2,\n3,4000,0,2,\n4,4000,3000,1,\n", "more than 1 km"),
        ("1,0,0,,OL\n2,0,9,,OL\n3,9,9,,OL\n", "no shot has a height"),
    ],
)
def test_a_survey_of_no_plausible_size_is_refused(refused, text, says):
    assert says in refused(JOB, points_csv=text)[0]


def test_the_unit_is_never_guessed(refused, site):
    job = JOB.replace('unit = "m"\n', "")
    assert "write unit" in refused(job, points_csv=SQUARE)[0]
    assert (
        site(job, points_csv="P,N(ft),E(ft),Z(ft)\n" + SQUARE.replace(",GR", "")).frame.unit
        == 0.3048
    )


def test_job_and_header_must_name_one_unit(refused):
    text = "P,N (ft),E (ft),Z (ft)\n" + SQUARE.replace(",GR", "")
    assert "numbers are in ft, the job m" in refused(JOB, points_csv=text)[0]


def test_the_frame_leads_back_to_the_numbers_of_the_file(site):
    text = "".join(f"{i},{2e6 + i * 3},{6e6 + i % 3 * 4},{100 + i},GR\n" for i in range(9))
    found = site(JOB.replace('"m"', '"us_survey_foot"'), points_csv=text)
    f = found.frame
    east = (found.measured.xyz[:, 0] + f.origin_x) / f.unit
    assert np.abs(found.measured.xyz[:, :2]).max() < 200
    assert east == pytest.approx([6e6 + i % 3 * 4 for i in range(9)], abs=1e-6)
    assert found.measured.xyz[3, 2] == pytest.approx(103 * 1200 / 3937)


def test_a_shot_top_string_runs_left_to_right_looking_uphill(site):
    ground = "".join(f"{i},{i // 4 * 3},{i % 4 * 3},{100 + i // 4},GR\n" for i in range(16))
    for ends in ("21,8,8,103,TS\n22,8,1,103,TS\n", "21,8,1,103,TS\n22,8,8,103,TS\n"):
        assert site(JOB, points_csv=ground + ends).string.tolist() == [[1, 8], [8, 8]]


def test_the_jobs_own_outline_counts_before_the_coded_one(site):
    text = SQUARE + "5,1,1,10,OL\n6,1,8,11,OL\n7,8,8,12,OL\n"
    job = JOB + '[outline]\ncorners = [["2 m", "2 m"], ["7 m", "2 m"], ["7 m", "7 m"]]\n'
    found = site(job, points_csv=text)
    assert found.outline.tolist() == [[2, 2], [7, 2], [7, 7]]
    assert "3 shots coded so do not count" in found.frame.note


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (b"\0\1\2", "not a text file"),
    ],
)
def test_a_file_that_is_no_text_is_refused(refused, data, says):
    assert says in refused(JOB, points_csv=data)[0]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "latin-1"])
def test_marks_and_old_encodings_are_read(site, encoding):
    text = SQUARE.replace("GR", "Böschung")
    assert len(site(JOB, points_csv=text.encode(encoding)).measured.names) == 4
