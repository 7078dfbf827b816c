"""DEM GeoTIFFs: pixel centres, no-data, units, windows, degrees, and every refusal."""

import json
import warnings

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine

from hillwright.job import dem
from hillwright.job.dem import pixel_centre


def from_origin(west, north, dx, dy):
    return Affine(dx, 0, west, 0, -dy, north)


JOB = '[survey]\nkind = "dem"\nfile = "d.tif"\n'
UTM = "EPSG:32610"


@pytest.fixture
def write(tmp_path):
    """Give a function that writes a DEM beside the job."""

    def put(z, transform=None, crs=UTM, nodata=None, unit="", bands=1, dtype="float64", **more):
        z = np.asarray(z, dtype=dtype)
        transform = transform or from_origin(500_000, 4_100_000, 1, 1)
        profile = {"driver": "GTiff", "dtype": dtype, "count": bands, "crs": crs, "nodata": nodata}
        profile |= {"height": z.shape[0], "width": z.shape[1], "transform": transform} | more
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", rasterio.errors.NotGeoreferencedWarning)
            with rasterio.open(tmp_path / "d.tif", "w", **profile) as out:
                for b in range(bands):
                    out.write(z, b + 1)
                if unit:
                    out.units = (unit,)

    return put


def plane(ny=30, nx=40, step=1.0):
    """Heights 100 + 0.5 x + 0.3 y at pixel centres, x and y in pixels' units from the corner."""
    x, y = (np.arange(nx) + 0.5) * step, (ny - np.arange(ny) - 0.5) * step
    return 100 + 0.5 * x + 0.3 * y[:, None]


# Rasterio documentation, Transforms (AffineTransformer example)
def test_a_height_stands_at_the_centre_of_its_pixel():
    t = np.array([300.0379266750948, 0, 101985.0, 0, -300.041782729805, 2826915.0])
    assert pixel_centre(t, np.array(0), np.array(0)) == (102135.01896333754, 2826764.979108635)


def test_rows_go_north_and_each_height_is_where_it_was(site, write):
    write(plane())
    found = site(JOB)
    m, f = found.measured, found.frame
    east = (m.x0 + f.origin_x) / f.unit
    north = (m.y0 + f.origin_y) / f.unit
    assert (east, north) == pytest.approx((500_000.5, 4_099_970.5), abs=1e-6)
    assert m.heights[0, 0] == pytest.approx(100 + 0.25 + 0.15)
    assert m.heights[-1, 0] > m.heights[0, 0]
    assert m.dx == pytest.approx(1 / 0.9996, rel=1e-6)
    assert not m.heights.flags.writeable


def test_a_raster_that_goes_south_is_turned(site, write):
    write(plane()[::-1], Affine(1, 0, 500_000, 0, 1, 4_099_970))
    assert site(JOB).measured.heights[0, 0] == pytest.approx(100.4)


@pytest.mark.parametrize(
    ("value", "declared"),
    [(-9999, -9999), (-9999, None), (-999999, None), (np.nan, None), (-32768, -1)],
)
def test_pixels_without_a_height_are_blank(site, write, value, declared):
    z = plane()
    z[3:6, 4:8] = value
    write(z, nodata=declared)
    assert np.isnan(site(JOB).measured.heights).sum() == 12


def test_zeros_far_off_all_other_heights_are_blank_and_said(site, write):
    z = plane() + 1000
    z[0, 0] = 0
    write(z)
    found = site(JOB)
    assert np.isnan(found.measured.heights).sum() == 1
    assert "1 pixels of height 0" in found.frame.note


def test_scale_and_offset_of_the_band_are_used(site, write, tmp_path):
    write(plane() * 10, dtype="int16")
    with rasterio.open(tmp_path / "d.tif", "r+") as out:
        out.scales, out.offsets = (0.1,), (5.0,)
    assert site(JOB).measured.heights[0, 0] == pytest.approx(105.4, abs=0.11)


@pytest.mark.parametrize(
    ("crs", "unit", "job_unit", "metres"),
    [
        (UTM, "", "", 1.0),
        (UTM, "US survey foot", "", 1200 / 3937),
        (UTM, "ft", "", 0.3048),
        (UTM, "", "ft", 0.3048),
        ("EPSG:26910+6360", "", "", 1200 / 3937),
    ],
)
def test_heights_come_in_the_unit_of_band_job_or_system(site, write, crs, unit, job_unit, metres):
    write(plane(), crs=crs, unit=unit)
    job = JOB + (f'unit = "{job_unit}"\n' if job_unit else "")
    found = site(job)
    assert found.measured.heights[0, 0] == pytest.approx(100.4 * metres)
    said = "the file does not say" in found.frame.note
    assert said == (crs == UTM and not unit and not job_unit)


def test_a_foot_grid_becomes_metres(site, write):
    write(plane(), from_origin(6_000_000, 2_000_000, 3, 3), crs="EPSG:2227")
    found = site(JOB)
    assert found.measured.dx == pytest.approx(3 * 1200 / 3937, rel=2e-4)
    assert found.frame.unit * found.frame.scale == pytest.approx(1200 / 3937)


def test_only_a_window_round_the_outline_is_read(site, write):
    write(plane(400, 500))
    ring = [[500_200, 4_099_800], [500_220, 4_099_800], [500_220, 4_099_815]]
    text = json.dumps({"type": "Polygon", "coordinates": [ring]})
    found = site(JOB + '[outline]\nfile = "o.geojson"\n', o_geojson=text)
    assert found.measured.heights.shape == (33, 38)
    i = round((found.outline[0, 1] - found.measured.y0) / found.measured.dy)
    j = round((found.outline[0, 0] - found.measured.x0) / found.measured.dx)
    assert found.measured.heights[i, j] == pytest.approx(100 + 0.5 * 200 + 0.3 * 200, abs=0.5)


def test_a_raster_finer_than_any_hillside_needs_is_averaged(site, write, monkeypatch):
    monkeypatch.setattr(dem, "MOST", 300)
    write(plane(30, 40))
    found = site(JOB)
    m, f = found.measured, found.frame
    assert m.heights.shape == (15, 20)
    x = (m.x0 + f.origin_x) / f.unit - 500_000
    y = (m.y0 + f.origin_y) / f.unit - 4_099_970
    assert m.heights[0, 0] == pytest.approx(100 + 0.5 * x + 0.3 * y, abs=1e-6)
    assert "averaged over 2 x 2 pixels" in f.note


# a plane in degrees is a plane on the ground, over a lot, to a few millimetres
def test_degrees_are_laid_onto_square_metres(site, write):
    step, ny, nx = 1e-5, 40, 60
    x, y = (np.arange(nx) + 0.5) * step, (ny - np.arange(ny) - 0.5) * step
    z = 100 + 5e4 * x + 3e4 * y[:, None]
    write(z, from_origin(-122.4, 37.9, step, step), crs="EPSG:4326")
    found = site(JOB)
    m = found.measured
    import pyproj

    back = pyproj.Transformer.from_crs(found.frame.crs, "EPSG:4326", always_xy=True)
    i, j = np.mgrid[5 : m.heights.shape[0] - 5, 5 : m.heights.shape[1] - 5]
    lon, lat = back.transform(m.x0 + j * m.dx, m.y0 + i * m.dy)
    expected = 100 + 5e4 * (lon + 122.4) + 3e4 * (lat - (37.9 - ny * step))
    assert m.dx == m.dy == pytest.approx(step * 111320 * np.cos(np.radians(37.9)), rel=0.01)
    assert np.nanmax(np.abs(m.heights[5:-5, 5:-5] - expected)) < 5e-3


def test_a_raster_without_a_system_takes_the_jobs_or_its_unit(site, refused, write):
    write(plane(), from_origin(10, 40, 1, 1), crs=None)
    assert "survey.unit" in refused(JOB)[0]
    assert site(JOB + 'unit = "m"\n').frame.crs == ""
    write(plane(), crs=None)
    assert site(JOB + f'crs = "{UTM}"\n').frame.crs == UTM


@pytest.mark.parametrize(
    ("how", "job", "says"),
    [
        ({"bands": 3}, "", "has 3 bands: a picture, not heights"),
        ({"transform": Affine(1, 0.1, 500_000, 0.1, -1, 4_100_000)}, "", "rotated against north"),
        ({"transform": Affine.identity()}, "", "no place on the map"),
        ({}, 'crs = "EPSG:2227"\n', "the job says EPSG:2227, the file d.tif says EPSG:32610"),
        ({"unit": "metre"}, 'unit = "ft"\n', "the job says heights in ft"),
        (
            {"transform": from_origin(500_000, 4_100_000, 100, 100)},
            "",
            "more than 1 km; give an outline",
        ),
        ({"transform": from_origin(5e7, 4_100_000, 1, 1)}, "", "do not lie where"),
        ({"crs": "EPSG:3857", "transform": from_origin(-1.36e7, 4.56e6, 1, 1)}, "", "keeps shapes"),
    ],
)
def test_rasters_that_are_no_heights_on_a_map_are_refused(refused, write, how, job, says):
    write(plane(), **how)
    assert says in refused(JOB + job)[0]


def test_rasters_without_any_height_are_refused(refused, write):
    write(np.full((5, 5), np.nan))
    assert "has no heights on the site" in refused(JOB)[0]


def test_an_outline_off_the_raster_is_refused(refused, write):
    write(plane())
    ring = [[501_200, 4_099_800], [501_220, 4_099_800], [501_220, 4_099_815]]
    text = json.dumps({"type": "Polygon", "coordinates": [ring]})
    assert (
        "lies outside this DEM"
        in refused(JOB + '[outline]\nfile = "o.geojson"\n', o_geojson=text)[0]
    )


@pytest.mark.parametrize("data", [b"not a raster", b"II*\0" + b"\0" * 40])
def test_what_is_no_raster_is_refused(refused, data):
    assert "cannot be read as a raster" in refused(JOB, d_tif=data)[0]
