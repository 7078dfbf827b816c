import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.checking.expression import Formula, FormulaError

PLACE = st.floats(-8, 8)


@given(x=PLACE, y=PLACE)
def test_a_paraboloid_has_its_textbook_height_and_gradient(x, y):
    z, zx, zy = Formula("-x**2/30 - y**2/80").at(np.array([x]), np.array([y]))
    assert z == pytest.approx(-(x**2) / 30 - y**2 / 80, abs=1e-12)
    assert zx == pytest.approx(-x / 15, abs=1e-12)
    assert zy == pytest.approx(-y / 40, abs=1e-12)


@given(x=PLACE, y=PLACE)
def test_a_dome_has_the_gradient_of_its_sphere(x, y):
    # z^2 = R^2 - x^2 - y^2, so dz/dx = -x / z
    z, zx, zy = Formula("sqrt(20^2 - x^2 - y^2)").at(np.array([x]), np.array([y]))
    assert zx == pytest.approx(-x / z, abs=1e-12)
    assert zy == pytest.approx(-y / z, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "sin(x/3) + cos(y/4) + tan(x/9)",
        "exp(-x*y/20) + log(x + 20) - hypot(x + 9, y - 11)",
        "atan2(y + 9, x + 10) + asin(x/9) + acos(y/9) + atan(x*y)",
        "sinh(x/5) + cosh(y/5) + tanh(x*y/9)",
        "abs(x - 9.5) + min(x, y + 30) + max(x*y, -90)",
        "(x + 12)**1.7 + 2**(y/4) + e**(x/5) - pi*y + -x + +y",
        "z = 0.03 x".replace(" x", "*x") + " - 0.02*y^2",
    ],
)
@given(x=PLACE, y=PLACE)
def test_derivatives_agree_with_small_differences(text, x, y):
    surface, h = Formula(text), 1e-5
    grid_x = np.array([x, x + h, x - h, x, x])
    grid_y = np.array([y, y, y, y + h, y - h])
    z, zx, zy = surface.at(grid_x, grid_y)
    assert zx[0] == pytest.approx((z[1] - z[2]) / (2 * h), abs=1e-5, rel=1e-4)
    assert zy[0] == pytest.approx((z[3] - z[4]) / (2 * h), abs=1e-5, rel=1e-4)


def test_every_figure_has_the_shape_of_the_places():
    x, y = np.meshgrid(np.arange(4.0), np.arange(3.0))
    for figure in Formula("5").at(x, y):
        assert figure.shape == (3, 4)
    z, zx, zy = Formula("x").at(np.float64(2.0), np.float64(1.0))
    assert (z.shape, float(zx), float(zy)) == ((), 1.0, 0.0)


def test_outside_the_dome_there_is_no_ground():
    for text in ("sqrt(4 - x**2 - y**2)", "log(2 - x)", "(2 - x)**0.5", "1/(x - 3)"):
        for figure in Formula(text).at(np.array([3.0]), np.array([0.0])):
            assert np.isnan(figure).all(), text


def test_a_formula_survives_pickling():
    surface = pickle.loads(pickle.dumps(Formula("x*y")))
    assert surface.at(np.array([2.0]), np.array([3.0]))[0] == 6


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "cannot be read"),
        ("x +", "cannot be read"),
        ("0.01 x y", "cannot be read"),
        ("(" * 300 + "x" + ")" * 300, "longer than"),
        ("-" * 599 + "x", "nested more than"),
        ("(" * 290 + "x" + ")" * 290, "cannot be read"),
        ("1" + "0" * 400, "cannot be read"),
        ("r**2", "'r' is not known"),
        ("sqr(x)", "sqr() is not known"),
        ("sqrt(x, y)", "sqrt() is given 2 numbers"),
        ("sqrt(x=x)", "is not allowed"),
        ("x if y else 1", "is not allowed"),
        ("x < y", "is not allowed"),
        ("x // y", "is not allowed"),
        ("[x, y]", "is not allowed"),
        ("x.real", "is not allowed"),
        ("x[0]", "is not allowed"),
        ("(lambda: x)()", "is not allowed"),
        ("__import__('os')", "is not known"),
        ("().__class__", "is not allowed"),
        ("x + 'a'", "'a' is not a number"),
        ("x + 1j", "1j is not a number"),
        ("True", "True is not a number"),
        ("x := 3", "cannot be read"),
    ],
)
def test_anything_but_a_plain_formula_is_refused(text, what):
    with pytest.raises(FormulaError) as caught:
        Formula(text)
    problem = caught.value.problems[0]
    assert what in problem.what
    assert problem.right


def test_a_name_that_nobody_knows_gets_the_nearest_one():
    with pytest.raises(FormulaError, match="did you mean sqrt"):
        Formula("sqr(x)")


def test_huge_powers_end_at_once():
    assert np.isnan(Formula("9**9**9**9 + x").at(np.zeros(2), np.zeros(2))[0]).all()
