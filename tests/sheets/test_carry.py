"""How soil gets up, as the answers and the sheet tell it."""

import dataclasses

import pytest

from hillwright.answers.ten import answers
from hillwright.job.model import OpenJob
from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.blocks import Table
from hillwright.sheets.carry import carry_blocks
from hillwright.sheets.rowcards import row_cards


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    return open_job(write_job(tmp_path_factory.mktemp("bank"), "us")[0])


def changed(opened, **keys):
    job = opened.job
    part = job.carry.model_copy(update=keys)
    return work_out(OpenJob(job=job.model_copy(update={"carry": part}), path=opened.path))


@pytest.fixture(scope="module")
def demo(opened):
    return work_out(opened)


def test_every_way_stands_in_the_answer_and_on_the_sheet_with_its_reason(demo):
    said = " ".join(demo.answers[4].lines)
    table = next(b for b in carry_blocks(demo) if isinstance(b, Table) and "Ways" in b.heading)
    for way, row in zip(demo.carry.ways, table.rows, strict=True):
        assert f"{way.name}: " in said
        assert row[0] == way.name
        assert row[-1]
    assert sum(row[1] == "least work" for row in table.rows) == 1


def test_a_hill_that_no_named_way_serves_says_so(opened):
    plan = changed(opened, ways=("wheelbarrow",))
    assert plan.carry.best == -1
    assert plan.answers[4].verdict == "with measures"
    assert any("None of the ways" in line for line in plan.answers[4].lines)
    assert any("No way to bring the soil up" in w for w in plan.warnings)


def test_heat_is_told_in_both_scales_with_the_rules_that_it_triggers(opened):
    plan = changed(opened, temperature=36.0, humidity=0.5)
    said = " ".join(plan.answers[7].lines)
    assert "°F (" in said
    assert "8 CCR 3395" in said
    assert "quart per employee per hour" in said


def test_fill_lines_and_lifts_are_told_and_no_load_is_called_safe(demo):
    said = " ".join((*demo.answers[7].lines, *demo.carry.cautions))
    mark = next(m for m in demo.carry.marks if m.mix == "planting mix")
    assert f"Fill line for planting mix: {100 * mark.carried:.0f} %" in said
    assert "set cell by cell" in said.lower() or "Rows go up in" in said
    assert "not safe loads" in said
    assert "is safe" not in said


def test_what_is_asked_of_hands_stays_with_the_job_that_it_was_worked_out_for(demo):
    nobody = dataclasses.replace(demo.carry, marks=(), lifts=(), singles=())
    again = answers(dataclasses.replace(demo, carry=nobody))
    assert "Fill line" not in " ".join(again[7].lines)


def test_a_row_card_never_asks_for_a_bucket_that_the_soil_sheet_forbids(worked):
    plan = worked("bracken-bank")
    (page,) = row_cards(plan)
    marks = {m.mix: m for m in plan.carry.marks}
    assert all(m.carried < 1 for m in marks.values())
    total = dict.fromkeys(marks, 0)
    for card in page.data["cards"]:
        for what, said in card["todo"]:
            if what == "Fill":
                assert "level" not in said
                mix, rest = said.split(": ", 1)
                assert f"filled to the line ({100 * marks[mix].carried:.0f} %)" in rest
                total[mix] += int(rest.split(" bucket")[0])
    for mix, mark in marks.items():  # each row is rounded up by itself
        assert mark.carried_buckets <= total[mix] <= mark.carried_buckets + plan.layout.rows
