"""Values of a check, as people write them, become what a method takes."""

import math

import numpy as np
import pytest

from hillwright.checking.written import read
from hillwright.method import Argument
from hillwright.units import UnitError


@pytest.mark.parametrize(
    ("value", "shape", "unit", "si"),
    [
        ("[.5, 1., +3e0] m", "(n,) array", "m", [0.5, 1, 3]),
        ("[[0, 0], [1, 1]] ft", "(n, 2) array", "m", [[0, 0], [0.3048, 0.3048]]),
        ("[1, 2] m", "(n, 2) array", "m", [[1, 2]]),
        ("3 ft", "(n,) array", "m", [0.9144]),
        ([1, 2], "(n,) array", "-", [1, 2]),
        ("[10, 100] %", "(n,) array", "rad", [math.atan(0.1), math.pi / 4]),
        ("1:1", "float", "rad", math.pi / 4),
        ("5'-6\"", "float", "m", 1.6764),
        ("12", "int", "-", 12),
        ([1, 0], "(n,) array of int", "-", [1, 0]),
        ([True, False], "(n,) array of bool", "-", [True, False]),
        ("uphill", "str", "text", "uphill"),
    ],
)
def test_a_value_is_read_as_its_parameter_needs_it(value, shape, unit, si):
    found = read(value, Argument("v", shape, unit, "")).si
    assert np.asarray(found).tolist() == (
        si if isinstance(si, str) else pytest.approx(np.array(si))
    )
    if "int" in shape:
        assert np.issubdtype(np.asarray(found).dtype, np.integer)


def test_a_list_of_outlines_stays_a_list():
    value = "[[[0, 0], [1, 0], [1, 1]], [[0, 0], [2, 0]]] m"
    for written in (value, ["[[0, 0], [1, 0], [1, 1]] m", "[[0, 0], [2, 0]] m"]):
        found = read(written, Argument("v", "sequence of (k, 2) array", "m", "")).si
        assert [len(ring) for ring in found] == [3, 2]


@pytest.mark.parametrize(
    ("value", "shape", "unit", "what"),
    [
        ([[1, 2], [3]], "(n, 2) array", "-", "not a regular list"),
        (["1 m", 2], "(n,) array", "m", "has no unit among others"),
        ("[1, x] m", "(n,) array", "m", "cannot be read as a list"),
        ("[1, 2", "(n,) array", "m", "cannot be read"),
        (3.5, "int", "-", "is not whole"),
        (1, "bool", "-", "is not yes or no"),
        (True, "float", "m", "true or false does not belong"),
        (3, "str", "text", "is not text"),
        (3, "Ground", "surface", "is not a surface"),
        ("x + r", "Ground", "surface", "'r' is not known"),
        ({"a": 1}, "float", "-", "is not a number"),
        ("12", "float", "m", "no unit"),
        ("[[1, 2, 3]] m", "(n, 2) array", "m", "it has the shape (1, 3)"),
    ],
)
def test_a_value_that_does_not_go_with_its_parameter_is_refused(value, shape, unit, what):
    with pytest.raises(UnitError) as caught:
        read(value, Argument("v", shape, unit, ""))
    assert what in str(caught.value)
    assert caught.value.right
