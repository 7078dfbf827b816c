"""Every published method says what it takes, what it gives, in which units, and its source."""

import inspect
import pickle
import re
from pathlib import Path

import pytest

from hillwright import methodlist, units
from hillwright.method import Argument, Number, Working, all_methods, described, method

ROOT = Path(__file__).parents[1]
METHODS = all_methods()
EACH = pytest.mark.parametrize("m", METHODS.values(), ids=METHODS.keys())


@EACH
def test_the_docstring_gives_a_unit_for_everything_that_goes_in_and_comes_out(m):
    found = described(m.function)
    assert found.outputs
    for argument in (*found.inputs, *found.outputs):
        assert argument.shape, f"{argument.name} has no type"
        if argument.unit not in ("-", "any", "text", "surface"):
            units.unit(argument.unit)


@EACH
def test_the_docstring_names_the_parameters_of_the_signature_in_order(m):
    documented = [a.name for a in described(m.function).inputs]
    assert documented == list(inspect.signature(m.function).parameters)


@EACH
def test_no_two_results_have_one_name_and_none_hides_its_meaning(m):
    found = described(m.function)
    names = [a.name for a in found.outputs]
    assert len(set(names)) == len(names)
    assert all(a.about for a in (*found.inputs, *found.outputs))


@EACH
def test_what_it_gives_is_what_its_result_type_holds(m):
    hint = inspect.signature(m.function, eval_str=True).return_annotation
    names = [a.name for a in described(m.function).outputs]
    if hasattr(hint, "_fields"):
        assert names == list(hint._fields)
    else:
        assert len(names) == 1


@EACH
def test_title_equation_and_source_are_there(m):
    assert m.title
    assert m.equation
    assert "\n" not in m.equation
    assert m.source
    assert m.id == f"{m.function.__module__.split('.')[1]}.{m.function.__name__}"


def test_no_method_stands_where_the_list_does_not_look():
    listed = {m.function.__module__ for m in METHODS.values()}
    source = ROOT / "src"
    for path in (source / "hillwright").rglob("*.py"):
        if path.name != "method.py" and re.search(
            r"^@method\(", path.read_text(encoding="utf-8"), re.MULTILINE
        ):
            assert ".".join(path.relative_to(source).with_suffix("").parts) in listed


def test_the_page_of_methods_is_the_one_that_the_code_writes():
    page = (ROOT / "docs" / "methods.md").read_text(encoding="utf-8")
    written = methodlist.as_markdown(METHODS.values())
    assert page == written, "stale: run `hillwright methods --markdown > docs/methods.md`"


# --- reading a docstring


def area(width, run, *, bond="stacked"):
    """Area of a cell.

    Parameters
    ----------
    width, run : float
        Its sides, see [1, 2] of the sketch. [m]
    bond : str, optional
        One of two [words]. [text]

    Returns
    -------
    (n,) array
        The area. [m2]

    Notes
    -----
    For flat
    cells.
    """


def two(angle, load):
    """Two figures.

    Parameters
    ----------
    angle, load : (n,) array
        Of the bank. [rad], [N/m3]

    Returns
    -------
    far : float
        How far. [m]
    near : float
        How near. [m]
    """


def test_names_on_one_line_share_one_unit_or_have_one_each():
    found = described(area)
    assert found.inputs[:2] == (
        Argument("width", "float", "m", "Its sides, see [1, 2] of the sketch."),
        Argument("run", "float", "m", "Its sides, see [1, 2] of the sketch."),
    )
    assert [a.unit for a in described(two).inputs] == ["rad", "N/m3"]


def test_only_the_brackets_at_the_end_are_units():
    assert described(area).inputs[2].unit == "text"


def test_a_lone_result_is_called_value_and_notes_are_the_range():
    found = described(area)
    assert found.outputs == (Argument("value", "(n,) array", "m2", "The area."),)
    assert found.range == "For flat cells."


def test_a_missing_unit_is_told_with_its_place():
    def bare(width):
        """Nothing.

        Parameters
        ----------
        width : float
            A side.
        """

    with pytest.raises(ValueError, match=r"bare: width: end the docstring's line with one unit"):
        described(bare)


def test_two_methods_of_one_id_are_refused(monkeypatch):
    monkeypatch.setattr("hillwright.method._METHODS", {})

    def made_in(module):
        def same():
            pass

        same.__module__ = module
        return same

    attach = method(title="t", equation="e", source="s")
    attach(made_in("hillwright.terrain.one"))
    attach(made_in("hillwright.terrain.one"))  # the same place again is a reload
    with pytest.raises(ValueError, match=r"two methods are called terrain\.same"):
        attach(made_in("hillwright.terrain.two"))


# --- workings


@pytest.fixture
def _known(monkeypatch):
    monkeypatch.setattr("hillwright.method._METHODS", {})
    attach = method(title="Area", equation="A = w r", source="exact geometry")
    attach(area)
    attach(two)


@pytest.mark.usefixtures("_known")
def test_a_working_gets_its_units_from_the_docstring():
    working = Working.of("layout.area", area, {"width": 0.6, "run": 0.4}, 0.24, note="one cell")
    found = pickle.loads(pickle.dumps(working)).with_units()
    assert found.given == (Number("width", 0.6, "m"), Number("run", 0.4, "m"))
    assert found.result == Number("value", 0.24, "m2")
    assert (found.title, found.equation, found.note) == ("Area", "A = w r", "one cell")


@pytest.mark.usefixtures("_known")
def test_a_working_tells_which_of_several_results_it_is():
    working = Working.of("x", two, {"angle": 0.5, "load": 1.0}, 2.0, output="near").with_units()
    assert working.result == Number("near", 2.0, "m")


def test_a_plain_count_keeps_the_units_it_came_with():
    count = Working("layout.count", "Count", "n", (), Number("n", 5, "-"), "counted")
    assert count.with_units() is count
