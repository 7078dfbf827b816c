"""A height map of the ground around: its water arrives at row 1, and what does not fit is told."""

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine

from hillwright.errors import HillwrightError
from hillwright.job.around import read_around
from hillwright.job.read import open_job
from hillwright.job.sidecar import read_site
from hillwright.plan import work_out

OUTLINE = """{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {},
 "geometry": {"type": "Polygon", "coordinates": [[[500020, 4100010], [500032, 4100010],
 [500032, 4100018], [500020, 4100018], [500020, 4100010]]]}}],
 "crs": {"type": "name", "properties": {"name": "EPSG:32610"}}}"""


def put(path, rows, columns, step=0.5, crs="EPSG:32610", west=500_000.0, tall=None, square=1.0):
    """Ground that falls south at 1 in 2 from a crest ``tall`` metres up the map."""
    north = 4_100_000.0 + rows * step * square
    y = north - (np.arange(rows) + 0.5) * step * square - 4_100_000.0
    crest = y.max() if tall is None else tall
    z = 100 + 0.5 * np.minimum(y, 2 * crest - y)
    z = np.repeat(z[:, None], columns, axis=1)
    profile = {"driver": "GTiff", "dtype": "float64", "count": 1, "crs": crs, "width": columns}
    shift = Affine(step, 0, west, 0, -step * square, north)
    with rasterio.open(path, "w", height=rows, transform=shift, **profile) as out:
        out.write(z, 1)


def job(tmp_path, rain="", survey="dem"):
    text = f'[survey]\nkind = "dem"\nfile = "{survey}.tif"\n[outline]\nfile = "o.geojson"\n'
    (tmp_path / "o.geojson").write_text(OUTLINE, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(f"{text}[rain]\n{rain}\n", encoding="utf-8")
    return open_job(path)


def test_the_survey_s_own_dem_is_its_map_up_to_the_divide(tmp_path):
    put(tmp_path / "dem.tif", 160, 104, tall=60.0)  # 80 m of map, the divide 60 m up
    opened = job(tmp_path)
    around = read_around(opened, read_site(opened))
    assert around.heights.shape == (160, 104)
    above = work_out(opened).runoff.above
    assert above.how == "map"
    plan = work_out(opened)
    top = plan.layout.top_string
    frame = plan.site.frame
    width, start = np.ptp(top[:, 0]), (top[:, 1].mean() + frame.origin_y) / frame.unit
    # on a plane all of the strip between row 1 and the divide drains onto row 1
    assert above.area == pytest.approx(width * (4_100_060 - start), rel=0.05)
    assert above.whole


def test_a_map_of_its_own_reaches_past_a_small_survey(tmp_path):
    put(tmp_path / "dem.tif", 44, 104)
    put(tmp_path / "hill.tif", 90, 30, step=2.0, west=499_996.0, tall=100.0)
    alone, wide = (work_out(job(tmp_path, rain)).runoff.above for rain in ("", 'map = "hill.tif"'))
    assert not alone.whole
    assert wide.how == "map"
    assert wide.area > 5 * alone.area


def test_a_finer_map_is_averaged_and_stands_where_it_stood(tmp_path):
    put(tmp_path / "dem.tif", 500, 500, step=0.25)
    opened = job(tmp_path)
    around = read_around(opened, read_site(opened))
    assert around.heights.size <= 40_000
    assert around.dx == pytest.approx(0.75, rel=1e-3)
    frame = read_site(opened).frame
    north = (around.y0 + frame.origin_y) / frame.unit
    assert around.heights[0, 0] == pytest.approx(100 + 0.5 * (north - 4_100_000), abs=0.05)


def test_water_that_is_given_needs_no_map(tmp_path):
    put(tmp_path / "dem.tif", 44, 104)
    opened = job(tmp_path, 'water_from_above = "500 ft2"')
    assert read_around(opened, read_site(opened)) is None


@pytest.mark.parametrize(
    ("made", "what"),
    [
        ({"crs": "EPSG:32611"}, "the map is in EPSG:32611, the survey EPSG:32610"),
        ({"crs": "EPSG:4326", "west": -120.0, "step": 1e-5}, "the map is in degrees"),
        ({"west": 600_000.0}, "the site lies off this map"),
        ({"square": 2.0}, "pixels are"),
    ],
)
def test_a_map_that_does_not_fit_is_told(tmp_path, made, what):
    put(tmp_path / "dem.tif", 44, 104)
    put(tmp_path / "hill.tif", 44, 104, **made)
    with pytest.raises(HillwrightError) as told:
        work_out(job(tmp_path, 'map = "hill.tif"'))
    assert what in told.value.problems[0].what
    assert "hill.tif" in told.value.problems[0].where


def test_a_map_and_an_area_are_not_both_taken(tmp_path):
    put(tmp_path / "dem.tif", 44, 104)
    put(tmp_path / "hill.tif", 44, 104)
    with pytest.raises(HillwrightError, match="comes first"):
        job(tmp_path, 'map = "hill.tif"\nwater_from_above = "500 ft2"')
    with pytest.raises(HillwrightError, match="is not there"):
        job(tmp_path, 'map = "hil.tif"')
