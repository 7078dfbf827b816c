"""LandXML surfaces: northing first, and nothing but plain points is read."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import SurveyError
from hillwright.job.landxml import landxml_point, read_landxml

TOP = '<?xml version="1.0" encoding="UTF-8"?>\n<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2">'
UNITS = '<Units><Imperial linearUnit="USSurveyFoot" areaUnit="squareFoot"/></Units>'
POINTS = (
    '<P id="7">5012.34 2001.05 103.27</P><P id="9">5020 2009 104</P><P id="12">5030 2001 105</P>'
)


def surface(points=POINTS, units=UNITS):
    return (
        f'{TOP}{units}<Surfaces><Surface name="g"><Definition surfType="TIN"><Pnts>{points}</Pnts>'
        '<Faces><F i="1">7 9 12</F></Faces></Definition></Surface></Surfaces></LandXML>'
    )


# LandXML 1.2 schema documentation, element P: northing easting elevation
def test_a_point_is_northing_easting_elevation():
    found = landxml_point("5012.340 2001.050 103.270")
    assert (found.northing, found.easting, found.elevation) == (5012.34, 2001.05, 103.27)
    assert found.xyz.tolist() == [2001.05, 5012.34, 103.27]


@given(st.tuples(*[st.floats(-1e7, 1e7)] * 3))
def test_what_is_written_is_read_back(numbers):
    found = landxml_point(" ".join(map(repr, numbers)))
    assert (found.northing, found.easting, found.elevation) == numbers


@pytest.mark.parametrize("text", ["", "1 2", "1 2 3 4", "1 2 x", "1 2 nan"])
def test_what_is_no_point_is_refused(text):
    with pytest.raises(SurveyError, match="write northing easting elevation"):
        landxml_point(text)


def test_a_surface_gives_its_points_and_unit_to_the_site(site):
    found = site('[survey]\nkind = "points"\nfile = "g.xml"\n', g_xml=surface())
    assert found.frame.unit == pytest.approx(1200 / 3937)
    assert found.measured.names == ("7", "9", "12")
    assert found.measured.where[0] == "g.xml point 7"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('<!DOCTYPE x [<!ENTITY a "b">]>' + surface()[55:], "document type or entity"),
        ("<LandXML><Surfaces></LandXML>", "not well-formed"),
        ("<kml></kml>", "not a LandXML file"),
        (f"{TOP}</LandXML>", "holds 0 surfaces"),
        (surface(""), "no points"),
        (surface('<P id="4">1 2</P>'), "g.xml: point 4"),
    ],
)
def test_other_files_are_refused(text, says):
    with pytest.raises(SurveyError) as caught:
        read_landxml(text, "g.xml")
    assert says in str(caught.value)


@given(st.text(max_size=100))
def test_no_text_at_all_gives_anything_but_points_or_a_survey_error(text):
    for whole in (text, surface(text)):
        try:
            read_landxml(whole, "g.xml")
        except SurveyError:
            continue
