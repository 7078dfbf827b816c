"""Broms' short piles: printed examples, moments by hand, both directions, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.stability.broms import (
    broms_clay_length,
    broms_clay_load,
    broms_sand_length,
    broms_sand_load,
    depressed_cubic,
)

LENGTH, HEIGHT, WIDTH = st.floats(0.3, 3), st.floats(0, 2), st.floats(0.01, 0.15)
FRICTION = st.floats(20, 45).map(np.radians)


# Worksheet of Broms' method for a post footing: https://pdfcoffee.com/broms-methodxls-pdf-free.html
def test_the_printed_post_in_clay():
    found = broms_clay_length(13.6e3, 7.5, 0.75, 50e3)
    assert found.zero_shear == pytest.approx(0.0403, abs=5e-5)
    assert found.moment == pytest.approx(117.57e3, rel=1e-4)
    assert found.below == pytest.approx(1.1805, abs=5e-5)
    assert found.length == pytest.approx(2.346, abs=5e-4)


@given(load=st.floats(1, 1e5), height=HEIGHT, width=WIDTH, strength=st.floats(5e3, 2e5))
def test_in_clay_the_length_that_a_load_needs_holds_it(load, height, width, strength):
    need = broms_clay_length(load, height, width, strength)
    back = broms_clay_load(need.length, height, width, strength)
    assert back.load == pytest.approx(load, rel=1e-6)
    assert back.moment == pytest.approx(need.moment, rel=1e-6)


@given(load=st.floats(1, 1e5), height=HEIGHT, width=WIDTH, friction=FRICTION)
def test_in_sand_the_length_that_a_load_needs_holds_it(load, height, width, friction):
    length = broms_sand_length(load, height, width, friction, 17e3)
    assert broms_sand_load(length, height, width, friction, 17e3).load == pytest.approx(load)


@given(length=LENGTH, height=HEIGHT, width=WIDTH, friction=FRICTION)
def test_in_sand_the_moment_is_the_largest_of_the_bar(length, height, width, friction):
    found = broms_sand_load(length, height, width, friction, 17e3)
    kp = np.tan(np.pi / 4 + friction / 2) ** 2
    z = np.linspace(0, length, 2001)
    along = found.load * (height + z) - 0.5 * width * 17e3 * kp * z**3
    assert found.moment == pytest.approx(along.max(), rel=1e-4)
    assert found.zero_shear < length


@given(length=LENGTH, height=HEIGHT, width=WIDTH, friction=FRICTION, share=st.floats(0.1, 1))
def test_in_sand_half_the_resistance_holds_half_the_load(length, height, width, friction, share):
    whole = broms_sand_load(length, height, width, friction, 17e3)
    part = broms_sand_load(length, height, width, friction, 17e3, share)
    assert part.load == pytest.approx(share * whole.load)
    assert part.zero_shear == pytest.approx(whole.zero_shear)


@given(lengths=st.tuples(LENGTH, LENGTH).map(sorted), height=HEIGHT, width=WIDTH)
def test_a_deeper_bar_never_holds_less(lengths, height, width):
    for hold in (
        lambda n: broms_clay_load(n, height, width, 25e3).load,
        lambda n: broms_sand_load(n, height, width, np.radians(30), 17e3).load,
    ):
        assert hold(lengths[1]) >= hold(lengths[0])


def test_clay_that_is_too_shallow_holds_nothing():
    assert broms_clay_load(0.1, 0.1, 0.1, 25e3).load == 0


@given(p=st.floats(0, 1e4), q=st.floats(1e-6, 1e4))
def test_the_root_of_the_cubic(p, q):
    x = depressed_cubic(np.array(p), np.array(q))
    assert x**3 == pytest.approx(p * x + q, rel=1e-9)


def test_no_load_needs_no_length():
    assert broms_sand_length(0.0, 0.1, 0.02, 0.5, 17e3) == 0


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"length": -0.6}, "length: is negative"),
        ({"width": 0.0}, "width: is zero"),
        ({"friction": 1.0}, "friction: is over 50 deg"),
        ({"unit_weight": -1.0}, "unit_weight: is negative"),
        ({"share": 0.0}, "nothing would hold"),
        ({"share": 1.5}, "not within 0 to 1"),
        ({"height": np.nan}, "height: is not a number"),
    ],
)
def test_each_wrong_input_has_its_own_message(wrong, says):
    right = {"length": 0.6, "height": 0.1, "width": 0.0127, "friction": 0.5, "unit_weight": 17e3}
    with pytest.raises(OutOfRange, match=says):
        broms_sand_load(**(right | wrong))
