"""USDA texture: every soil has one class, at the limits too."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.texture import CLASSES, usda_texture


def test_every_point_of_the_triangle_has_a_class_and_every_class_a_point():
    sand, silt = (g.ravel() for g in np.meshgrid(np.arange(0, 101.0), np.arange(0, 101.0)))
    inside = sand + silt <= 100
    sand, silt = sand[inside], silt[inside]
    found = usda_texture(sand, silt, 100 - sand - silt)
    assert set(found) == set(CLASSES)


# Soil Survey Manual, chapter 3 (from memory): "or more" belongs to the class that says it
@pytest.mark.parametrize(
    ("sand", "silt", "clay", "texture"),
    [
        (85, 15, 0, "loamy sand"),  # silt + 1.5 clay = 15 is no longer sand
        (86, 14, 0, "sand"),
        (70, 30, 0, "sandy loam"),  # silt + 2 clay = 30
        (52, 28, 20, "loam"),
        (53, 27, 20, "sandy clay loam"),
        (45, 28, 27, "clay loam"),
        (20, 50, 30, "silty clay loam"),  # 20 sand or less
        (20, 80, 0, "silt"),
        (8, 80, 12, "silt loam"),
        (45, 15, 40, "clay"),
        (20, 40, 40, "silty clay"),
        (46, 14, 40, "sandy clay"),
        (46, 19, 35, "sandy clay"),
        (100, 0, 0, "sand"),
        (0, 100, 0, "silt"),
        (0, 0, 100, "clay"),
    ],
)
def test_points_on_the_limits(sand, silt, clay, texture):
    assert usda_texture(sand, silt, clay) == (texture,)


@given(st.integers(0, 100), st.integers(0, 100))
def test_shares_of_one_and_percent_name_the_same_soil(a, b):
    sand, silt = sorted((a, b))[0], sorted((a, b))[1] - sorted((a, b))[0]
    clay = 100 - sand - silt
    # 0.07 * 100 is 7.000000000000001: a limit must not hang on the last bit
    assert usda_texture(sand, silt, clay) == usda_texture(sand / 100, silt / 100, clay / 100)


@given(st.floats(0, 1), st.floats(0, 1))
def test_more_clay_for_sand_never_makes_a_soil_sandier(x, y):
    low, high = sorted((x, y))
    order = {name: k for k, name in enumerate(("sand", "loamy sand", "sandy loam"))}
    before, after = (usda_texture(1 - c, 0.0, c)[0] for c in (low, high))
    assert order.get(after, 9) >= order.get(before, 9)


@pytest.mark.parametrize(
    ("soil", "says"),
    [
        ((50, 30, 10), "make up 90, not a whole"),
        ((-5, 55, 50), "is negative"),
        ((float("nan"), 50, 50), "not a number"),
    ],
)
def test_what_is_no_soil_is_refused(soil, says):
    with pytest.raises(OutOfRange, match=says):
        usda_texture(*soil)


def test_the_first_wrong_soil_is_named():
    with pytest.raises(OutOfRange, match="soil 2"):
        usda_texture([50, 50], [30, 30], [20, 40])
