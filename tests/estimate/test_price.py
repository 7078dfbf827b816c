"""From takeoff to price: exact sums, packs and cuts, who is paid, tax, terms, and the range."""

from __future__ import annotations

import csv
import datetime
import shutil
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from hillwright.errors import SurveyError
from hillwright.estimate.order import cut_lines
from hillwright.estimate.stage import cutting_tasks, price_up
from hillwright.job.prices import parse, read_prices
from hillwright.job.read import open_job
from hillwright.memo import Memo
from hillwright.plan import work_out

DEMO = Path(__file__).parents[2] / "examples" / "bracken-bank"
TODAY = datetime.date(2026, 3, 20)


@pytest.fixture(scope="module")
def plan():
    return work_out(open_job(DEMO), today=TODAY)


def again(plan, book=None, rain=0.0, **terms):
    """Price the demo anew with other terms or prices."""
    book = read_prices(plan.opened, TODAY) if book is None else book
    estimate = plan.job.estimate.model_copy(update=terms)
    cuts = cut_lines(cutting_tasks(plan.takeoff, book, estimate.kerf))
    names = tuple((w.id, w.name) for w in plan.work.works)
    return price_up(plan.takeoff, book, cuts, estimate, names, rain)


def test_every_total_is_the_sum_of_the_lines_as_printed(plan):
    e = plan.estimate
    for build in e.builds:
        lines = [s.amount for s in build.ladder if not s.total]
        assert build.price == sum(lines)
        assert all(a == a.quantize(Decimal("0.01")) for a in lines)
    for o in e.order:
        assert o.amount == sum((b.amount for b in o.bought), Decimal(0))
        for b in o.bought:
            assert b.amount == (b.packs * b.each).quantize(Decimal("0.01"), "ROUND_HALF_UP")


def test_rows_questions_and_weeks_each_add_up_to_the_direct_cost(plan):
    e = plan.estimate
    assert sum(a for _, a in e.by_row) == e.direct
    assert sum(a for _, a in e.by_question) == e.direct
    assert sum(a for _, _, a in e.by_week) == e.direct
    assert sum(p.amount for p in e.payments) == e.price


def test_what_is_bought_is_enough_with_its_waste(plan):
    for o in plan.estimate.order:
        if o.cut is not None or o.line.kind == "labour" or o.line.unit not in ("each", "load"):
            continue
        bought = sum(float(b.packs) * b.pack for b in o.bought)
        assert bought >= o.line.ordered - 1e-9, o.line.item


def test_tubing_is_cut_from_the_proven_least_of_what_is_sold(plan):
    cuts = [o for o in plan.estimate.order if o.cut is not None]
    assert {o.line.item for o in cuts} == {"tubing, 13.2 mm bore", "tubing, 4.0 mm bore"}
    for o in cuts:
        assert o.cut.plan.proven
        pieces = sum(n * c.times for c in o.cut.plan.cuts for _, n in c.pieces)
        assert pieces == sum(n for _, n in o.line.pieces)


def test_every_line_of_takeoff_and_order_can_be_asked_why(plan):
    for line in plan.takeoff.lines:
        working = plan.workings[line.figure]
        if line.figure not in ("takeoff.mulch",) and not line.figure.startswith("takeoff.soil"):
            assert working.result.value == pytest.approx(line.count)
        assert line.cells or line.rows or line.traced or line.count == 0, line.item
    for o in plan.estimate.order:
        if o.bought:
            figures = [w for n, w in plan.workings.items() if n.startswith("price.")]
            assert any(w.result.value == float(o.amount) for w in figures)


def test_a_price_that_is_not_known_is_listed_and_never_zero(plan):
    text = (DEMO / "prices.csv").read_text("utf-8").splitlines()
    lines = [row for row in text if not row.startswith("material,clip,")]
    blank = ["material,control valve,each,1,,,,USD,,,," if "control valve" in row else row
             for row in lines]  # fmt: skip
    book = parse("\n".join(blank), "prices.csv")
    found = again(plan, book)
    assert dict(found.missing) == {
        "clip": "no price in the price book", "control valve": "the price is blank",
    }  # fmt: skip
    assert found.price < plan.estimate.price
    assert not found.complete


def test_nothing_without_a_price_book_has_a_price_and_the_plan_says_how_to_get_one(plan):
    empty = again(plan, parse("item,unit,price\nclip,each,\n", "p.csv"))
    assert not empty.priced
    assert empty.risk is None
    assert not empty.payments


@pytest.mark.parametrize(
    ("row", "right"),
    [
        ("planting cell,ft,11", "write each"),
        ('"topsoil, loose",each,11', "write yd3 or m3 or ft3 or gal or L or ton"),
        ('"tubing, 0.52 in bore",each,11', "write ft or m"),
        ("delivery of loose goods,day,11", "write load"),
    ],
)
def test_a_unit_that_a_thing_is_not_sold_by_is_told_with_its_line(plan, row, right):
    with pytest.raises(SurveyError) as caught:
        again(plan, parse(f"item,unit,price\n{row}\n", "prices.csv"))
    (problem,) = caught.value.problems
    assert problem.where == "prices.csv line 2"
    assert right in problem.right


def test_soil_may_be_sold_by_weight(plan):
    line = next(x for x in plan.takeoff.lines if x.item == "topsoil, loose")
    found = again(plan, parse('item,unit,price\n"topsoil, loose",ton,40\n', "p.csv"))
    (bought,) = next(o for o in found.order if o.line.item == line.item).bought
    assert int(bought.packs) == int(np.ceil(line.mass / (2000 * 0.45359237)))


def test_the_supplier_who_is_cheapest_for_all_of_a_line_gets_it(plan):
    rows = "clip,each,100,20,Near\nclip,each,25,4,Far\nclip,each,1,0.01,Small\n"
    found = again(plan, parse(f"item,unit,pack,price,supplier\n{rows}", "p.csv"))
    clips = next(o for o in found.order if o.line.item == "clip")
    assert {b.supplier for b in clips.bought} == {"Small"}
    assert clips.amount == Decimal(str(clips.line.ordered)) * Decimal("0.01")


def test_an_owner_pays_no_wages_overhead_or_profit_and_a_contractor_pays_every_hour(plan):
    by = {b.key: b for b in plan.estimate.builds}
    assert {s.name for s in by["owner"].ladder}.isdisjoint({"Wages", "Overhead", "Profit"})
    assert by["owner"].price < by["mixed"].price < by["contractor"].price
    assert by["owner"].paid_hours == by["contractor"].given_hours == 0
    # a hired hand is quicker than a volunteer (0.8): fewer hours are paid than were given
    given = by["mixed"].given_hours
    assert by["contractor"].paid_hours == pytest.approx(by["mixed"].paid_hours + 0.8 * given)


def test_the_value_of_volunteers_is_told_and_in_no_price(plan):
    free = again(plan, volunteers="not valued")
    assert free.price == plan.estimate.price
    assert free.main.given_value == 0 < plan.estimate.main.given_value


def test_a_margin_of_a_fifth_and_a_markup_of_a_quarter_are_the_same_price(plan):
    up = again(plan, profit=0.25, profit_as="markup")
    down = again(plan, profit=0.20, profit_as="margin")
    assert abs(up.price - down.price) <= Decimal("0.01")


def test_tax_is_paid_on_cost_or_charged_on_the_price_or_not_at_all(plan):
    def tax(**rules):
        ladder = again(plan, contingency="none", **rules).main.ladder
        return {s.name: s.amount for s in ladder if s.name.startswith("Tax")}

    cost = tax(tax_materials="cost", tax_plants="none")
    price = tax(tax_materials="price", tax_plants="none")
    assert set(cost) == {"Tax on materials"}
    assert set(price) == {"Tax on price"}
    assert price["Tax on price"] > cost["Tax on materials"]  # the marked-up goods are taxed
    assert tax(tax_materials="none", tax_plants="none") == {}


def test_a_deposit_over_the_limit_of_the_place_is_cut_to_it_and_told(plan):
    found = again(plan, deposit=0.3)
    tenth = (found.price / 10).quantize(Decimal("0.01"), "ROUND_FLOOR")
    assert found.payments[0].amount == min(Decimal(1000), tenth)
    assert any("more than the California" in w for w in found.warnings)
    free = again(plan, deposit=0.3, law="")
    third = free.price * 3 / 10
    assert free.payments[0].amount == third.quantize(Decimal("0.01"), "ROUND_FLOOR")
    assert again(plan, deposit=0.0).payments[0].when.startswith("when the rows")


def test_the_range_is_the_same_twice_and_its_mean_is_that_of_the_closed_form(plan):
    one, two = again(plan), again(plan)
    assert np.array_equal(one.risk.quantile, two.risk.quantile)
    # without the volume of the soil, whose whole loads have no closed form
    r = again(plan, correlation=0.0, samples=40_000, soil_spread=0.0).risk
    goods = 0.0
    e = plan.estimate
    tax = {"material": 1.08, "plant": 1.08}
    for o in e.order:
        amount = float(o.amount)
        if not amount or o.line.kind == "labour":
            continue
        low = float(sum(b.packs * b.low for b in o.bought)) / amount
        high = float(sum(b.packs * b.high for b in o.bought)) / amount
        goods += amount * tax.get(o.line.kind, 1.0) * ((low + 1 + high) / 3 - 1)
    lead = next(o for o in e.order if o.line.item == "lead")
    rate = float(lead.amount) * 1.3
    (b,) = lead.bought
    wages = rate * ((float(b.low) + float(b.each) + float(b.high)) / 3 / float(b.each) - 1)
    course = plan.takeoff.course
    mine = course.role == course.roles.index("lead")
    part = course.worked[mine] / course.worked[mine].sum()
    hours = rate * float((part * ((course.spread[mine].sum(axis=1) + 1) / 3 - 1)).sum())
    mean = float(e.cost) + 1.1 * (goods + wages + hours)
    assert r.mean == pytest.approx(mean, abs=5 * r.sd / 200)


def test_a_short_task_on_a_day_of_its_own_does_not_carry_the_wages_of_the_day(plan):
    course = plan.takeoff.course
    mine = np.flatnonzero(course.role == course.roles.index("lead"))
    last = mine[course.day[mine] == course.day[mine].max()]
    (entry,) = last.tolist()  # the lead does one thing on the last day, and is paid all of it
    assert course.paid[entry] > 5 * course.worked[entry]
    kind = course.works[int(course.task[entry])]
    name = "hours: " + next(w.name for w in plan.work.works if w.id == kind)
    (driver,) = [d for d in plan.estimate.risk.drivers if d.name == name]
    # an hour costs what an hour costs over the whole job: its share of the wages, with overhead
    same = [k for k in mine.tolist() if course.works[int(course.task[k])] == kind]
    part = course.worked[same].sum() / course.worked[mine].sum()
    lead = next(o for o in plan.estimate.order if o.line.item == "lead")
    wages = float(lead.amount) * (1 + plan.job.estimate.burden) * 1.1
    assert driver.high <= wages * part * (course.spread[entry, 1] - 1)


def test_shares_of_the_spread_add_up_and_p80_is_the_contingency(plan):
    e = plan.estimate
    assert sum(d.share for d in e.risk.drivers) == pytest.approx(1, abs=1e-6)
    aside = next(s.amount for s in e.main.ladder if s.name == "Contingency")
    assert float(aside) == pytest.approx(float(e.risk.quantile[2]) - e.risk.base, abs=0.01)
    assert list(e.risk.quantile) == sorted(e.risk.quantile)


def test_rain_makes_it_dearer_and_less_sure(plan):
    dry, wet = again(plan).risk, again(plan, rain=0.25).risk
    assert wet.mean > dry.mean
    assert any(d.name == "days lost to weather" for d in wet.drivers)


def test_a_new_price_redoes_the_price_alone(tmp_path):
    folder = tmp_path / "bank"
    shutil.copytree(DEMO, folder)
    memo = Memo(200)
    first = work_out(open_job(folder), memo, today=TODAY)
    memo.redone.clear()
    path = folder / "prices.csv"
    path.write_text(path.read_text("utf-8").replace("11.50", "12.50"), "utf-8")
    second = work_out(open_job(folder), memo, today=TODAY)
    assert memo.redone == ["price"]
    assert second.estimate.price > first.estimate.price


def test_the_price_book_that_is_written_names_all_that_is_needed_and_keeps_what_is_known(plan):
    from hillwright.sheets.pricebook import price_book

    book = read_prices(plan.opened, TODAY)
    text = price_book(plan, book)
    # what is blank is added at its place; what is known stands as it stood
    kept = [replace(r, line=0) for r in parse(text, "p.csv").rows if r.likely is not None]
    assert sorted(kept, key=str) == sorted((replace(r, line=0) for r in book.rows), key=str)
    written = {tuple(row.values())[:3] for row in csv.DictReader(
        [x for x in text.splitlines() if not x.startswith("#")])}  # fmt: skip
    assert {(r.kind, r.item, r.unit) for r in book.rows} <= written
    blank = price_book(plan, parse("item,unit,price\n", "p.csv"))
    found = again(plan, parse(blank, "p.csv"))
    assert not any("in the price book" in why for _, why in found.missing)  # every row is there


def test_work_that_nobody_can_do_leaves_the_price_without_its_hours_and_says_so(plan):
    book = read_prices(plan.opened, TODAY)
    bare = replace(plan.takeoff, lines=tuple(x for x in plan.takeoff.lines if x.kind != "labour"))
    cuts = cut_lines(cutting_tasks(bare, book, 0.0))
    found = price_up(bare, book, cuts, plan.job.estimate, stopped="nobody may drive")
    assert ("all hours of work", "nobody may drive") in found.missing
    assert not found.complete


def test_hours_that_a_contractor_pays_are_named_after_who_works_them(plan):
    from hillwright.answers.cost import named

    found = again(plan, built="contractor")
    names = {named(o, found) for o in found.order if o.line.kind == "labour"}
    assert names == {"lead", "hired hand, in place of adult volunteer"}


def test_a_deposit_schedule_of_an_undated_offer_has_no_last_day(plan):
    assert again(plan, date="").valid_until == ""
    assert plan.estimate.valid_until == "2026-04-15"


def test_who_builds_his_own_garden_pays_nobody_by_stages(plan):
    assert again(plan, built="owner").payments == ()
    assert again(plan, built="contractor").payments


def test_how_lines_are_rounded_is_said_at_their_sums_and_not_at_every_line(plan):
    said = {name: w.note for name, w in plan.workings.items() if name.startswith("price.")}
    assert "rounded by itself" in said["price.total-material"]
    assert "rounded by itself" not in said["price.clip"]
    assert "takeoff.clips" in said["price.clip"]
