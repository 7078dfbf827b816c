"""The papers of the estimate: figures that add up on the page, a picture that reads, tables."""

import csv
import io
import math
import re
from decimal import Decimal

import pytest

from hillwright.sheets.blocks import Picture, Table
from hillwright.sheets.price import order_csv, order_lists, price_csv, price_sheets, suppliers
from hillwright.sheets.rows import takeoff_csv
from hillwright.sheets.setout import order_sheets
from hillwright.sheets.tornado import tornado
from hillwright.wording import in_units


@pytest.fixture(scope="module")
def plan(worked):
    return worked("bracken-bank")


def amounts(table, column):
    return [Decimal(row[column].replace(",", "")) for row in table.rows]


def tables(sheets):
    return {b.heading: b for s in sheets for b in s.blocks if isinstance(b, Table)}


def test_the_price_on_the_page_is_the_sum_of_the_lines_above_it(plan):
    found = tables(price_sheets(plan))
    ladder = next(t for h, t in found.items() if h.startswith("Price, "))
    lines = [(row[0], Decimal(row[1].replace(",", ""))) for row in ladder.rows]
    parts = [a for name, a in lines if not name.isupper()]
    assert dict(lines)["PRICE"] == sum(parts) == plan.estimate.price
    assert sum(amounts(found["Payments"], 1)) == plan.estimate.price
    for heading in ("By part", "By week", "By row"):
        assert sum(amounts(found[heading], 1)) == plan.estimate.direct


def test_the_terms_caution_about_deposits_and_days_to_cancel(plan):
    said = str([b for s in price_sheets(plan) for b in s.blocks])
    assert "business days" in said
    assert "lesser of $1,000 and 10 %" in said
    assert "ask the licence board" in said


def test_each_supplier_gets_a_list_that_adds_up_and_says_how_tubing_is_cut(plan):
    sheets = order_lists(plan)
    assert len(sheets) == len(suppliers(plan.estimate))
    for sheet in sheets:
        order = sheet.blocks[0]
        *lines, total = amounts(order, 4)
        assert total == sum(lines)
    cuts = [b for s in sheets for b in s.blocks[1:]]
    assert len(cuts) == 2
    assert all("proven" in b.notes[0] for b in cuts)


def test_the_tornado_has_a_bar_for_each_driver_and_no_two_labels_on_one_line(plan):
    r = plan.estimate.risk
    drivers = r.drivers[:10]
    picture = tornado(drivers, r.base, "USD").decode()
    # what does nothing on one side has no bar there
    assert picture.count("<rect") == sum((d.low < -0.05) + (d.high > 0.05) for d in drivers)
    heights = re.findall(r'y="([\d.]+)" text-anchor="end">[a-z]', picture)
    assert len(heights) == len(set(heights)) == 10
    sheet = next(s for s in price_sheets(plan) if s.title.startswith("How sure"))
    assert any(isinstance(b, Picture) for b in sheet.blocks)


def test_the_order_as_a_table_adds_up_to_goods_and_wages(plan):
    rows = list(csv.DictReader(io.StringIO(order_csv(plan))))
    total = sum(Decimal(r["amount"]) for r in rows if r["amount"])
    assert total == sum(o.amount for o in plan.estimate.order)
    assert {r["counted in"] for r in rows} <= set(plan.workings) | {"takeoff.deliveries"}


def test_the_price_as_a_table_has_every_way_of_building_and_the_range(plan):
    rows = list(csv.DictReader(io.StringIO(price_csv(plan))))
    assert {b.name for b in plan.estimate.builds} <= {r["what"] for r in rows}
    cases = [r["of"] for r in rows if r["what"] == "cost with overhead"]
    assert cases == ["P10", "P50", "P80", "P90"]


@pytest.mark.parametrize("job", ["bracken-bank", "long-meadow"])
def test_what_to_order_has_the_waste_in_it_and_neither_hours_nor_work(worked, job):
    plan = worked(job)
    (sheet,) = order_sheets(plan)
    rows = {row[0]: row for row in sheet.blocks[0].rows}
    lines = {
        in_units(line.item, "us"): line
        for line in plan.takeoff.lines
        if line.kind not in ("labour", "work")
    }
    assert list(rows) == list(lines)
    for name, line in lines.items():
        if isinstance(line.count, int):
            assert rows[name][1:3] == (f"{line.count:,}", f"{math.ceil(line.ordered - 1e-9):,}")
    assert rows["clip"][1] != rows["clip"][2]
    table = {r["item"]: r for r in csv.DictReader(io.StringIO(takeoff_csv(plan)))}
    assert table["clip"]["to order"] == rows["clip"][2].replace(",", "")


def test_every_example_prices_all_that_it_needs_and_says_that_its_prices_are_invented(example):
    estimate = example.estimate
    assert estimate.missing == ()
    assert estimate.price > estimate.direct > 0
    named = {name for name in suppliers(estimate) if name}
    assert all(name.endswith("(invented)") for name in named)
    for heading in ("By part", "By week", "By row"):
        assert sum(amounts(tables(price_sheets(example))[heading], 1)) == estimate.direct


def test_the_examples_show_different_ways_to_build_to_earn_and_to_be_taxed(worked):
    terms = [worked(n).job.estimate for n in ("bracken-bank", "quarry-garden", "long-meadow")]
    assert {t.built for t in terms} == {"mixed", "owner", "contractor"}
    assert {t.profit_as for t in terms} == {"markup", "margin"}
    assert {t.volunteers for t in terms} == {"valued", "not valued"}
    assert {t.tax_materials for t in terms} == {"cost", "price"}
    assert {t.currency for t in terms} == {"USD", "EUR"}


def test_what_an_owner_builds_has_a_cost_and_no_payments(worked):
    found = tables(price_sheets(worked("quarry-garden")))
    ladder = next(t for h, t in found.items() if h.startswith("Cost, owner-built"))
    assert ladder.head[1] == "EUR"
    assert "Payments" not in found


def test_ways_of_building_are_told_with_what_stands_between_cost_and_price(plan):
    table = tables(price_sheets(plan))["The same hill, built by others"]
    last = next(k for k, h in enumerate(table.head) if h.startswith("all ["))
    assert {"overhead", "contingency", "profit"} <= set(table.head)
    for row, build in zip(table.rows, plan.estimate.builds, strict=True):
        parts = [Decimal(v.replace(",", "")) for v in row[1:last] if v != "–"]
        assert sum(parts) == Decimal(row[last].replace(",", "")) == build.price
