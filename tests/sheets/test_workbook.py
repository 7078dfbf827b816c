"""The workbook: opened by a second library, every formula reckoned again by a third program."""

import io
import os
import shutil
import subprocess

import openpyxl
import pytest

from hillwright import units
from hillwright.sheets.workbook.page import Formula, Given
from hillwright.sheets.workbook.write import pages, workbook


@pytest.fixture(scope="session")
def reckoned(tmp_path_factory):
    """Give what LibreOffice makes of a workbook whose results were taken out."""
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        if os.environ.get("CI"):
            pytest.fail("LibreOffice is not here; .ci/run installs it")
        pytest.skip("LibreOffice is not here: install it, or let .ci/run do so")
    folder = tmp_path_factory.mktemp("office")
    made = []

    def reckon(book):
        source, out = folder / f"book-{len(made)}.xlsx", folder / f"out-{len(made)}"
        made.append(source)
        book.save(source)  # formulas alone: this library writes no results
        command = [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            *("--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir"),
            *(str(out), str(source)),
        ]
        subprocess.run(command, check=True, capture_output=True, timeout=240)
        return openpyxl.load_workbook(out / source.name, data_only=True)

    return reckon


def opened(plan, *, data_only=False):
    return openpyxl.load_workbook(io.BytesIO(workbook(plan)), data_only=data_only)


def formulas(book):
    return [
        (sheet.title, cell.coordinate)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    ]


def same(got, want):
    if isinstance(want, str):
        return got == want
    return got == pytest.approx(want, rel=1e-9, abs=1e-9)


def test_every_formula_gives_the_figure_of_the_plan(example, reckoned):
    book, shown = opened(example), opened(example, data_only=True)
    places = formulas(book)
    assert len(places) > 100
    found = reckoned(book)
    wrong = [
        (sheet, at, found[sheet][at].value, shown[sheet][at].value)
        for sheet, at in places
        if not same(found[sheet][at].value, shown[sheet][at].value)
    ]
    assert wrong == []


def find(sheet, text, column="A"):
    return next(c.row for c in sheet[column] if c.value == text)


def test_totals_follow_what_is_changed(worked, reckoned):
    plan = worked("bracken-bank")
    book = opened(plan)
    soil, hours, water = book["Soil"], book["Hours"], book["Water"]
    soil[f"B{find(soil, 'waste')}"] = 0.5
    total = next(r for r in range(1, 200) if soil[f"A{r}"].value == "all")
    task = find(hours, plan.work.tasks[0].name)
    hours[f"D{task}"] = 2 * hours[f"D{task}"].value
    water[f"B{find(water, 'more or less than the plan')}"] = 1.1
    year = find(water, "year")
    before, after = opened(plan, data_only=True), reckoned(book)
    ratio = 1.5 / (1 + plan.fill.waste)
    assert after["Soil"][f"F{total}"].value == pytest.approx(
        ratio * before["Soil"][f"F{total}"].value
    )
    assert after["Soil"][f"E{total}"].value == pytest.approx(before["Soil"][f"E{total}"].value)
    doubled = find(before["Hours"], "all")
    assert after["Hours"][f"E{doubled}"].value == pytest.approx(
        before["Hours"][f"E{doubled}"].value + plan.work.tasks[0].hours
    )
    assert after["Water"][f"F{year}"].value == pytest.approx(
        1.1 * before["Water"][f"F{year}"].value
    )


def test_the_totals_are_those_of_the_rooms(example):
    shown = opened(example, data_only=True)
    soil = shown["Soil"]
    factor = units.shown(1.0, "m3", example.job.units)[0]
    total = next(r for r in range(1, 400) if soil[f"A{r}"].value == "all")
    for column, want in zip(
        "DEF",
        (example.fill.total_settled, example.fill.total_loose, example.fill.total_ordered),
        strict=True,
    ):
        assert soil[f"{column}{total}"].value == pytest.approx(factor * want)
    bags = {p.name: p.bags for p in example.fill.parts if not p.bank}
    for name, count in bags.items():
        row = max(c.row for c in soil["A"] if c.value == name)
        assert soil[f"F{row}"].value == count


def test_only_what_is_shaded_can_be_changed_and_words_are_refused(worked):
    plan = worked("bracken-bank")
    book = opened(plan)
    for page in pages(plan):
        sheet = book[page.name]
        assert sheet.protection.sheet
        ruled = {str(r.sqref) for r in sheet.data_validations.dataValidation}
        for r, (_, entries) in enumerate(page.rows, 1):
            for c, entry in enumerate(entries, 1):
                cell = sheet.cell(r, c)
                if isinstance(entry, Given):
                    assert not cell.protection.locked
                    assert cell.fill.fgColor.rgb.endswith("D9D9D9")
                    assert cell.coordinate in " ".join(ruled)
                elif isinstance(entry, Formula):
                    assert cell.protection.locked
                    assert cell.value == f"={entry.text}"


def test_the_same_plan_gives_the_same_bytes_and_a_stop_stands_in_front(worked):
    plan = worked("bracken-bank")
    assert workbook(plan) == workbook(plan)
    first = opened(plan)["Read first"]
    said = " ".join(str(c.value) for c in first["A"] if c.value)
    assert "STOP" in said


def test_the_price_is_that_of_the_plan_and_follows_prices_tax_and_profit(worked, reckoned):
    plan = worked("bracken-bank")
    assert plan.estimate.priced
    book, shown = opened(plan), opened(plan, data_only=True)
    order, price = book["Order"], book["Price"]
    ladder = {s.name: float(s.amount) for s in plan.estimate.main.ladder}
    last = find(price, "Price")
    for row in range(find(price, "Ladder") + 2, last + 1):
        name = price[f"A{row}"].value
        assert shown["Price"][f"B{row}"].value == pytest.approx(ladder[name], abs=1e-9), name
    total = find(order, "all")
    dearest = max(
        (r for r in range(1, total) if isinstance(shown["Order"][f"G{r}"].value, float)),
        key=lambda r: shown["Order"][f"G{r}"].value,
    )
    order[f"F{dearest}"] = 2 * order[f"F{dearest}"].value
    price[f"B{find(price, 'overhead on direct cost')}"] = 0.0
    after = reckoned(book)
    more = shown["Order"][f"G{dearest}"].value
    assert after["Order"][f"G{total}"].value == pytest.approx(
        shown["Order"][f"G{total}"].value + more
    )
    assert after["Price"][f"B{find(price, 'Overhead')}"].value == 0
    assert after["Price"][f"B{last}"].value != shown["Price"][f"B{last}"].value


def test_a_price_that_is_not_known_is_blank_and_counted_never_zero(example):
    book, shown = opened(example), opened(example, data_only=True)
    order = book["Order"]
    last = find(order, "lines without a price")
    blank = [
        r
        for r in range(1, last)
        if isinstance(order[f"G{r}"].value, str)
        and order[f"G{r}"].value.startswith("=ROUND")
        and order[f"F{r}"].value is None
    ]
    assert shown["Order"][f"G{last}"].value == len(blank)
    missing = [o for o in example.estimate.order if o.missing]
    assert len(blank) >= len(missing)
    assert all(order[f"I{r}"].value for r in blank)
