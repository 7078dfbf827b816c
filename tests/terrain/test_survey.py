import numpy as np
import pytest

from hillwright.errors import SurveyError
from hillwright.job.site import HeightGrid, TapeSections
from hillwright.terrain.survey import gather

OUTLINE = [[2, 2], [18, 2], [18, 10], [2, 10]]


def hillside(n=60, seed=1, fall=0.7):
    rng = np.random.default_rng(seed)
    xy = np.concatenate(
        [rng.uniform(0, 1, (n - 4, 2)) * [20, 12], [[0, 0], [20, 0], [20, 12], [0, 12]]]
    )
    return np.column_stack([xy, 100 + fall * xy[:, 1]])


def refused(site):
    with pytest.raises(SurveyError) as caught:
        gather(site)
    return [str(p) for p in caught.value.problems]


def test_a_sound_survey_passes_with_its_outline_counter_clockwise(site_of):
    survey = gather(site_of(hillside(), OUTLINE[::-1]))
    assert len(survey.xyz) == 60
    d = np.roll(survey.outline, -1, axis=0)
    assert (survey.outline[:, 0] * d[:, 1] - d[:, 0] * survey.outline[:, 1]).sum() > 0
    assert not survey.xyz.flags.writeable


def test_two_points_are_refused(site_of):
    (told,) = refused(site_of(hillside()[:2], OUTLINE))
    assert "2 different points" in told
    assert "at least 3" in told


def test_points_in_one_line_are_refused(site_of):
    xyz = np.array([[t, 2 * t, t] for t in range(8)], float)
    (told,) = refused(site_of(xyz))
    assert "in one line" in told


def test_one_place_with_two_heights_is_refused_and_both_are_named(site_of):
    xyz = hillside()
    xyz[7] = xyz[3] + [0, 0, 0.5]
    (told,) = refused(site_of(xyz, OUTLINE))
    assert "points.csv line 5 and points.csv line 9" in told
    assert "0.500 m apart" in told


def test_one_place_measured_twice_alike_is_one_point_and_breaklines_follow(site_of):
    xyz = hillside()
    xyz[7] = xyz[3]
    survey = gather(site_of(xyz, OUTLINE, breaklines=[(7, 10)]))
    assert len(survey.xyz) == 59
    a, b = survey.breaklines[0]
    np.testing.assert_array_equal(survey.xyz[[a, b]], xyz[[3, 10]])
    assert survey.where[b] == "points.csv line 12"


@pytest.mark.parametrize(("axis", "name"), [(0, "easting"), (1, "northing"), (2, "height")])
def test_a_coordinate_that_is_no_number_is_named(site_of, axis, name):
    xyz = hillside()
    xyz[4, axis] = np.nan
    xyz[9, axis] = np.inf
    told = refused(site_of(xyz, OUTLINE))
    assert len(told) == 2
    assert told[0].startswith(f"points.csv line 6: the {name} is not a number")


def test_an_outline_that_crosses_itself_is_refused_with_the_sides(site_of):
    (told,) = refused(site_of(hillside(), [[2, 2], [18, 10], [18, 2], [2, 10]]))
    assert told.startswith("outline.geojson: the outline crosses itself")
    assert "from corner 1" in told
    assert "x 10.00 m, y 6.00 m" in told


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([[2, 2], [5, 5]], "2 different corners"),
        ([[2, 2], [2, 2], [5, 5], [5, 5]], "2 different corners"),
        ([[2, 2], [5, 5], [8, 8]], "no area"),
        ([[2, 2], [5, np.nan], [8, 3]], "corner 2: not a number"),
    ],
)
def test_an_outline_that_is_none_is_refused(site_of, corners, words):
    told = refused(site_of(hillside(), corners))
    assert any(words in t for t in told) or "crosses itself" in told[0]


def test_an_outline_off_the_survey_is_refused_with_area_and_corners(site_of):
    (told,) = refused(site_of(hillside(), np.add(OUTLINE, [14, 0])))
    assert "covers only 25% of the outline" in told
    assert "96.0 m2 lie outside it, with corners 2, 3" in told
    (told,) = refused(site_of(hillside(), np.add(OUTLINE, [400, 0])))
    assert "they do not meet at all" in told


def test_an_outline_in_other_units_is_recognised(site_of):
    xyz = hillside() * [1, 1, 1] + [60, 60, 0]
    (told,) = refused(site_of(xyz, (np.array(OUTLINE) + 60) * 3.28084))
    assert "feet read as metres" in told
    (told,) = refused(site_of(xyz, (np.array(OUTLINE) + 60) / 3.28084))
    assert "metres read as feet" in told


def test_heights_in_feet_among_metres_are_recognised(site_of):
    (told,) = refused(site_of(hillside(fall=0.7 * 3.28084), OUTLINE))
    assert "67 deg on the whole" in told or "66 deg on the whole" in told
    assert "35 deg" in told
    assert "feet" in told


def test_a_cliff_is_refused_as_one(site_of):
    (told,) = refused(site_of(hillside(fall=9.0), OUTLINE))
    assert "84 deg" in told
    assert "cliff" in told


def test_a_survey_of_no_hills_size_is_refused(site_of):
    assert "0.02 m across" in refused(site_of(hillside() * 1e-3))[0]
    assert "2e+04 m across" in refused(site_of(hillside() * 1e3))[0]


def test_everything_wrong_is_told_at_once(site_of):
    xyz = hillside()
    xyz[7] = xyz[3] + [0, 0, 0.5]
    told = refused(site_of(xyz, [[2, 2], [18, 10], [18, 2], [2, 10]]))
    assert len(told) == 2


def test_a_hundred_like_faults_are_counted_not_listed(site_of):
    xyz = np.repeat(hillside(), 2, axis=0)
    xyz[1::2, 2] += 1
    told = refused(site_of(xyz))
    assert len(told) == 13
    assert "48 more like these" in told[-1]


def test_without_an_outline_the_survey_itself_is_the_place(site_of):
    survey = gather(site_of(hillside()))
    low, high = survey.outline.min(axis=0), survey.outline.max(axis=0)
    assert (low > 0).all()
    assert (high < [20, 12]).all()
    assert (high - low > [18, 10]).all()


def sections(angle=-30.0, **change):
    given = {
        "chainage": np.array([0.0, 5.0, 10.0]),
        "base_height": np.array([50.0, 50.0, 50.0]),
        "left": (False, False, True),
        "section": (0, 0, 1, 1, 2),
        "distance": np.full(5, 4.0),
        "angle": np.radians([angle] * 4 + [20.0]),
        "where": tuple(f"sections.csv line {i + 2}" for i in range(5)),
        "tape_sigma": 0.02,
        "angle_sigma": np.radians(0.25),
    }
    return TapeSections(**{**given, **change})


def test_sections_become_points_on_both_sides_of_the_base_line(site_of):
    survey = gather(site_of(sections()))
    assert len(survey.xyz) == 8
    c, s = 4 * np.cos(np.radians(30)), 4 * np.sin(np.radians(30))
    np.testing.assert_allclose(
        survey.xyz[:3], [[0, 0, 50], [0, -c, 50 - s], [0, -2 * c, 50 - 2 * s]]
    )
    np.testing.assert_allclose(
        survey.xyz[-1], [10, 4 * np.cos(np.radians(20)), 50 + 4 * np.sin(np.radians(20))]
    )
    assert survey.sigma[2] > survey.sigma[1] > survey.sigma[0]
    assert "line 2 (start of the section)" in survey.where[0]
    assert survey.where[2] == "sections.csv line 3"


def test_two_sides_of_one_chainage_share_the_base_line_point_or_disagree_by_name(site_of):
    twice = {"chainage": np.array([0.0, 5.0, 5.0])}
    assert len(gather(site_of(sections(**twice))).xyz) == 7
    (told,) = refused(site_of(sections(**twice, base_height=np.array([50.0, 50.0, 50.4]))))
    assert "0.400 m apart" in told
    assert "line 4" in told
    assert "line 6" in told


def test_a_leg_that_is_none_is_refused_by_line(site_of):
    (told,) = refused(site_of(sections(distance=np.array([4.0, 0.0, 4.0, 4.0, 4.0]))))
    assert told.startswith("sections.csv line 3: 0 m")


def test_a_grid_gives_its_known_nodes(site_of):
    z = 0.5 * np.arange(12)[:, None] + np.zeros((12, 20))
    z[3, 4] = np.nan
    grid = HeightGrid(0.0, 0.0, 1.0, 1.0, z, "dem.tif", 0.1)
    survey = gather(site_of(grid, OUTLINE))
    assert len(survey.xyz) == 239
    assert survey.where == ("dem.tif",)


def test_a_grid_without_heights_is_refused(site_of):
    grid = HeightGrid(0.0, 0.0, 1.0, 1.0, np.full((5, 5), np.nan), "dem.tif", 0.1)
    (told,) = refused(site_of(grid, OUTLINE))
    assert told.startswith("dem.tif: 0 different points")
