"""Coordinate systems: the two feet, axis order, grid and ground, and what is refused."""

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import SurveyError
from hillwright.job.crs import convert_position, converter, grid_distance, parse
from hillwright.job.feet import foot_length, foot_mixup
from hillwright.job.grid import of_crs, system

SHOT = "{},{:.3f},{:.3f},{:.3f},GR\n"


def shots(east, north, step=3.0, n=5):
    return "".join(
        SHOT.format(i, north + i // n * step, east + i % n * step, 100 + i // n)
        for i in range(n * n)
    )


def job(crs, unit="", order="PNEZD", more=""):
    unit = f'unit = "{unit}"\n' if unit else ""
    return (
        f'[survey]\nkind = "points"\nfile = "p.csv"\ncrs = "{crs}"\norder = "{order}"\n{unit}{more}'
    )


# EPSG dataset, unit of measure, as shipped with PROJ 9.5 (seen through get_units_map)
@pytest.mark.parametrize(
    ("name", "code", "metres"),
    [
        ("metre", "9001", 1.0),
        ("foot", "9002", 0.3048),
        ("US survey foot", "9003", 0.3048006096012192),
        ("Clarke's foot", "9005", 0.3047972654),
        ("Indian foot", "9080", 0.304799510248147),
        ("British foot (1936)", "9095", 0.3048007491),
    ],
)
def test_units_of_the_epsg_dataset_have_the_length_that_the_table_gives(name, code, metres):
    from pyproj.database import get_units_map

    unit = get_units_map(auth_name="EPSG", category="linear")[name]
    assert unit.code == code
    assert unit.conv_factor == pytest.approx(metres, rel=1e-14)


@pytest.mark.parametrize(
    ("crs", "metres", "name"),
    [
        ("EPSG:2227", 1200 / 3937, "us_survey_foot"),  # California zone 3 (ftUS)
        ("EPSG:2222", 0.3048, "ft"),  # Arizona East (ft)
        ("EPSG:32610", 1.0, "m"),
    ],
)
def test_the_coordinate_system_brings_its_own_unit(crs, metres, name):
    found = system(crs, "", "job.toml")
    assert found.unit == pytest.approx(metres, rel=1e-14)
    assert found.unit_name == name


# NIST and NOAA 2020, 85 FR 62698
def test_the_feet_are_two_parts_in_a_million_apart():
    assert foot_mixup(5280 * 0.3048).difference / 0.3048 == pytest.approx(0.01056, abs=1e-6)
    assert foot_length("US_survey_foot") / foot_length("ft") == pytest.approx(1.000002000004)
    with pytest.raises(SurveyError, match="is not a foot"):
        foot_length("roman")


def test_the_wrong_foot_for_a_system_is_refused_by_name(refused):
    found = refused(job("EPSG:2227", "ft"), p_csv=shots(6e6, 2e6))
    assert "EPSG:2227 counts in us_survey_foot of 0.3048006096 m" in found[0]
    assert 'write unit = "us_survey_foot"' in found[0]


def test_plain_feet_beside_a_survey_in_survey_feet_are_refused(refused, site):
    ring = ((6000002, 2000002), (6000009, 2000002), (6000009, 2000009))
    corners = "[" + ", ".join(f'["{e} {{0}}", "{n} {{0}}"]' for e, n in ring) + "]"
    text = job("EPSG:2227", more=f"[outline]\ncorners = {corners}\n")
    found = refused(text.replace("{0}", "ft"), p_csv=shots(6e6, 2e6))
    assert "at these coordinates they lie 3.7 m apart" in found[0]
    good = site(text.replace("{0}", "us_survey_foot"), p_csv=shots(6e6, 2e6))
    f = good.frame
    assert (good.outline[0] + [f.origin_x, f.origin_y]) / f.unit == pytest.approx(
        [6000002, 2000002]
    )


# pyproj issue 510
def test_latitude_first_is_the_authority_s_order_and_never_ours():
    found = convert_position("EPSG:28992", "EPSG:4326", 103392.0, 468608.6)
    assert found.xy == pytest.approx([4.63225614, 52.20316882], abs=2e-7)
    assert found.authority == pytest.approx([52.20316882, 4.63225614], abs=2e-7)


# from memory: the central meridian of a UTM zone has scale 0.9996
def test_a_site_in_utm_keeps_its_size_on_the_ground(site):
    found = site(job("EPSG:32610"), p_csv=shots(500_000, 4_100_000, step=10))
    f = found.frame
    assert f.scale == pytest.approx(0.9996, abs=1e-7)
    assert np.ptp(found.measured.xyz[:, 0]) == pytest.approx(40 / 0.9996, rel=1e-6)
    back = (found.measured.xyz[:, 0] + f.origin_x) / f.unit
    assert back.min() == pytest.approx(500_000, abs=1e-6)
    assert f.unit * f.scale == pytest.approx(1)
    assert "50 m tape on the ground is 20 mm less on the grid" in f.note
    assert math.sin(f.north) == pytest.approx(0, abs=1e-5)


# exact geometry; independent oracle: the geodesic azimuth of grid north
def test_grid_north_is_turned_by_the_convergence(site):
    import pyproj

    found = site(job("EPSG:32610"), p_csv=shots(300_000, 4_100_000))
    p = pyproj.Proj("EPSG:32610")
    a, b = p(300_000, 4_100_000, inverse=True), p(300_000, 4_100_500, inverse=True)
    azimuth = pyproj.Geod(ellps="GRS80").inv(*a, *b)[0]
    assert math.degrees(found.frame.north) - 360 == pytest.approx(azimuth, abs=1e-3)


@given(st.floats(0.1, 1000), st.floats(0.99, 1.01))
def test_grid_distance_is_the_ground_distance_times_the_scale(ground, k):
    found = grid_distance(ground, k)
    assert found.grid_distance == ground * k
    assert found.difference == abs(ground * k - ground)


@pytest.mark.parametrize("k", [0, -1, math.nan, math.inf])
def test_a_scale_that_is_none_is_refused(k):
    with pytest.raises(SurveyError):
        grid_distance(50, k)


def test_degrees_are_projected_to_metres_on_the_ground(site):
    import pyproj

    lonlat = [(-122.4 + i % 4 * 4e-5, 37.9 + i // 4 * 4e-5) for i in range(16)]
    text = "P,lat,lon,elev\n" + "".join(
        f"{i},{b:.7f},{a:.7f},{100 + i}\n" for i, (a, b) in enumerate(lonlat)
    )
    found = site(job("EPSG:4326", order="auto"), p_csv=text)
    xyz = found.measured.xyz
    geod = pyproj.Geod(ellps="WGS84")
    far = geod.inv(*lonlat[0], *lonlat[15])[2]
    assert np.linalg.norm(xyz[15, :2] - xyz[0, :2]) == pytest.approx(far, abs=1e-4)
    assert pyproj.CRS.from_user_input(found.frame.crs).is_projected
    assert "Heights taken as metres" in found.frame.note
    back = pyproj.Transformer.from_crs(found.frame.crs, "EPSG:4326", always_xy=True)
    assert back.transform(*xyz[5, :2]) == pytest.approx(lonlat[5], abs=1e-8)


DEGREES = "".join(
    f"{i},{37.9 + i // 4 * 4e-5:.7f},{-122.4 + i % 4 * 4e-5:.7f},{100 + i}\n" for i in range(16)
)


def test_beside_a_survey_in_degrees_places_are_longitude_and_latitude(site):
    more = (
        '[outline]\ncorners = [["-122.40001 deg", "37.89999 deg"], ["-122.39988 deg", "37.9 deg"], '
        '["-122.39989 deg", "37.9001 deg"]]\n'
        '[[exclusion]]\nname = "oak"\ncentre = ["-122.39992 deg", "37.90003 °"]\nradius = "1 m"\n'
        '[supply]\nplace = ["-122.4 deg", "37.9 deg"]\n'
    )
    found = site(job("EPSG:4326", order="auto", more=more), p_csv=DEGREES)
    shot = found.measured.xyz[0, :2]  # the first one stands where the tap is
    assert found.tap == pytest.approx(shot, abs=1e-6)
    ring = found.exclusions[0].ring
    assert np.ptp(ring, axis=0) == pytest.approx([2, 2], abs=0.05)
    assert len(found.outline) == 3


def test_degrees_beside_a_survey_in_lengths_are_refused(refused):
    more = '[supply]\nplace = ["-122.4 deg", "37.9 deg"]\n'
    text = "".join(f"{i},{i // 4 * 3},{i % 4 * 3},{i}\n" for i in range(16))
    said = refused('[survey]\nkind = "points"\nfile = "p.csv"\nunit = "m"\n' + more, p_csv=text)
    assert "is in degrees, and the survey counts in lengths" in said[0]


def test_degrees_leave_no_zero_for_places_in_feet(refused):
    text = "P,lat,lon,elev\n1,37.9,-122.4,1\n2,37.9001,-122.4,2\n3,37.9,-122.3999,3\n"
    more = '[benchmarks]\nA = ["1 ft", "1 ft"]\n'
    assert "have no zero" in refused(job("EPSG:4326", order="auto", more=more), p_csv=text)[0]
    more = '[outline]\ncorners = [["1 m", "1 m"], ["9 m", "1 m"], ["9 m", "9 m"]]\n'
    assert "have no zero" in refused(job("EPSG:4326", order="auto", more=more), p_csv=text)[0]


@pytest.mark.parametrize(
    ("crs", "says"),
    [
        ("EPSG:3857", "keeps shapes"),  # web maps: north and east differ on the ground
        ("EPSG:999999", "is not known"),
        ("hill", "is not known"),
        ("EPSG:5703", "is not a map system"),  # heights only
        ("EPSG:32633", "do not lie where EPSG:32633 is meant for"),
    ],
)
def test_systems_that_do_not_fit_are_refused(refused, crs, says):
    place = (-13_630_000, 4_560_000) if crs == "EPSG:3857" else (6e6, 2e6)
    assert says in refused(job(crs), p_csv=shots(*place))[0]


def test_swapped_columns_are_seen_by_where_the_system_holds(refused, site):
    text = shots(2e6, 6e6)
    assert "northing and easting look swapped" in refused(job("EPSG:2227"), p_csv=text)[0]
    found = site(job("EPSG:2227", order="auto"), p_csv=text)
    assert "read as PENZD: told by where EPSG:2227" in found.frame.note


def test_a_change_of_height_datum_is_refused():
    with pytest.raises(SurveyError, match="change datum"):
        converter(parse("EPSG:32610+5703", ""), parse("EPSG:32610+3855", ""))


def test_a_compound_system_gives_the_unit_of_height():
    # 6360: NAVD88 height (ftUS), on a metric grid
    found = of_crs(parse("EPSG:26910+6360", ""), "EPSG:26910+6360", "", "job.toml")
    assert (found.unit, found.z_unit) == (1.0, pytest.approx(1200 / 3937))


def outline(*corners, **more):
    return json.dumps({"type": "Polygon", "coordinates": [corners], **more})


def test_longitude_and_latitude_land_on_the_survey(site):
    at = convert_position("EPSG:2227", "OGC:CRS84", 6_000_020, 2_000_020).xy
    ring = [[at[0] + dx, at[1] + dy] for dx, dy in ((-2e-5, -2e-5), (2e-5, -2e-5), (0, 2e-5))]
    text = job("EPSG:2227", more='[outline]\nfile = "o.geojson"\n')
    found = site(text, p_csv=shots(6e6, 2e6, 10), o_geojson=outline(*ring))
    assert np.ptp(found.outline[:, 0]) == pytest.approx(
        4e-5 * 111320 * math.cos(math.radians(37.47)), rel=0.01
    )
    assert "good to 4 m only" in found.frame.note


def test_projected_numbers_are_taken_as_the_survey_s_own(site):
    ring = [[6000002, 2000002], [6000030, 2000002], [6000030, 2000030]]
    text = job("EPSG:2227", more='[outline]\nfile = "o.geojson"\n')
    found = site(text, p_csv=shots(6e6, 2e6, 10), o_geojson=outline(*ring))
    assert "in the survey's own numbers" in found.frame.note
    assert np.ptp(found.outline[:, 0]) / found.frame.unit == pytest.approx(28)


def test_latitude_first_in_a_geojson_is_told(refused):
    at = convert_position("EPSG:2227", "OGC:CRS84", 6_000_020, 2_000_020).xy
    ring = [[at[1] + dy, at[0] + dx] for dx, dy in ((-2e-5, -2e-5), (2e-5, -2e-5), (0, 2e-5))]
    text = job("EPSG:2227", more='[outline]\nfile = "o.geojson"\n')
    found = refused(text, p_csv=shots(6e6, 2e6, 10), o_geojson=outline(*ring))
    assert "in that order" in found[0]


def test_an_old_crs_member_is_followed(site):
    to = convert_position("EPSG:2227", "EPSG:26910", 6_000_020, 2_000_020).xy
    ring = [[to[0] + dx, to[1] + dy] for dx, dy in ((-3, -3), (3, -3), (0, 3))]
    named = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26910"}}
    text = job("EPSG:2227", more='[outline]\nfile = "o.geojson"\n')
    found = site(text, p_csv=shots(6e6, 2e6, 10), o_geojson=outline(*ring, crs=named))
    assert np.ptp(found.outline[:, 0]) == pytest.approx(6, rel=1e-3)
