import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.digest import digest
from hillwright.errors import OutOfRange
from hillwright.job.site import HeightGrid
from hillwright.method import all_methods
from hillwright.terrain.heightfield import HeightField, Window
from hillwright.terrain.measure import cell_planes
from hillwright.terrain.spots import footprint
from hillwright.terrain.stage import make_surface
from hillwright.terrain.surface_area import surface_area

CELL = (0.6096, 0.4572, 0.0508)
OUTLINE = np.array([[0, 0], [30, 0], [30, 20], [0, 20]], float)


def hill(x, y):
    return 0.7 * y + 0.3 * np.sin(x / 3) * np.cos(y / 2.5)


def spots(z=hill, n=150, noise=0.02, seed=1, turn=0.0, shift=0.0):
    """Give points over and round the outline, turned about 0, 0 and then shifted."""
    rng = np.random.default_rng(seed)
    ring = np.array([[-2, -2], [32, -2], [32, 22], [-2, 22]], float)
    xy = np.concatenate([rng.uniform(0, 1, (n - 4, 2)) * [34, 24] - 2, ring])
    heights = z(*xy.T) + rng.normal(0, noise, n)
    return np.column_stack([turned(xy, turn) + shift, heights])


def turned(xy, turn):
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(xy) @ np.array([[c, s], [-s, c]])


@pytest.fixture
def surface(site_of):
    return make_surface(site_of(spots(), OUTLINE), *CELL, None)


def test_a_hill_is_measured_as_it_is(surface):
    x, y = np.random.default_rng(2).uniform([0, 0], [30, 20], (3000, 2)).T
    off = surface.ground.at(x, y)[0] - hill(x, y)
    assert np.sqrt(np.mean(off**2)) < 0.04
    assert surface.rmse < 0.06
    true = surface_area(HeightField.sample(hill, Window(-1, -1, 0.05, 641, 441)), OUTLINE).area
    assert surface.slope_area == pytest.approx(true, rel=3e-3)
    assert surface.plan_area == pytest.approx(600)
    assert surface.slope_mean == pytest.approx(np.arctan(0.7), abs=0.02)
    assert surface.slope_steepest > surface.slope_mean
    assert surface.aspect == pytest.approx(np.pi, abs=0.01)
    assert surface.covered == 1.0
    assert surface.spots == ()


@settings(max_examples=6, deadline=None)
@given(st.floats(-0.9, 0.9), st.floats(-0.9, 0.9))
def test_a_plane_has_the_slope_area_and_aspect_of_geometry(site_of, p, q):
    gradient = np.hypot(p, q)
    if gradient < 0.05:
        return
    plane = lambda x, y: 4 + p * x + q * y  # noqa: E731
    got = make_surface(site_of(spots(plane, 60, 0.0), OUTLINE), *CELL, None)
    assert got.slope_mean == pytest.approx(np.arctan(gradient), abs=1e-6)
    assert got.slope_steepest == pytest.approx(np.arctan(gradient), abs=1e-6)
    assert got.slope_area == pytest.approx(600 * np.hypot(1, gradient), rel=1e-6)
    off = got.aspect - np.arctan2(-p, -q)  # north is 0 deg as well as 360
    assert np.sin(off) == pytest.approx(0, abs=1e-6)
    assert np.cos(off) > 0
    assert got.roughness < 1e-6
    assert got.spots == ()


@settings(max_examples=4, deadline=None)
@given(st.floats(0.1, 6.2), st.floats(-300, 300))
def test_turning_and_moving_the_hill_changes_no_figure_but_the_aspect(site_of, turn, shift):
    here = make_surface(site_of(spots(), OUTLINE), *CELL, None)
    there = make_surface(
        site_of(spots(turn=turn, shift=shift), turned(OUTLINE, turn) + shift), *CELL, None
    )
    for figure, allowed in (
        ("rmse", 1e-6),
        ("slope_mean", 1e-3),
        ("slope_steepest", 5e-3),
        ("plan_area", 1e-6),
        ("slope_area", 0.3),
        ("covered", 1e-9),
    ):
        assert getattr(there, figure) == pytest.approx(getattr(here, figure), abs=allowed), figure
    # turning against the clock takes the bearing back
    difference = (there.aspect - here.aspect + turn + np.pi) % (2 * np.pi) - np.pi
    assert difference == pytest.approx(0, abs=2e-3)


def test_the_bearing_of_the_grid_is_added_to_the_aspect(site_of):
    got = make_surface(site_of(spots(), OUTLINE, north=0.4), *CELL, None)
    assert got.aspect == pytest.approx(np.pi + 0.4, abs=0.01)


def test_the_fields_reach_three_cells_beyond_the_outline_without_a_gap(surface):
    window = surface.ground.window
    assert window.nx * window.ny <= 250_000
    assert window.x[0] <= -3 * CELL[0]
    assert window.y[-1] >= 20 + 3 * CELL[0]
    assert np.isfinite(surface.ground.heights).all()
    assert np.isfinite(surface.graded.heights).all()
    assert surface.supported.shape == surface.ground.heights.shape


def test_the_fall_line_runs_down_and_out_at_both_ends(surface):
    line = surface.fall_line
    assert line[0, 2] > line[-1, 2] + 10
    assert line[0, 1] > 20
    assert line[-1, 1] < 0
    np.testing.assert_allclose(line[:, 2], surface.ground.at(*line[:, :2].T)[0])


def test_a_boulder_in_the_survey_is_a_spot_and_graded_away(site_of):
    j, i = np.mgrid[0:81, 0:121]
    x, y = i * 0.15, j * 0.15
    z = 0.6 * y + np.maximum(0.3 * (1 - ((x - 8) ** 2 + (y - 6) ** 2) / 0.4**2), 0)
    grid = HeightGrid(0.0, 0.0, 0.15, 0.15, z, "dem.tif", 0.02)
    got = make_surface(site_of(grid, [[2, 2], [15, 2], [15, 10], [2, 10]]), *CELL, None)
    (spot,) = got.spots
    assert (spot.x, spot.y) == pytest.approx((8, 6), abs=0.05)
    assert got.trim == pytest.approx(0.3 * np.pi * 0.4**2 / 2, rel=0.08)
    at = np.array([8.0]), np.array([6.0])
    assert got.ground.at(*at)[0] == pytest.approx(3.9, abs=0.02)
    assert got.graded.at(*at)[0] == pytest.approx(3.6, abs=0.03)


def test_a_wrong_shot_is_told_and_neighbours_are_not_blamed(site_of):
    xyz = spots()
    xyz[60, 2] += 1.2
    got = make_surface(site_of(xyz, OUTLINE), *CELL, None)
    told = [w for w in got.warnings if "stands" in w and "points round it" in w]
    assert len(told) == 1
    assert told[0].startswith("points.csv line 62: stands 1.")
    assert "above" in told[0]


def test_an_outline_partly_off_the_survey_is_warned_of_and_counted(site_of):
    got = make_surface(site_of(spots(), np.add(OUTLINE, [8, 0])), *CELL, None)
    assert got.covered == pytest.approx(0.8)
    (told,) = [w for w in got.warnings if "covers" in w]
    assert told.startswith("outline.geojson: the survey covers 80.0% of the outline (120.0 m2")
    assert "corners 2, 3" in told


def test_points_too_far_apart_for_the_cells_are_warned_of(surface, site_of):
    assert any("the points stand 2.3 m apart (4 cells)" in w for w in surface.warnings)
    dense = make_surface(site_of(spots(n=150), OUTLINE), 3.0, 3.0, 0.05, None)
    assert not any("apart" in w for w in dense.warnings)


def test_a_place_steeper_than_60_deg_is_warned_of(site_of):
    xyz = np.concatenate([spots(), [[12.0, 10.0, 7.0], [12.0, 10.4, 9.5]]])
    got = make_surface(site_of(xyz, OUTLINE, breaklines=[(150, 151)]), *CELL, None)
    assert any("points.csv line 152 and points.csv line 153: a cliff" in w for w in got.warnings)


def test_pegs_off_the_outline_get_ground_too(site_of):
    peg = np.array([-9.0, 10.0])
    got = make_surface(site_of(spots(), OUTLINE, benchmarks=(peg, None)), *CELL, None)
    assert np.isfinite(got.ground.at(peg[:1], peg[1:])[0]).all()


def test_level_ground_has_an_answer_and_faces_nowhere(site_of):
    got = make_surface(site_of(spots(lambda x, y: 0 * x + 5, noise=0.0), OUTLINE), *CELL, None)
    assert got.slope_mean == pytest.approx(0, abs=1e-6)
    assert len(got.fall_line) > 2


def test_a_hill_of_a_kilometre_keeps_to_its_nodes(site_of):
    got = make_surface(site_of(spots() * [30, 30, 30], OUTLINE * 30), *CELL, None)
    assert got.ground.heights.size <= 250_000
    assert got.spots == ()


def test_it_survives_pickling_and_its_digest_stays(surface):
    again = pickle.loads(pickle.dumps(surface))
    assert digest(again) == digest(surface)


def test_every_figure_has_its_working_with_units(surface):
    all_methods()
    workings = {w.figure: w.with_units() for w in surface.workings}
    for figure, value in {
        "terrain.slope.mean": surface.slope_mean,
        "terrain.slope.steepest": surface.slope_steepest,
        "terrain.area.plan": surface.plan_area,
        "terrain.area.slope": surface.slope_area,
        "terrain.error": surface.rmse,
        "terrain.roughness": surface.roughness,
        "terrain.trim": surface.trim,
        "terrain.fill": surface.fill,
        "terrain.covered": surface.covered,
    }.items():
        assert workings[figure].result.value == value
        assert workings[figure].result.unit


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ((0.0, 0.4, 0.05, None), "cell.width"),
        ((0.6, np.nan, 0.05, None), "cell.run"),
        ((0.6, 0.4, -0.05, None), "cell.max_gap"),
        ((0.6, 0.4, 0.05, -1.0), "grading.smooth"),
    ],
)
def test_a_cell_that_is_none_is_refused(site_of, cell, words):
    with pytest.raises(OutOfRange, match=words):
        make_surface(site_of(spots(), OUTLINE), *cell)


def test_progress_is_told_in_order_to_its_end(site_of):
    told = []
    make_surface(
        site_of(spots(), OUTLINE), *CELL, None, lambda what, share: told.append((what, share))
    )
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


# exact: the least-squares plane of a quadratic over a centred rectangle has its middle's gradient
def test_the_plane_under_a_cell_has_the_gradient_of_its_middle():
    x, y = np.meshgrid(np.arange(60) * 0.1, np.arange(50) * 0.1)
    planes = cell_planes(
        0.2 * x * x + 0.1 * x * y + 0.3 * y, 0.1, footprint(0.6, 0.4, np.array([1.0, 0.0]), 0.1)
    )
    inner = np.s_[6:-6, 6:-6]
    np.testing.assert_allclose(planes.dz_dx[inner], (0.4 * x + 0.1 * y)[inner], atol=1e-9)
    np.testing.assert_allclose(planes.dz_dy[inner], (0.1 * x + 0.3)[inner], atol=1e-9)
    assert planes.rms[inner].min() > 0.004
