"""The workbook to XLSX bytes."""

from __future__ import annotations

import datetime
import importlib
import io
from typing import TYPE_CHECKING, Any

from hillwright.sheets import words
from hillwright.sheets.workbook.page import Entry, Formula, Given, Page
from hillwright.sheets.workbook.price import price_pages
from hillwright.sheets.workbook.soil import soil_page
from hillwright.sheets.workbook.water import water_page
from hillwright.sheets.workbook.work import work_page

if TYPE_CHECKING:
    from hillwright.plan import Plan

SHADE = "#D9D9D9"  # of what may be changed: a grey that a copier keeps
MADE = datetime.datetime(2000, 1, 1)  # stands in every file: the same plan gives the same bytes


def pages(plan: Plan) -> tuple[Page, ...]:
    """Give the pages in order."""
    return (
        _first(plan),
        *price_pages(plan),
        soil_page(plan),
        work_page(plan),
        water_page(plan),
    )


def workbook(plan: Plan) -> bytes:
    """Give the workbook."""
    xlsxwriter: Any = importlib.import_module("xlsxwriter")
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties({"title": plan.opened.job.site.name, "created": MADE})
    looks = _Looks(book)
    for page in pages(plan):
        _write(book, page, looks)
    book.close()
    return out.getvalue()


class _Looks:
    """Formats, made once each."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self._made: dict[tuple[Any, ...], Any] = {}

    def of(self, **what: Any) -> Any:
        key = tuple(sorted(what.items()))
        if key not in self._made:
            self._made[key] = self._book.add_format(what)
        return self._made[key]

    def entry(self, entry: Entry, style: str) -> Any:
        what: dict[str, Any] = {"valign": "top"}
        if style == "title":
            what |= {"bold": True, "font_size": 13}
        elif style == "head":
            what |= {"bold": True, "bottom": 1, "text_wrap": True}
        elif style == "total":
            what |= {"bold": True, "top": 1}
        elif isinstance(entry, str) and not style:
            what["indent"] = 1
        if isinstance(entry, Given | Formula):
            places = "." + "0" * entry.decimals if entry.decimals else ""
            what["num_format"] = f"0{places}%" if entry.percent else f"#,##0{places}"
        if isinstance(entry, Given):
            what |= {"bg_color": SHADE, "locked": False}
        return self.of(**what)


def _write(book: Any, page: Page, looks: _Looks) -> None:
    sheet = book.add_worksheet(page.name)
    for k, width in enumerate(page.widths):
        sheet.set_column(k, k, width)
    for r, (style, entries) in enumerate(page.rows):
        if style == "head":
            sheet.set_row(r, 32)  # two lines
        for c, entry in enumerate(entries):
            if entry is None or entry == "":
                continue
            look = looks.entry(entry, style)
            if isinstance(entry, Formula):
                sheet.write_formula(r, c, f"={entry.text}", look, entry.value)
            elif isinstance(entry, Given):
                if entry.value is None:
                    sheet.write_blank(r, c, None, look)
                else:
                    sheet.write_number(r, c, entry.value, look)
                sheet.data_validation(r, c, r, c, _rule(entry))
            elif isinstance(entry, int):
                sheet.write_number(r, c, entry, look)
            else:
                sheet.write_string(r, c, entry, look)
    if page.freeze:
        sheet.freeze_panes(page.freeze, 0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_footer("&L&F: &A&RPage &P of &N")
    # formulas are guarded against a slip of the hand; no password, so anybody may lift it
    sheet.protect("", {"format_columns": True, "format_rows": True})


def _rule(entry: Given) -> dict[str, Any]:
    rule: dict[str, Any] = {
        "validate": "integer" if entry.integer else "decimal",
        "criteria": ">=",
        "value": 0,
        "error_title": "Not a number for this place",
        "error_message": "Write a number of 0 or more"
        + (", as a share in percent." if entry.percent else "."),
    }
    if entry.about:
        rule["input_title"], rule["input_message"] = "Where it comes from", entry.about[:250]
    return rule


def _first(plan: Plan) -> Page:
    job, site = plan.opened.job, plan.opened.job.site
    page = Page("Read first", "Read first", (110,))
    page.add(f"{site.name}: price, quantities, hours and water", style="title")
    page.notes([part for part in (site.address, site.client, site.contractor) if part])
    page.add(f"Revision {job.sheets.revision} {job.sheets.date}".strip())
    page.add()
    page.notes(
        [
            "Shaded numbers may be changed; everything else follows from them by formulas that you "
            "can read. The pages are guarded without a password.",
            "As it comes, every figure is the one that the printed papers have. A change here "
            "changes no other paper: what is to hold, write into the job and plan again.",
            "Lay-out, stability and drains are not reckoned here: more soil weighs more, and what "
            "holds the cells must be planned for it.",
        ]
    )
    if words.stops(plan):
        page.add()
        page.add(words.STOPPED, style="title")
        page.notes(words.stops(plan))
    return page
