"""What was built beside what was planned, and what follows."""

import shutil
from pathlib import Path

import pytest

from hillwright import units
from hillwright.after.built import as_built, name, planned_places
from hillwright.cli import main
from hillwright.errors import OutOfRange, SurveyError
from hillwright.job.built import BuiltLine, Record, parse
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.builtform import built_csv, built_sheets

EXAMPLES = Path(__file__).parents[2] / "examples"
HEAD = "kind,place,planned,built,test,note\n"


@pytest.fixture
def bank(worked):
    return worked("bracken-bank")


def held(plan, *lines):
    found = tuple(
        BuiltLine(kind, place, value, test, k) for k, (kind, place, value, test) in enumerate(lines)
    )
    rooms = (plan.layout, plan.fill, plan.stability.anchoring, plan.irrigation, plan.work)
    return as_built(Record("as-built.csv", found), *rooms)


def plans(plan):
    rooms = (plan.layout, plan.fill, plan.stability.anchoring, plan.irrigation, plan.work)
    return planned_places(*rooms)


def test_the_form_has_every_place_of_the_plan_and_reads_back_as_nothing_recorded(example):
    form = built_csv(example)
    places = plans(example)
    assert form.count("\n") == 1 + sum(len(p) for p in places.values())
    assert parse(form, "as-built.csv") == ()
    assert len(places["bar"]) == len(example.stability.anchoring.place)
    assert len(places["cell"]) == len(example.layout.row)


def test_a_form_filled_in_as_planned_differs_in_nothing(bank):
    lines = []
    for line in built_csv(bank).splitlines()[1:]:
        kind, place, planned, *_ = line.split(",")
        test = "300 lbf" if kind == "bar" else ""
        lines.append(f"{kind},{place},{planned},{planned},{test},")
    found = parse(HEAD + "\n".join(lines), "as-built.csv")
    rooms = (bank.layout, bank.fill, bank.stability.anchoring, bank.irrigation, bank.work)
    built = as_built(Record("as-built.csv", found), *rooms)
    assert [d for d in built.differences if d.gravity != "note"] == []
    for count in built.counts:
        assert count.recorded == pytest.approx(count.planned)
        assert count.built == pytest.approx(count.planned, rel=0.02)  # as printed


def test_a_bar_that_fails_its_pull_test_stops(bank):
    load = bank.stability.anchoring.test_load
    assert load > 0
    place = next(iter(plans(bank)["bar"]))
    built = held(bank, ("bar", place, 1.0, 0.9 * load))
    first = built.differences[0]
    assert (first.question, first.gravity) == (3, "stop")
    assert name("bar", place) in first.what
    assert "holding.tested_pull" in first.right
    ok = held(bank, *(("bar", p, 1.0, load) for p in list(plans(bank)["bar"])[:5]))
    assert [d for d in ok.differences if d.question == 3] == []


def test_a_missing_bar_and_too_few_tests_are_measures(bank):
    places = list(plans(bank)["bar"])
    built = held(bank, ("bar", places[0], 0.0, None), ("bar", places[1], 1.0, None))
    said = [d.what for d in built.differences if d.question == 3]
    assert len(said) == 2
    assert any(name("bar", places[0]) in s for s in said)
    assert {d.gravity for d in built.differences} == {"with measures"}


def test_soil_that_is_short_or_over_by_a_tenth_and_more_is_told(bank):
    soil = plans(bank)["soil"]
    (a, less), (b, more), (c, near) = list(soil.items())[:3]
    built = held(
        bank, ("soil", a, 0.8 * less, None), ("soil", b, 1.3 * more, None),
        ("soil", c, 0.95 * near, None),
    )  # fmt: skip
    told = {d.question: d.what for d in built.differences}
    assert name("soil", a) in told[5]
    assert name("soil", c) not in told[5]
    assert f"{0.2 * less:.2f} m3 short" in told[5]
    assert name("soil", b) in told[3]


def test_cells_left_out_other_emitters_and_hours_are_told_where_they_belong(bank):
    places = plans(bank)
    cell = next(iter(places["cell"]))
    emitter, count = next(iter(places["emitter"].items()))
    work, hours = next(iter(places["hours"].items()))
    built = held(
        bank, ("cell", cell, 0.0, None), ("emitter", emitter, count + 1, None),
        ("hours", work, 2 * hours, None),
    )  # fmt: skip
    told = {d.question: d for d in built.differences}
    assert name("cell", cell) in told[2].what
    assert name("emitter", emitter) in told[7].what
    assert told[8].gravity == "note"


def test_a_place_that_the_plan_does_not_have_is_named_with_its_line(bank):
    with pytest.raises(OutOfRange) as caught:
        held(bank, ("cell", ("99", "1"), 1.0, None), ("bar", ("1", "1", "9"), 1.0, None))
    said = str(caught.value)
    assert "as-built.csv line 0: the plan has no cell R99-1" in said
    assert "the plan has no bar R01-1-9" in said


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("tree,R01-1,yes,yes,,", "'tree' is no kind"),
        ("cell,row 1,yes,yes,,", "'row 1' is no place of a cell"),
        ("bar,R01-1,yes,yes,,", "'R01-1' is no place of a bar"),
        ("cell,R01-1,yes,maybe,,", "'maybe' is not yes or no"),
        ("cell,R01-1,yes,yes,200 lbf,", "a test of a cell"),
        ("bar,R01-1-1,yes,yes,200 ft,", "'200 ft' is not a force"),
        ("bar,R01-1-1,yes,yes,200,", "'200'"),
        ("bar,R01-1-1,yes,no,200 lbf,", "a bar that is not set was tested"),
        ("bar,R01-1-1,yes,yes,-20 lbf,", "is negative"),
        ("soil,R01,1 yd3,1.2,,", "'1.2'"),
        ("soil,R01,1 yd3,-1.2 yd3,,", "is negative"),
        ("soil,R01,1 yd3,3 ft,,", "'3 ft' is not"),
        ("emitter,R01-1,2,two,,", "'two' is no number of emitters"),
        ("hours,fill,10 h,5 lb,,", "'5 lb' is not"),
    ],
)
def test_wrong_lines_have_each_their_own_message(line, what):
    with pytest.raises(SurveyError) as caught:
        parse(HEAD + line, "as-built.csv")
    (problem,) = caught.value.problems
    assert problem.where == "as-built.csv line 2"
    assert what in problem.what
    assert problem.right


def test_a_place_twice_and_a_wrong_header_are_told():
    twice = "cell,R01-1,yes,yes,,\ncell,R1-1,yes,no,,\n"
    with pytest.raises(SurveyError, match="is on line 2 too"):
        parse(HEAD + twice, "as-built.csv")
    with pytest.raises(SurveyError, match="the header is"):
        parse("a,b\n", "as-built.csv")


def test_the_record_is_read_back_into_the_job_and_bears_on_the_answers(bank, tmp_path, capsys):
    for file in (EXAMPLES / "bracken-bank").iterdir():
        if file.is_file():
            shutil.copy(file, tmp_path)
    job = tmp_path / "job.toml"
    text = job.read_text(encoding="utf-8") + '\n[built]\nrecord = "as-built.csv"\n'
    job.write_text(text, encoding="utf-8")
    assert main(["plan", str(job)]) == 2  # named and not there
    assert "built.record" in capsys.readouterr().err
    bar = name("bar", next(iter(plans(bank)["bar"])))
    (tmp_path / "as-built.csv").write_text(f"{HEAD}bar,{bar},yes,yes,100 lbf,\n", encoding="utf-8")
    plan = work_out(open_job(job))
    hold, papers = plan.answers[2], plan.answers[9]
    assert hold.verdict == "stop"
    load = units.show(bank.stability.anchoring.test_load, "N", "us")
    assert hold.short.startswith(f"Bars that moved below the {load} that each must stand: {bar}")
    assert any("As built (as-built.csv): bars set: 1 built of 1" in line for line in papers.lines)
    assert plan.workings["after.built.bar"].result.value == 1
    first = built_sheets(plan)[0]
    assert first.title == "Planned beside built"
    assert any(bar in cell for row in first.blocks[1].rows for cell in row)
