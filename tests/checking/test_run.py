import math
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.checking import read as reading
from hillwright.checking import run as running
from hillwright.checking.read import FORM, checks_in, read_texts
from hillwright.checking.written import read
from hillwright.errors import CheckError, OutOfRange
from hillwright.method import Argument, Method


class Fix(NamedTuple):
    point: np.ndarray
    angle: float
    side: str


def two_tapes(a, b, from_a, from_b, sigma=0.01):
    """Find a point from two tapes.

    Parameters
    ----------
    a, b : (2,) array
        The two benchmarks. [m]
    from_a, from_b : float
        Tapes. [m]
    sigma : float
        Of one tape. [m]

    Returns
    -------
    point : (2,) array
        Where it is. [m]
    angle : float
        Between the tapes. [rad]
    side : str
        Left or right of the line. [text]
    """
    if from_a + from_b < math.dist(a, b):
        raise OutOfRange("tapes", "the tapes do not meet", "measure again")
    d = math.dist(a, b)
    x = (from_a**2 - from_b**2 + d**2) / (2 * d)
    y = math.sqrt(from_a**2 - x**2)
    cosine = (from_a**2 + from_b**2 - d**2) / (2 * from_a * from_b)
    return Fix(np.array([x, y]), math.acos(cosine), "left")


def mean_height(ground, places, weights=None, square=False, rounds=1):
    """Mean height of a surface.

    Parameters
    ----------
    ground : Ground
        The ground. [surface]
    places : (n, 2) array
        Where. [m]
    weights : (n,) array, optional
        How much each counts. [-]
    square : bool
        Of the squares. [-]
    rounds : int
        How often. [-]

    Returns
    -------
    float
        The mean. [m]
    """
    assert isinstance(rounds, int)
    z = ground.at(places[:, 0], places[:, 1])[0]
    return np.average(z**2 if square else z, weights=weights)


def scaled(heights, factor):
    """Scale heights of any unit.

    Parameters
    ----------
    heights : (ny, nx) array
        Heights. [any]
    factor : float
        By what. [-]

    Returns
    -------
    (ny, nx) array
        Scaled. [any]
    """
    return heights * factor


FAKES = {
    f"layout.{f.__name__}": Method(f"layout.{f.__name__}", f.__name__, "", "none", f)
    for f in (two_tapes, mean_height, scaled)
}


@pytest.fixture(autouse=True)
def _few_methods(monkeypatch):
    monkeypatch.setattr(reading, "all_methods", lambda: FAKES)


HEAD = '[[check]]\nid = "c"\nsource = "exact geometry"\nstatus = "memory"\n'
TAPES = (
    'method = "layout.two_tapes"\n[check.inputs]\na = "[0, 0] m"\nb = "[10, 0] m"\n'
    'from_a = "8 m"\nfrom_b = "7 m"\n'
)
BROKEN = TAPES.replace("8 m", "30 m")  # no such triangle, and the fake above does not look
# exact geometry: x = (8^2 - 7^2 + 10^2) / 20, y = sqrt(8^2 - x^2); cos P = (64 + 49 - 100) / 112
POINT, ANGLE = 'point = "[5.75, 5.562148865] m"', 'angle = "83.33457 deg"'


def one(text):
    (check,) = read_texts([("file.toml", text)])
    return running.run(check)


def tapes(expected, tolerance, inputs=TAPES):
    return one(f"{HEAD}tolerance = {tolerance}\n{inputs}[check.expected]\n{expected}\n")


def problems(text):
    with pytest.raises(CheckError) as caught:
        read_texts([("file.toml", text)])
    return caught.value.problems


# --- figures


def test_the_form_that_the_help_prints_is_a_check_that_passes():
    assert one(FORM).passed


@pytest.mark.parametrize(
    ("expected", "tolerance", "passed"),
    [
        (POINT, '"1e-6 m"', True),
        (POINT, "1e-6", True),
        (POINT, '"exact"', False),
        (POINT, '"as printed"', True),
        (POINT, '"0.001 %"', True),
        ('point = "[5.75, 5.5622] m"', '"as printed"', False),
        ('point = "[5.75, 5.5621] m"', '"as printed"', True),
        ('point = "[5.75, 5.5622] m"', '"0.001 m"', True),
        ('point = "[5.75, 5.5622] m"', '"± 0.001 m"', True),
        ('point = "[18.865, 18.248] ft"', '"0.01 in"', True),
        ('point = "[18.865, 18.249] ft"', '"as printed"', True),
        ('point = "[18.865, 18.248] ft"', '"as printed"', False),
        ('point = ["5.75 m", "18.248521 ft"]', '"1e-6 m"', True),
        (ANGLE, '"1e-5 deg"', True),
        (ANGLE, "1e-5", True),  # in the unit that the figure is written in
        ('angle = "83.4 deg"', "1e-2", False),
        ('side = "left"', '"exact"', True),
        ('side = "right"', '"exact"', False),
        (f"{POINT}\n{ANGLE}", '"1e-6 m"', True),  # the angle to its last place
        (f'{POINT}\nangle = "83.33400 deg"', '"1e-6 m"', False),
        (f"{POINT}\n{ANGLE}", '{ point = "1e-6 m", angle = "1e-5 deg" }', True),
    ],
)
def test_a_figure_passes_within_its_tolerance_and_not_beyond(expected, tolerance, passed):
    assert tapes(expected, tolerance).passed is passed


@given(off=st.floats(-2, 2).filter(lambda v: abs(abs(v) - 1) > 1e-6))
def test_what_is_further_off_than_the_tolerance_never_passes(off):
    written = read("5 ft", Argument("v", "float", "m", ""))
    tolerance = running.Tolerance.read("1 in", written, "m")
    got = 5 * 0.3048 + off * 0.0254
    assert running.compare("v", written, got, tolerance).passed is (abs(off) < 1)


def test_a_result_is_told_in_the_unit_that_was_expected():
    figure = tapes('angle = "83.0 deg"', '"1 deg"').figures[0]
    assert figure.unit == "deg"
    assert figure.expected == pytest.approx(83)
    assert figure.got == pytest.approx(83.33457)
    assert figure.difference == pytest.approx(0.33457, abs=1e-5)


def test_the_worst_element_is_told():
    figure = tapes('point = "[5.76, 5.6] m"', '"1e-3 m"').figures[0]
    assert figure.at == (1,)
    assert figure.difference == pytest.approx(-0.037851, abs=1e-6)


def test_another_shape_fails_and_says_so():
    figure = tapes('point = "[5.75, 5.56, 0] m"', '"1 m"').figures[0]
    assert not figure.passed
    assert "shape 2 where 3" in figure.note


def test_one_number_and_a_list_of_one_are_the_same_figure():
    assert tapes('angle = "[83.33457] deg"', '"as printed"').passed


SCALED = 'method = "layout.scaled"\n[check.inputs]\nheights = [[1, 2], [3, nan]]\nfactor = 2\n'


def test_what_is_not_a_number_never_passes():
    for value in ("nan", "inf", "8.0"):
        result = tapes(f"value = [[2, 4], [6, {value}]]", '"100 %"', SCALED)
        assert not result.passed
        assert "not a number" in result.figures[0].note


def test_the_only_result_may_be_called_value_whatever_its_name():
    inputs = SCALED.replace("nan", "4")
    assert tapes("value = [[2, 4], [6, 8]]", '"exact"', inputs).passed
    assert tapes("value = [[2, 4], [6, 8]]", '{ value = "exact" }', inputs).passed


def test_any_unit_is_kept_consistent():
    inputs = SCALED.replace("[[1, 2], [3, nan]]", '"[[1, 2], [3, 4]] ft"').replace(
        "= 2", '= "50 %"'
    )
    assert tapes('value = "[[6, 12], [18, 24]] in"', '"exact"', inputs).passed


SURFACE = (
    'method = "layout.mean_height"\n[check.inputs]\nground = "x**2 + y"\n'
    'places = "[[1, 0], [2, 3]] m"\n'
)


def test_a_surface_is_a_formula_and_options_may_be_left_out():
    assert tapes('value = "4 m"', '"exact"', SURFACE).passed
    more = SURFACE + "weights = [1, 3]\nsquare = true\nrounds = 2\n"
    assert tapes('value = "37 m"', '"exact"', more).passed  # (1 + 3 * 49) / 4


# --- refusals


@pytest.mark.parametrize(
    ("says", "tape", "passed"),
    [
        ("do not meet", "1 m", True),
        ("Do Not Meet", "1 m", True),
        ("crosses itself", "1 m", False),
        ("do not meet", "8 m", False),
    ],
)
def test_a_refusal_must_happen_and_say_the_words(says, tape, passed):
    result = one(f'{HEAD}refused = "{says}"\n{TAPES.replace("8 m", tape)}')
    assert result.passed is passed
    assert result.note


def test_a_refusal_where_figures_were_expected_fails_with_the_words():
    result = tapes(POINT, '"exact"', TAPES.replace("8 m", "1 m"))
    assert not result.passed
    assert "do not meet" in result.note


def test_a_method_that_breaks_fails_its_check_and_does_not_end_the_run():
    checks = read_texts(
        [
            ("f.toml", f"{HEAD}tolerance = 0\n{BROKEN}[check.expected]\n{POINT}"),
        ]
    )
    (result,) = running.run_all(checks)
    assert not result.passed
    assert "broke: ValueError" in result.note


def test_a_refusal_is_not_met_by_a_break():
    assert not one(f'{HEAD}refused = "math"\n{BROKEN}').passed


# --- files that are not in the form


def test_everything_wrong_in_a_file_is_told_at_once():
    text = (
        '[[check]]\nmethod = "layout.tow_tapes"\nstatus = "verifyed"\ntoleranse = "1 m"\n'
        "[check.expected]\nvalue = 1\n"
        f'{HEAD}tolerance = "1 m"\n'
        'method = "layout.two_tapes"\n[check.inputs]\na = "[0, 0, 0] m"\nb = [10, 0]\n'
        'form_a = "8 m"\nfrom_b = "7 lb"\n[check.expected]\npiont = "[5.75, 5.56] m"\n'
    )
    found = {p.where: (p.what, p.right) for p in problems(text)}
    first, second = "file.toml: check number 1: ", "file.toml: check c: "
    assert found == {
        first + "toleranse": ("is not a key of a check", "did you mean tolerance?"),
        first + "id": ("is missing", "give the check a name of its own"),
        first + "source": (
            "is missing",
            'write author, year and work, or "common practice, no source"',
        ),
        first + "status": ("'verifyed' is not known", "did you mean verified?"),
        first + "method": ("'layout.tow_tapes' is not a method", "did you mean layout.two_tapes?"),
        second + "inputs.a": ("it has the shape (3,)", "give it the shape (2,) array"),
        second + "inputs.b": ("[10, 0] has no unit", 'write "18 in", "1.5 ft" or "0.46 m"'),
        second + "inputs.form_a": (
            "is not an input of layout.two_tapes",
            "did you mean from_a or from_b?",
        ),
        second + "inputs.from_b": (
            "'lb' does not fit m",
            'write "18 in", "1.5 ft" or "0.46 m"',
        ),
        second + "inputs.from_a": (
            "is missing: layout.two_tapes needs it",
            'write "18 in", "1.5 ft" or "0.46 m"',
        ),
        second + "expected.piont": ("is not a result of layout.two_tapes", "did you mean point?"),
    }


@pytest.mark.parametrize(
    ("text", "where", "what"),
    [
        ("[[check]\n", "file.toml", "is not TOML"),
        ("", "file.toml", "holds no check"),
        ("[[chek]]\n", "file.toml: chek", "is not known here"),
        ("check = 3\n", "file.toml: check", "is not a list of tables"),
        (f"{HEAD}{TAPES}", "file.toml: check c: expected", "is missing"),
        (f"{HEAD}{TAPES}[check.expected]\n{POINT}", "file.toml: check c: tolerance", "is missing"),
        (
            f'{HEAD}refused = "x"\ntolerance = "1 m"\n{TAPES}[check.expected]\n{POINT}',
            "file.toml: check c: expected",
            "stands beside refused",
        ),
        (f"{HEAD}refused = 3\n{TAPES}", "file.toml: check c: refused", "3 is not text"),
        (f'{HEAD}inputs = 3\nmethod = "layout.two_tapes"\n', "file.toml: check c: inputs", "table"),
        (f'{HEAD}refused = "x"\n', "file.toml: check c: method", "is missing"),
        (
            f'{HEAD}refused = "x"\n{TAPES}{HEAD}refused = "x"\n{TAPES}',
            "file.toml: check c: id",
            "is the id of check 1 too",
        ),
        (
            '[[check]]\nid = "c"\nsource = "s"\nrefused = "x"\n' + TAPES,
            "file.toml: check c: status",
            "is missing",
        ),
    ],
)
def test_a_file_in_another_form_is_refused_with_its_place(text, where, what):
    assert any(p.where == where and what in p.what and p.right for p in problems(text))


@pytest.mark.parametrize(
    ("tolerance", "where", "what"),
    [
        ('"1 lb"', "tolerance", "'lb' does not fit m"),
        ('"-1 m"', "tolerance", "is below zero"),
        ("-1", "tolerance", "is below zero"),
        ("nan", "tolerance", "cannot be read"),
        ("true", "tolerance", "is not a tolerance"),
        ('"about right"', "tolerance", "cannot be read"),
        ('{ point = "1 lb" }', "tolerance.point", "'lb' does not fit m"),
        ('{ angle = "1 deg" }', "tolerance.point", "is missing"),
        ('{ piont = "1 m" }', "tolerance.piont", "is not a result"),
    ],
)
def test_a_tolerance_that_cannot_be_used_is_refused(tolerance, where, what):
    found = problems(f"{HEAD}tolerance = {tolerance}\n{TAPES}[check.expected]\n{POINT}\n")
    assert any(p.where == f"file.toml: check c: {where}" and what in p.what for p in found), found


def test_a_file_that_cannot_be_opened_is_told_plainly(tmp_path):
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'source = "\xe9"')
    for path, what in [
        (tmp_path / "none.toml", "no such file"),
        (tmp_path, "is a directory"),
        (latin, "not text in UTF-8"),
    ]:
        with pytest.raises(CheckError, match=what):
            checks_in(path)
