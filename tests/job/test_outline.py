"""Outlines and exclusions: GeoJSON, corners and circles, and every refusal."""

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import SurveyError
from hillwright.job.geojson import geojson_position, read_geojson
from hillwright.job.outline import checked_ring, circle, corridor

SHOTS = "".join(f"{i},{i // 5 * 3},{i % 5 * 3},{100 + i // 5},GR\n" for i in range(25))
JOB = '[survey]\nkind = "points"\nfile = "p.csv"\nunit = "m"\norder = "PNEZD"\n'
DRAWN = JOB + '[outline]\nfile = "o.geojson"\n'
RING = [[1, 1], [10, 1], [10, 10], [1, 10], [1, 1]]


def feature(kind, coordinates, **properties):
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def collection(*features):
    return json.dumps({"type": "FeatureCollection", "features": list(features)})


def wrong(text):
    with pytest.raises(SurveyError) as caught:
        read_geojson(text, "o.geojson")
    return [str(p) for p in caught.value.problems]


# IETF 2016, RFC 7946 section 3.1.1
def test_a_position_is_longitude_latitude_height():
    at = geojson_position([-122.5, 38.0, 30.0])
    assert (at.longitude, at.latitude, at.height, at.crs) == (-122.5, 38, 30, "OGC:CRS84")
    assert math.isnan(geojson_position([-122.5, 38.0]).height)


@pytest.mark.parametrize("position", [[38.0, -122.5], [1], [1, 2, 3, 4], [math.nan, 1]])
def test_what_is_no_position_is_refused(position):
    with pytest.raises(SurveyError):
        geojson_position(position)


@pytest.mark.parametrize(
    "text",
    [
        json.dumps({"type": "Polygon", "coordinates": [RING]}),
        json.dumps(feature("Polygon", [RING])),
        collection(feature("Polygon", [RING])),
        collection(feature("MultiPolygon", [[RING]], role="Outline")),
        json.dumps({"type": "Polygon", "coordinates": [RING[:4][::-1]]}),
    ],
)
def test_one_polygon_in_any_form_is_the_outline(site, text):
    assert sorted(map(tuple, site(DRAWN, p_csv=SHOTS, o_geojson=text).outline.tolist())) == [
        (1, 1), (1, 10), (10, 1), (10, 10),
    ]  # fmt: skip


def test_the_outline_goes_counter_clockwise_whichever_way_it_was_drawn(site):
    text = json.dumps({"type": "Polygon", "coordinates": [RING[::-1]]})
    x, y = site(DRAWN, p_csv=SHOTS, o_geojson=text).outline.T
    assert np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) > 0


def test_holes_and_parts_and_corridors_become_exclusions(site):
    hole = [[3, 3], [4, 3], [4, 4], [3, 3]]
    text = collection(
        feature("Polygon", [RING, hole], role="outline", name="bank"),
        feature("MultiPolygon", [[[[5, 5], [6, 5], [6, 6]]], [[[7, 7], [8, 7], [8, 8]]]],
                role="exclusion", name="rocks"),
        feature("Point", [8, 3], role="exclusion", name="oak", radius="50 cm"),
        feature("LineString", [[0, 2], [5, 2]], role="exclusion", name="trail", width="1 m"),
        feature("LineString", [[10, 10], [1, 10]], role="string"),
    )  # fmt: skip
    found = site(DRAWN, p_csv=SHOTS, o_geojson=text)
    names = [e.name for e in found.exclusions]
    assert names == ["hole 1 in bank", "rocks 1", "rocks 2", "oak", "trail"]
    assert found.exclusions[4].ring.min(axis=0).tolist() == [0, 1.5]
    assert found.string.tolist() == [[1, 10], [10, 10]]
    assert found.outline_where == "o.geojson: feature 1"


def test_a_hole_in_an_exclusion_is_kept_clear_too(site):
    ring = [[2, 2], [8, 2], [8, 8], [2, 8]]
    hole = [[4, 4], [5, 4], [5, 5]]
    text = collection(
        feature("Polygon", [RING], role="outline"),
        feature("Polygon", [ring, hole], role="exclusion", name="pond"),
    )
    found = site(DRAWN, p_csv=SHOTS, o_geojson=text)
    assert len(found.exclusions) == 1
    assert "'pond' is kept clear as well" in found.frame.note


def test_two_parts_that_touch_are_one_outline_and_two_apart_are_refused(site, refused):
    left, right = [[1, 1], [5, 1], [5, 9], [1, 9]], [[5, 1], [9, 1], [9, 9], [5, 9]]
    text = collection(feature("MultiPolygon", [[left], [right]], role="outline"))
    assert np.ptp(site(DRAWN, p_csv=SHOTS, o_geojson=text).outline, axis=0).tolist() == [8, 8]
    apart = [[6, 1], [9, 1], [9, 9], [6, 9]]
    text = collection(feature("MultiPolygon", [[left], [apart]], role="outline"))
    assert "do not join up" in refused(DRAWN, p_csv=SHOTS, o_geojson=text)[0]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"type": "Polygon",\n "coordinates": [[[1, 2}', "o.geojson line 2: is not JSON"),
        ("[" * 100_000, "is not GeoJSON"),
        ("[]", "is not GeoJSON with an outline"),
        ('{"type": "Topology"}', "is not GeoJSON with an outline"),
        (collection(), "holds no outline"),
        (json.dumps({"type": "Polygon", "coordinates": [RING], "crs": {}}), ""),
        (
            json.dumps({"type": "Polygon", "coordinates": [RING], "crs": {"type": "name"}}),
            "names no coordinate system",
        ),
        (
            collection(feature("Polygon", [RING]), feature("Polygon", [RING])),
            "feature 1: has no role",
        ),
        (collection(feature("Polygon", [RING], role="fence")), "has the role 'fence'"),
        (collection(feature("Point", [1, 2], role="outline")), "a outline cannot be a Point"),
        (collection(feature("Polygon", [RING], role="string")), "a string cannot be a Polygon"),
        (collection(feature("Point", [1, 2], role="exclusion")), "has no unit"),
        (collection(feature("Point", [1, 2], role="exclusion", radius="0 m")), "not more than 0"),
        (collection(feature("Polygon", [[[1, 2], ["a", 3]]])), "not finite numbers"),
        (collection(feature("Polygon", [[[1, 2], [True, 3]]])), "not finite numbers"),
        (collection(feature("Polygon", [[[1, 2], [1e999, 3]]])), "not finite numbers"),
        (collection(feature("Polygon", [[[1, 2], [10**400, 3]]])), "not finite numbers"),
        (collection(feature("Polygon", [])), "not finite numbers"),
        (collection(feature("Polygon", 7)), "not finite numbers"),
        (collection({"type": "Feature", "geometry": None}), "not a feature with a geometry"),
        (collection(7), "not a feature with a geometry"),
    ],
)
def test_what_is_wrong_in_a_geojson_file_is_told_by_feature(text, says):
    if not says:
        assert read_geojson(text, "o.geojson")[1] == ""
    else:
        assert says in wrong(text)[0]


@given(st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda deeper: st.lists(deeper, max_size=4)
    | st.dictionaries(
        st.sampled_from(["type", "geometry", "features", "coordinates", "properties", "role"]),
        deeper | st.sampled_from(["Polygon", "Feature", "FeatureCollection", "exclusion", "Point"]),
        max_size=4,
    ),
    max_leaves=25,
))  # fmt: skip
def test_no_json_at_all_gives_anything_but_shapes_or_a_survey_error(value):
    try:
        read_geojson(json.dumps(value), "o.geojson")
    except SurveyError:
        return


def test_an_outline_that_crosses_itself_names_the_two_edges(refused):
    text = json.dumps({"type": "Polygon", "coordinates": [[[1, 1], [9, 9], [9, 1], [1, 9]]]})
    at = "o.geojson: the geometry corner"
    assert refused(DRAWN, p_csv=SHOTS, o_geojson=text) == [
        f"{at} 1: the outline crosses itself: the edge from {at} 1 to {at} 2 meets the edge from "
        f"{at} 3 to {at} 4; list the corners in order round the edge"
    ]


def ring(*corners):
    xy = np.array(corners, dtype=float)
    return checked_ring(xy, [f"corner {i}" for i in range(len(xy))], "the outline")


@pytest.mark.parametrize(
    ("corners", "says"),
    [
        ([(0, 0), (4, 4), (4, 0), (0, 4)], "corner 1 meets the edge from corner 2"),
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], "meets"),  # touches an edge
        ([(0, 0), (4, 0), (4, 4), (4, 6), (4, 4.5), (0, 4)], "crosses itself"),  # a spike
        ([(0, 0), (4, 0), (0, 0), (4, 0)], "crosses itself"),
        ([(0, 0), (4, 0)], "has 2 corners"),
        ([(0, 0), (4, 0), (4, 0), (0, 0)], "has 2 corners"),
        ([(0, 0), (4, 0), (8, 0)], "meets"),
    ],
)  # fmt: skip
def test_rings_that_bound_no_ground_are_refused(corners, says):
    with pytest.raises(SurveyError) as caught:
        ring(*corners)
    assert says in str(caught.value)


def test_a_repeated_corner_is_one_corner():
    assert len(ring((0, 0), (0, 0), (4, 0), (4, 4), (0, 4), (0, 0))) == 4


@given(st.integers(3, 40), st.integers(0, 2**31))
def test_a_star_shaped_ring_in_order_is_always_taken(n, seed):
    rng = np.random.default_rng(seed)
    turn = (np.arange(n) + rng.uniform(0.05, 0.4, n)) * 2 * math.pi / n
    reach = rng.uniform(1, 5, n)
    xy = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
    assert len(ring(*xy)) == n


# exact geometry: the apothem of the 24-gon is the radius
@given(st.floats(0.1, 10), st.floats(0, 2 * math.pi))
def test_a_circle_lies_wholly_inside_the_ring_that_stands_for_it(radius, turn):
    import shapely

    shape = shapely.Polygon(circle(np.array([3.0, 4.0]), radius))
    edge = shapely.Point(3 + radius * math.cos(turn), 4 + radius * math.sin(turn))
    assert shape.buffer(1e-9 * radius).contains(edge)
    assert shape.area < 1.01 * math.pi * radius**2


def test_a_corridor_that_closes_on_itself_or_has_no_length_is_refused():
    loop = np.array([[0, 0], [9, 0], [9, 9], [0, 9], [0, 0.2]], dtype=float)
    for line in (loop, np.zeros((2, 2)), np.zeros((1, 2))):
        with pytest.raises(SurveyError):
            corridor(line, 1.0, "o.geojson: feature 2")


def test_exclusions_of_the_job_stand_beside_those_of_the_file(site):
    job = JOB + (
        '[outline]\ncorners = [["1 m", "1 m"], ["10 m", "1 m"], ["10 m", "10 m"]]\n'
        '[[exclusion]]\nname = "oak"\ncentre = ["6 m", "3 m"]\nradius = "1 m"\n'
        '[[exclusion]]\nname = "box"\ncorners = [["2 m", "2 m"], ["3 m", "2 m"], ["3 m", "3 m"]]\n'
        '[benchmarks]\nA = ["0 m", "0 m"]\n'
        '[base_line]\nstart = ["0 m", "0 m"]\nend = ["9 m", "0 m"]\n'
        '[layout]\nfixed_rows = [["5 m", "5 m"]]\nkeep = [["6 m", "6 m"]]\n'
        'string = [["9 m", "9 m"], ["2 m", "9 m"]]\n'
    )
    found = site(job, p_csv=SHOTS)
    assert [(e.name, len(e.ring)) for e in found.exclusions] == [("oak", 24), ("box", 3)]
    assert found.benchmarks[0].tolist() == [0, 0]
    assert found.benchmarks[1] is None
    assert found.base_line.tolist() == [[0, 0], [9, 0]]
    assert found.fixed_rows.tolist() == [[5, 5]]
    assert found.leave_out.shape == (0, 2)
    assert found.string.tolist() == [[2, 9], [9, 9]]
    assert found.outline_where == "job.toml: outline.corners"


@pytest.mark.parametrize(
    ("extra", "says"),
    [
        ('[outline]\nfile = "o.geojson"\n', "the outline is 0.0003 m across"),
        (
            '[outline]\ncorners = [["1 m", "1 m"], ["9 m", "1 m"], ["1 m", "1 m"]]\n',
            "has 2 corners",
        ),
        ('[base_line]\nstart = ["1 m", "1 m"]\nend = ["1 cm", "1 m"]\n', ""),
    ],
)
def test_places_of_no_plausible_size_are_refused(site, refused, extra, says):
    lonlat = [[8.0001, 47.0001], [8.0004, 47.0001], [8.0004, 47.0003]]
    text = json.dumps({"type": "Polygon", "coordinates": [lonlat]})
    if says:
        assert says in refused(JOB + extra, p_csv=SHOTS, o_geojson=text)[0]
    else:
        assert site(JOB + extra, p_csv=SHOTS).base_line is not None


def test_an_old_crs_member_needs_a_survey_on_the_map(refused):
    named = {"type": "name", "properties": {"name": "EPSG:2227"}}
    text = json.dumps({"type": "Polygon", "coordinates": [RING], "crs": named})
    assert "the survey in a local grid" in refused(DRAWN, p_csv=SHOTS, o_geojson=text)[0]
