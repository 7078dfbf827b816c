"""Water by month: what the garden takes, what the valves give, the budget of the year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hillwright.sheets.workbook.page import Formula, Given, Page
from hillwright.sheets.workbook.soil import unit_of
from hillwright.watering.tables import DAYS
from hillwright.watering.words import month_name

if TYPE_CHECKING:
    from hillwright.plan import Plan


def water_page(plan: Plan) -> Page:
    """Give the page of water."""
    found, system = plan.watering, plan.opened.job.units
    water, depth = unit_of("m3.garden", system), unit_of("m.water", system)
    page = Page("Water", "Water", (34, 14, 16, 16, 16, 16, 16, 16, 16))
    page.add("Water by month", style="title")
    page.notes(
        ["Plants' demand on a mean day of a typical year, what is to be given, and what it costs."]
    )
    page.add("price of 1 " + water.label, Given(found.price / water.factor or None, 5))
    price = page.at("B", page.next - 1)
    page.add("more or less than the plan", Given(1.0, 0, percent=True))
    share = page.at("B", page.next - 1)
    head = ("month", "days", f"reference ET a day [{depth.label}]", f"rain [{depth.label}]",
            f"to give a day [{water.label}]", f"in the month [{water.label}]", "cost")  # fmt: skip
    first = page.block("Demand", head)
    daily = found.demand.daily.sum(axis=0)
    for m in range(12):
        n = page.next
        month = float(daily[m]) * water.factor
        page.add(
            month_name(m),
            DAYS[m],
            Given(float(found.climate.reference[m]) * depth.factor),
            Given(float(found.climate.rain[m]) * depth.factor),
            Given(month, 1),
            Formula(f"B{n}*E{n}*{share}", DAYS[m] * month, 0),
            Formula(f"F{n}*{price}", DAYS[m] * float(daily[m]) * found.price),
        )
    last = page.next - 1
    year = float(sum(d * v for d, v in zip(DAYS, daily.tolist(), strict=True)))
    page.add(
        "year", Formula(f"SUM(B{first}:B{last})", 365, 0, total=True), "",
        Formula(f"SUM(D{first}:D{last})", float(found.climate.rain.sum()) * depth.factor,
                total=True), "",
        Formula(f"SUM(F{first}:F{last})", year * water.factor, 0, total=True),
        Formula(f"SUM(G{first}:G{last})", year * found.price, total=True),
        style="total",
    )  # fmt: skip
    _valves(page, plan)
    _budget(page, plan)
    return page


def _valves(page: Page, plan: Plan) -> None:
    found, water = plan.watering, unit_of("m3.garden", plan.opened.job.units)
    program, names = found.program, found.valves.names
    if not names or plan.irrigation.refused:
        return
    flows = [float(found.valves.flow[found.valves.valve == v].sum()) for v in range(len(names))]
    head = ("valve, month", "flow a minute", "days between", "waterings a day", "minutes each",
            "days in the month", f"water [{water.label}]")  # fmt: skip
    first = page.block(f"Program: what the valves give (flow in {water.label} a minute)", head)
    for v, name in enumerate(names):
        for m in range(12):
            n, every = page.next, int(program.interval[v, m])
            given = float(program.volume[v, m]) * water.factor
            minute = flows[v] * 60 * water.factor
            starts, run = int(program.starts[v, m]), int(program.minutes[v, m])
            # chosen weekdays make an uneven interval: the days that water runs follow the volume
            days = given / (minute * starts * run) if starts * run and minute else 0.0
            page.add(
                f"{name}, {month_name(m)}",
                Given(minute, 3),
                every,
                Given(starts, 0, integer=True),
                Given(run, 0, integer=True),
                Given(days, 2),
                Formula(f"B{n}*D{n}*E{n}*F{n}", given, 0),
            )
    last = page.next - 1
    total = float(program.volume.sum()) * water.factor
    page.add(
        "year", "", "", "", "", "",
        Formula(f"SUM(G{first}:G{last})", total, 0, total=True),
        style="total",
    )  # fmt: skip


def _budget(page: Page, plan: Plan) -> None:
    found, system = plan.watering, plan.opened.job.units
    if not len(found.worksheet_zone):
        return
    water, area = unit_of("m3.garden", system), unit_of("m2", system)
    head = ("hydrozone", "plant factor", "irrigation efficiency", "factor over efficiency",
            f"area [{area.label}]", f"estimated use [{water.label}]")  # fmt: skip
    first = page.block("Water budget by the model ordinance, in a year", head)
    for h, zone in enumerate(found.worksheet_zone):
        n = page.next
        factor, etaf = float(found.worksheet_factor[h]), float(found.worksheet_etaf[h])
        use, size = float(found.worksheet_use[h]), float(found.worksheet_area[h])
        # litres over a square metre at a factor of one: reference ET of the year
        rate = use / (etaf * size) if etaf * size else 0.0
        rate *= water.factor / area.factor
        page.add(
            zone,
            Given(factor),
            Given(factor / etaf if etaf else 1.0),
            Formula(f"B{n}/C{n}", etaf, 3),
            Given(size * area.factor, 1),
            Formula(f"D{n}*E{n}*G{n}", use * water.factor, 0),
            Given(rate, 4, about="water a year on one unit of area at a factor of 1"),
        )
    last = page.next - 1
    page.add(
        "all", "", "", "",
        Formula(f"SUM(E{first}:E{last})", float(found.worksheet_area.sum()) * area.factor, 1,
                total=True),
        Formula(f"SUM(F{first}:F{last})", found.estimated * water.factor, 0, total=True),
        style="total",
    )  # fmt: skip
    page.add("allowance", "", "", "", "", Given(found.allowance * water.factor, 0))
    n = page.next
    verdict = "within" if found.complies else "above"
    page.add("estimated use is", "", "", "", "",
             Formula(f'IF(F{n - 2}<=F{n - 1},"within","above")', verdict))  # fmt: skip
