"""The calculation book: every working typeset, none missing, none worked 491 times."""

import re
from pathlib import Path

import numpy as np
import pytest
import typst
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from hillwright.estimate.trace import slug
from hillwright.job.read import open_job
from hillwright.method import all_methods, symbols_of
from hillwright.plan import work_out
from hillwright.sheets.book import PARTS, book_sheets, question
from hillwright.sheets.maths import _FUNCTIONS, lines, parts, quoted, typeset
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


KNOWN = {"pi", "dx", "dy", "dz", "dA", "deg", "US", "Gauss", "MAWA"}  # written as they are said


def _symbols(equation):
    """List what a reader must be told: short names that are neither functions nor words."""
    for part in parts(equation):
        for name in re.findall(r"(?<![\w'.])[A-Za-z]\w*'?", part):
            if name.lower() in WORDS or name in KNOWN or name in _FUNCTIONS:
                continue
            if len(name) > 3 and name.islower():
                continue
            yield name.removesuffix("_")


WORDS = {
    "and", "the", "for", "per", "all", "end", "cut", "of", "or", "in", "to", "on", "at", "by", "up",
    "is", "from", "over", "a", "mean", "sum", "max", "min", "ceil", "asin", "atan", "atan2", "each",
    "with", "box", "no", "dry", "top", "own", "its", "cm", "ft2", "ft", "gal", "gph", "gpm", "lb",
    "ft/s", "h", "s", "else", "net", "as", "scan", "best", "base", "cost", "log", "day", "run",
    "only", "go", "toe", "one", "off", "manning",
}  # fmt: skip


@pytest.fixture(scope="module", params=["bracken-bank", "long-meadow", "quarry-garden"])
def booked(request, worked):
    return worked(request.param)


def test_every_symbol_of_an_equation_in_the_book_is_a_number_beside_it_or_told(booked):
    untold = {}
    for working in booked.workings.values():
        if not working.method:
            continue
        w = working.with_units()
        stands, words = symbols_of(w)
        told = {s for group in stands.values() for s in group.split(", ")} | set(words)
        told |= {n.name.split(",")[0] for n in w.given}
        for part in parts(w.equation):
            left = re.split(r"(?<![<>!])=", part)[:-1]
            told |= {name for side in left for name in re.findall(r"[A-Za-z]\w*", side)}
        told |= {re.sub(r"[\W_].*", "", t) for t in told}
        if missing := sorted(set(_symbols(w.equation)) - told):
            untold[w.method] = missing
    assert untold == {}


def test_a_number_left_at_its_default_is_in_the_working_too(bank):
    w = bank.workings["stability.slope.bare.found"].with_units()
    given = {n.name: n for n in w.given}
    assert given["water_weight"].value == pytest.approx(9810, rel=1e-3)
    assert given["root_cohesion"].unit == "Pa"


def test_the_book_of_a_job_in_feet_has_neither_metres_nor_decimals_of_counts(bank):
    (page,) = book_sheets(bank)
    for part in page.data["parts"]:
        for e in part["entries"]:
            said = [e["title"], e["result"], *(v for pair in e["given"] for v in pair)]
            for text in said:
                assert not re.search(r"\d (mm|m|L/h|m of water|kg/m3|m2|m3)\b", text), (e, text)
                assert ".0000" not in text, (e["figure"], text)
                assert "1e-9" not in str(e["maths"])


@pytest.mark.parametrize(
    ("equation", "expected"),
    [
        ("amount x person-hours a unit", ['"amount x person-hours a unit"']),
        ("Green-Ampt", ['"Green-Ampt"']),
        ("z_(i + 1) - c[k]", ["z _ ( i + 1 ) - c _ ( k )"]),
        ("RAW - IR", ['"RAW" - "IR"']),
    ],
)
def test_a_hyphen_is_no_minus_and_a_bracket_behind_a_symbol_is_its_index(equation, expected):
    assert lines(equation) == expected
    compiles(expected)


@pytest.mark.parametrize("key", ["bare", "built", "season", "grown"])
def test_soil_loss_comes_out_of_the_numbers_beside_it(bank, key):
    given = {n.name: n.value for n in bank.workings[f"runoff.soil.{key}"].given}
    cells = np.prod([given[k] for k in ("erosivity", "erodibility", "ls", "cover", "practice")])
    share, beside = given.get("a, under cells", 1.0), given.get("B, beside them", 0.0)
    found = bank.workings[f"runoff.soil.{key}"].result.value
    assert share * cells + (1 - share) * beside == pytest.approx(found, rel=5e-3)


def test_the_pressure_on_a_wall_comes_out_of_the_numbers_beside_it(bank):
    g = {n.name: n.value for n in bank.workings["stability.wall.pressure"].with_units().given}
    d, b, f, h = g["depth"], g["slope"], g["friction"], g["water_height"]
    e = max(0.0, (g["unit_weight"] * d + g["surcharge"] - g["water_weight"] * h) * np.cos(b))
    t = max(0.0, (g["unit_weight"] * d + g["surcharge"]) * np.sin(b) - e * np.tan(f)) * g["run"]
    p = (1 - np.sin(f)) * e + g["water_weight"] * h * np.cos(b) + t / d
    assert p == pytest.approx(bank.workings["stability.wall.pressure"].result.value, rel=1e-9)


def test_factors_of_one_group_stand_beside_what_differs_between_them(bank):
    (page,) = book_sheets(bank)
    entries = {e["figure"]: e for part in page.data["parts"] for e in part["entries"]}
    table = entries["stability.slope.bare.found"]["others"]
    assert {"water height (h)", "surcharge (q)", "root cohesion (cr)"} <= set(table["head"])


def test_the_lines_of_the_order_stand_in_one_table_that_can_be_reckoned_again(bank):
    (page,) = book_sheets(bank)
    entries = [e for part in page.data["parts"] for e in part["entries"]]
    (lines,) = [e for e in entries if e["others"]["head"][-1:] == ["amount"]]
    bought = [o for o in bank.estimate.order if o.bought and o.cut is None]
    figures = {f"price.{slug(o.line.item)}" for o in bought if o.line.kind != "labour"}
    assert {row[0] for row in lines["others"]["rows"]} == figures
    for _, _, _, _, packs, amount in lines["others"]["rows"]:
        total = sum(
            float(p.split(" x ")[0]) * float(p.rsplit(" at ", 1)[1].replace(",", ""))
            for p in packs.split("; ")
        )
        assert f"{total:,.2f}" == amount
