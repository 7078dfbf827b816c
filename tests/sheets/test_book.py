"""The calculation book: every working typeset, none missing, none worked 491 times."""

from pathlib import Path

import pytest
import typst
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from hillwright.job.read import open_job
from hillwright.method import all_methods
from hillwright.plan import work_out
from hillwright.sheets.book import PARTS, book_sheets, question
from hillwright.sheets.maths import lines, quoted, typeset
from hillwright.sheets.pdf import print_document

EXAMPLES = Path(__file__).parents[2] / "examples"


def compiles(maths):
    """Set many pieces of mathematics in one document; typst fails on the first that is none."""
    body = "\n".join(f"#eval({quoted(m)}, mode: {quoted('math')})\n" for m in maths)
    return typst.compile(body.encode(), format="svg")


@pytest.mark.parametrize(
    ("equation", "expected"),
    [
        ("tan(p) / c", ["tan ( p ) / c"]),
        ("sqrt(p^2 + q^2)", ["sqrt( p ^ 2 + q ^ 2 )"]),
        ("FS = K_a k1", ['"FS" = K_("a") k_("1")']),
        ("clips = pairs of neighbours * 2", ['"clips" = "pairs of neighbours" dot.op 2']),
        ("a = b; c = d", ["a = b", "c = d"]),
        ("f(x; y)", ['f  ( x ";" y )']),
        ("a <= 3e-4", ["a <= 3 dot.op 10^(-4)"]),
        ("brackets (that [do) not pair", ['"brackets (that [do) not pair"']),
        ('say "so" \\ #x $y', ['"say" "\\"" "so" "\\"" "\\\\" "#" x "$" y']),
    ],
)
def test_plain_signs_become_mathematics(equation, expected):
    assert lines(equation) == expected
    compiles(expected)


def test_every_equation_of_every_method_can_be_set():
    found = [m for method in all_methods().values() for m in lines(method.equation)]
    assert len(found) > 100
    compiles(found)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.text(st.characters(codec="utf-8"), max_size=30), max_size=20))
def test_no_text_whatever_breaks_the_setting(texts):
    compiles([typeset(t) for t in texts])


@pytest.fixture(scope="module")
def bank():
    return work_out(open_job(EXAMPLES / "bracken-bank" / "job.toml"))


def test_every_figure_of_the_plan_is_in_the_book_once(bank):
    (page,) = book_sheets(bank)
    shown = []
    for part in page.data["parts"]:
        for entry in part["entries"]:
            others = [row[0] for row in entry["others"]["rows"]]
            assert not others or others[0] == entry["figure"]
            shown += others or [entry["figure"]]
    assert sorted(shown) == sorted(bank.workings)
    assert sorted(i[0] for i in page.data["figures"]) == sorted(bank.workings)


def test_a_working_that_is_the_same_for_many_is_worked_once(bank):
    (page,) = book_sheets(bank)
    entries = [e for part in page.data["parts"] for e in part["entries"]]
    tapes = [e for e in entries if e["figure"].endswith(".tape_a")]
    assert len(tapes) == 1
    assert len(tapes[0]["others"]["rows"]) >= 2 * len(bank.setout.row)
    assert len(entries) < len(bank.workings)


def test_every_figure_says_where_it_comes_from_and_holds(bank):
    (page,) = book_sheets(bank)
    methods = all_methods()
    for part in page.data["parts"]:
        for entry in part["entries"]:
            assert entry["source"], entry["figure"]
            assert entry["result"], entry["figure"]
            working = bank.workings[entry["figure"]]
            if working.method and methods[working.method].function.__doc__.count("Notes\n"):
                assert entry["range"], entry["figure"]


def test_the_book_is_printed_with_an_index_of_its_pages(bank):
    pdf = print_document(bank, "Calculation book", book_sheets(bank), "I1")
    import io

    pages = [" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(pdf)).pages]
    (page,) = book_sheets(bank)
    number = next(n for f, n in page.data["figures"] if f == "runoff.rain")
    title = bank.workings["runoff.rain"].title
    on = next(k for k, text in enumerate(pages, 1) if f"{number} {title}" in text)
    assert f"runoff.rain {number} {on}" in pages[-1] + pages[-2]


@pytest.mark.parametrize(("begins", "number"), PARTS)
def test_figures_stand_in_the_part_of_their_question(begins, number):
    assert question(begins + "x") == number
    assert question("nothing.known") == 10
