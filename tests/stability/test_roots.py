"""Roots: nothing on planting day, nothing below them, never more than full."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.roots import plant_kinds, root_cohesion, roots_of, wu_root_cohesion


@given(st.floats(0, 40), st.floats(0, 40), st.floats(0.05, 2))
def test_roots_grow_and_never_shrink_nor_pass_their_full_strength(a, b, depth):
    young, old = sorted((a, b))
    first, last = (root_cohesion(5e3, age, 10, depth, 1.0) for age in (young, old))
    assert 0 <= first <= last <= 5e3


@pytest.mark.parametrize("kind", plant_kinds())
def test_a_kind_adds_nothing_on_planting_day_nor_below_its_roots(kind):
    roots = roots_of(kind)
    assert roots.at(0, 0.1).high == 0
    assert roots.at(100, roots.depth + 0.01).high == 0
    assert roots.at(100, roots.depth) == roots.full
    assert roots.source


# Wu, McKinnell and Swanston 1979 (from memory): cr = 1.2 sum(T A/A)
def test_wu_model_as_printed():
    printed = wu_root_cohesion([20e6, 30e6], [1e-4, 5e-5], bundle_factor=1.0)
    assert printed == pytest.approx(1.2 * (2000 + 1500))
    assert wu_root_cohesion([20e6], [1e-4]) == pytest.approx(1200)


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: roots_of("tree"), "did you mean trees"),
        (lambda: root_cohesion(-1, 1, 10, 0.5, 1), "full: is negative"),
        (lambda: root_cohesion(1, 1, 0, 0.5, 1), "full_years: is zero"),
        (lambda: wu_root_cohesion([1e6], [1.5]), "area_ratio"),
        (lambda: wu_root_cohesion([1e6, 1e6], [0.6, 0.6]), "more than the plane"),
        (lambda: wu_root_cohesion([1e6, 1e6], [0.1]), "for 2 of tensile_strength"),
    ],
)
def test_each_wrong_input_has_its_own_message(act, says):
    with pytest.raises(OutOfRange, match=says):
        act()


def test_planes_are_worked_out_together():
    found = root_cohesion(5e3, 10, 10, np.array([0.2, 0.9, 1.1]), 1.0)
    assert found == pytest.approx([5e3, 5e3, 0])
