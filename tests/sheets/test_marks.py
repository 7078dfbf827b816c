"""Views, back ends and labels: geometry that can be checked with a ruler."""

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from hillwright.job.site import Frame
from hillwright.sheets.figures import nice_step
from hillwright.sheets.furniture import scale_bar
from hillwright.sheets.marks import Fill, Hatch, Line, Pen, Words, upright
from hillwright.sheets.svg import hatch_lines, svg
from hillwright.sheets.view import View, height_label, survey_xy, unit_label

FRAME = Frame(182_880.0, 60_960.0, 0.3048, 0.3048, "ft", "", 0.0, "")
metres = st.floats(-500, 500)


@given(metres, metres, metres, metres, st.floats(-4, 4), st.sampled_from([20, 48, 100, 240]))
def test_a_metre_on_the_ground_is_a_thousand_over_scale_on_paper(x, y, u, v, turn, scale):
    view = View.paper(scale, turn, (3.0, 4.0), (100.0, 80.0), FRAME)
    a, b = view.place([[x, y], [u, v]])
    assert math.dist(a, b) == pytest.approx(math.dist((x, y), (u, v)) * 1000 / scale, abs=1e-6)


def test_the_survey_view_gives_the_surveys_own_numbers():
    view = View.survey(FRAME, 48)
    # origin 600,000 ft east and 200,000 ft north; 3.048 m further is 10 ft further
    np.testing.assert_allclose(view.place([3.048, 6.096]), [600_010, 200_020])
    np.testing.assert_allclose(survey_xy(FRAME, [3.048, 6.096]), [600_010, 200_020])
    # lettering that is 3 mm high at 1:48 covers 0.144 m of ground
    assert 3 * view.mm == pytest.approx(0.144 / 0.3048)


@pytest.mark.parametrize("system", ["us", "metric"])
@pytest.mark.parametrize("scale", [20, 24, 48, 50, 96, 100, 240, 500, 1000])
def test_the_scale_bar_is_as_long_as_it_says(scale, system):
    marks = scale_bar(scale, system, 56, 8.5)
    x = [float(v) for m in marks if isinstance(m, Line) for v in m.points[:, 0]]
    end = max(float(m.text.split()[0]) for m in marks if isinstance(m, Words) and m.text.split()[0])
    metre = 0.3048 if system == "us" else 1.0
    assert max(x) - min(x) == pytest.approx(end * metre * 1000 / scale)
    assert min(x) >= 0
    assert max(x) <= 56


def test_hatch_lines_stay_inside_and_keep_their_distance():
    corner = np.array([[0, 0], [30, 0], [30, 10], [10, 10], [10, 25], [0, 25]])
    hatch = Hatch("exclusions", corner, 2.0, math.radians(45), Pen(0.1))
    lines = shapely.linestrings(hatch_lines(hatch))
    area = shapely.Polygon(corner)
    assert shapely.covers(area.buffer(1e-9), lines).all()
    # lines of spacing 2 through an area fill it: total length x spacing is the area
    assert shapely.length(lines).sum() * 2.0 == pytest.approx(area.area, rel=0.05)


def test_svg_counts_y_down_and_escapes_every_text():
    marks = [
        Line("cells", np.array([[1, 2], [3, 4]]), Pen(0.2, (1.0, 0.5))),
        Fill("cells", np.array([[0, 0], [1, 0], [1, 1]]), 0.0),
        Words("row-labels", (15, 6), 'A<b>&"\x07', 2.0),
    ]
    root = ET.fromstring(svg(marks, 40, 10, least=2.0))
    assert (root.get("width"), root.get("height")) == ("40mm", "10mm")
    path, fill, words = list(root)
    assert path.get("d") == "M1 8L3 6"
    assert path.get("stroke-dasharray") == "1 0.5"
    assert fill.get("fill") == "#000000"
    assert words.text == 'A<b>&" '


@given(st.floats(-20, 20))
def test_lettering_never_stands_on_its_head(angle):
    turned = upright(angle)
    assert -math.pi / 2 <= turned <= math.pi / 2 + 2e-6
    assert math.isclose(abs(math.cos(turned - angle)), 1.0, abs_tol=1e-9)


@given(st.floats(1e-6, 1e6))
def test_a_nice_step_is_just_above_what_was_asked(least):
    step = nice_step(least)
    assert least * (1 - 1e-8) <= step <= 2.5 * least * (1 + 1e-8)
    assert re.match(r"[125]\.?0*(e|$)", f"{step:.6e}")


def test_survey_feet_are_told_from_international_feet():
    survey_foot = replace(FRAME, unit_name="us_survey_foot", z_unit=1200 / 3937)
    assert (unit_label(FRAME), height_label(FRAME)) == ("ft", "ft")
    assert (unit_label(survey_foot), height_label(survey_foot)) == ("US survey ft", "US survey ft")
    # a grid's scale may be in the metres of a unit; its name stays
    assert unit_label(replace(FRAME, unit=0.9999, unit_name="m")) == "m"
