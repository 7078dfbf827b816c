"""Sections: what they take, what they refuse, and how they look from the other side."""

import numpy as np
import pytest

from hillwright.errors import OutOfRange
from hillwright.stability import polyline
from hillwright.stability.lists import listed
from hillwright.stability.section import mirrored, section

GROUND = [[0, 0], [10, 0], [30, 10], [50, 10]]
PHI = np.radians(25)


def plain(**change):
    return section(
        change.pop("surface", GROUND),
        change.pop("cohesion", 5e3),
        change.pop("friction", PHI),
        change.pop("unit_weight", 18e3),
        **change,
    )


@pytest.mark.parametrize(
    ("change", "where", "words"),
    [
        ({"surface": [[0, 2], [50, 2]]}, "surface", "level"),
        ({"surface": [[0, 2]]}, "surface", "not a line"),
        ({"surface": [[0, 2], [np.nan, 5]]}, "surface", "not a number"),
        ({"surface": [[0, 0], [30, 5], [20, 10], [50, 12]]}, "surface", "back on itself"),
        ({"unit_weight": -18e3}, "unit_weight", "negative"),
        ({"unit_weight": 1800e3}, "unit_weight", "heavier than rock"),
        ({"friction": np.radians(55)}, "friction", "over 50 deg"),
        ({"friction": -0.1}, "friction", "negative"),
        ({"cohesion": -1}, "cohesion", "negative"),
        ({"cohesion": 0, "friction": 0}, "soil 1", "no strength"),
        ({"cohesion": [1e3, 2e3]}, "cohesion", "2 values for 1 soil"),
        ({"saturated_unit_weight": 15e3}, "saturated_unit_weight", "under the moist"),
        ({"cohesion_gain": -1}, "cohesion_gain", "negative"),
        ({"water_line": [[0, 0.5], [50, 9]]}, "water_line", "above the ground"),
        ({"water_line": [[0, 0], [50, 8]], "pore_pressure_ratio": 0.2}, "ratio", "twice"),
        ({"pore_pressure_ratio": 1.2}, "pore_pressure_ratio", "0 to 1"),
        ({"surcharge": [[20, 10, 1e3]]}, "surcharge 1", "upside down"),
        ({"surcharge": [[10, 20, -1e3]]}, "surcharge 1", "pulls"),
        ({"surcharge": [[10, 20]]}, "surcharge", "not a list of loads"),
        ({"kh": -0.1}, "kh", "negative"),
        ({"kh": 1.5}, "kh", "1 or more"),
        ({"crack_depth": 11}, "crack_depth", "as deep as the slope"),
        ({"crack_depth": 1, "crack_water": 2}, "crack_water", "above the ground"),
        ({"base": 2.0}, "base", "above the ground"),
        ({"layer_lines": [[[0, -3], [50, 0]], [[0, -2], [50, -3]]]}, "line 2", "crosses"),
    ],
)
def test_what_no_section_can_be_has_words_of_its_own(change, where, words):
    with pytest.raises(OutOfRange) as told:
        plain(**change)
    problem = told.value.problems[0]
    assert where in problem.where
    assert words in problem.what
    assert problem.right


@pytest.mark.parametrize(
    ("change", "where", "words"),
    [
        ({"surcharge": [1e3, 2e3], "surcharge_from": [0, 5], "surcharge_to": 5}, "to", "1 values"),
        ({"anchor_angle": 0.1, "anchor_length": 3.0}, "anchor_force", "0 values"),
        (
            {"anchor_angle": 0.1, "anchor_length": 3.0, "anchor_force": 1e3},
            "anchor_head",
            "shape",
        ),
        ({"anchor_side": "resist"}, "anchor_side", "not a side"),
        (
            {
                "anchor_head": [20, 5],
                "anchor_angle": 2.0,
                "anchor_length": 3.0,
                "anchor_force": 1e3,
            },
            "anchor angle",
            "into the hill",
        ),
    ],
)
def test_lists_that_do_not_go_together_are_told(change, where, words):
    with pytest.raises(OutOfRange) as told:
        listed(GROUND, 5e3, PHI, 18e3, **change)
    assert where in told.value.problems[0].where
    assert words in told.value.problems[0].what


def test_ground_may_be_given_from_either_end():
    one, other = plain(), plain(surface=GROUND[::-1])
    assert np.array_equal(one.ground, other.ground)


def test_an_upright_face_is_ground_too():
    found = plain(surface=[[0, 0], [10, 0], [10, 4], [30, 4]])
    assert np.all(np.diff(found.ground[:, 0]) > 0)
    assert found.relief == pytest.approx(4)


@pytest.mark.parametrize("line", [-2.0, [-2.0], [0, -2.0], [[0, -2.0]], [[0, -2.0], [50, -2.0]]])
def test_a_level_layer_may_be_given_as_its_level(line):
    found = plain(layer_lines=[line], cohesion=[1e3, 2e3])
    assert np.array_equal(polyline.height(found.lines[0], np.array([3.0, 40.0])), [-2, -2])


def test_one_layer_line_may_be_given_without_brackets_of_its_own():
    found = plain(layer_lines=[[0, -2.0], [50, -1.0]], cohesion=[1e3, 2e3])
    assert len(found.lines) == 1


def test_layers_may_cross_where_both_are_gone_from_the_ground():
    found = plain(
        layer_lines=[[[0, 3], [25, 3], [50, 4]], [[0, 5], [10, 4], [12, 0], [50, 0]]],
        cohesion=[1e3] * 3,
    )
    assert len(found.lines) == 2


def test_slices_break_where_a_layer_comes_to_the_surface():
    found = plain(layer_lines=[4.0], cohesion=[1e3, 2e3])
    assert 18.0 in np.round(found.corners, 9)


def test_water_beyond_the_ends_of_its_line_stays_in_the_ground():
    found = plain(water_line=[[20, 4.0], [50, 8.0]])
    assert polyline.height(found.water, np.array([5.0]))[0] == 0.0


def test_mirroring_twice_gives_the_section_back():
    given = plain(
        layer_lines=[[[0, -3], [50, 1]]],
        cohesion=[1e3, 2e3],
        water_line=[[0, -1], [50, 4]],
        surcharge=[[12, 20, 1e3]],
        base=-6.0,
    )
    twice = mirrored(mirrored(given))
    for name in ("ground", "water", "surcharge", "base", "corners"):
        assert np.array_equal(getattr(given, name), getattr(twice, name)), name
    assert mirrored(given).rises is False


def test_a_section_is_read_only():
    with pytest.raises(ValueError, match="read-only"):
        plain().ground[0, 0] = 1.0
