"""The order and the price: packs and unit prices to change, and the ladder that follows."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from hillwright.estimate.ladder import Sums, sums
from hillwright.estimate.order import OrderLine
from hillwright.sheets.workbook.page import Entry, Formula, Given, Page
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

_KINDS = {
    "material": "Materials",
    "plant": "Plants",
    "delivery": "Delivery",
    "hire": "Hire",
    "labour": "Wages",
}
_TAXED = {"material": "materials", "plant": "plants", "hire": "hire"}


def price_pages(plan: Plan) -> tuple[Page, Page]:
    """Give the page of the order and that of the price."""
    order = order_page(plan)
    return order, cost_page(plan, order)


def order_page(plan: Plan) -> Page:
    """Give the order: a line for each pack that is bought, or has no price yet."""
    found, system = plan.estimate, plan.opened.job.units
    page = Page("Order", "Order", (44, 12, 12, 14, 12, 16, 18, 24, 40))
    page.add(f"Order, in {found.currency}", style="title")
    page.notes(
        [
            "Packs are whole, with waste, and cut by the plan's cutting lists. A price that is "
            "blank is not known: it counts nothing, and the last line says how many there are.",
        ]
    )
    head = ("item", "kind", "packs", "a pack holds", "unit", f"price [{found.currency}]",
            f"amount [{found.currency}]", "supplier", "note")  # fmt: skip
    first = page.block("Lines", head)
    for line in found.order:
        for entries in _lines(line, found.decimals, page):
            page.add(in_units(line.line.item, system), line.line.kind, *entries)
    last = page.next - 1
    total = sum((o.amount for o in found.order), Decimal(0))
    page.add(
        "all", "", "", "", "", "",
        Formula(f"SUM(G{first}:G{last})", float(total), found.decimals, total=True),
        style="total",
    )  # fmt: skip
    blank = sum(1 for _, row in page.rows[first - 1 : last] if _blank(row))
    page.add(
        "lines without a price",
        "",
        "",
        "",
        "",
        "",
        Formula(f"COUNTBLANK(F{first}:F{last})", blank, 0),
    )
    page.freeze = first - 1
    return page


def _blank(row: tuple[Entry, ...]) -> bool:
    return isinstance(row[5], Given) and row[5].value is None


def _lines(o: OrderLine, decimals: int, page: Page) -> list[tuple[Entry, ...]]:
    """Give packs, what one holds, unit, price, amount, supplier and note."""
    n, found = page.next, list[tuple[Any, ...]]()
    places = 2 if o.line.kind == "labour" else 0

    def amount(k: int, value: float) -> Formula:
        return Formula(f"ROUND(C{k}*F{k},{decimals})", value, decimals)

    for k, b in enumerate(o.bought):
        price = Given(float(b.each), decimals, about=f"line {b.row} of the price book")
        found.append(
            (Given(float(b.packs), places), b.pack, b.unit, price, amount(n + k, float(b.amount)),
             b.supplier, "")
        )  # fmt: skip
    if not o.bought and o.missing:
        for k, (packs, pack, unit, supplier) in enumerate(o.unpriced):
            found.append(
                (Given(float(packs), places), pack, unit, Given(None, decimals), amount(n + k, 0.0),
                 supplier, o.missing)
            )  # fmt: skip
        if not o.unpriced:
            need = float(o.line.ordered or o.line.count)
            found.append(
                (Given(need, 2), "", o.line.unit, Given(None, decimals), amount(n, 0.0), "",
                 o.missing)
            )  # fmt: skip
    return [tuple(Given(e, 2) if isinstance(e, float) else e for e in row) for row in found]


def _sums(plan: Plan) -> Sums:
    found, terms = plan.estimate, plan.opened.job.estimate
    aside: Decimal | None = None
    if terms.contingency == "P80":
        steps = (s.amount for s in found.main.ladder if s.name == "Contingency")
        aside = next(steps, Decimal(0))
    return sums(found.order, terms, terms.built, aside, found.decimals)


def cost_page(plan: Plan, order: Page) -> Page:
    """Give the ladder from goods to price."""
    found, terms, s = plan.estimate, plan.opened.job.estimate, _sums(plan)
    d, owner = found.decimals, terms.built == "owner"
    page = Page("Price", "Price", (44, 18, 60))
    page.add(f"From goods to price, in {found.currency}", style="title")
    page.notes(
        [
            f"Built as the job says: {found.main.name}. Every line is rounded by itself; every "
            "total is the sum of the lines as printed.",
            *(["Prices are missing: this is not the whole cost."] if found.missing else []),
        ]
    )
    page.block("Shares", ("share", "value"))

    def share(name: str, value: float) -> str:
        return page.at("B", page.add(name, Given(value, 2, percent=True)))

    tax, burden = share("tax", terms.tax), share("burden on wages", terms.burden)
    over = share("overhead on direct cost", terms.overhead)
    profit = share(f"profit, as a {terms.profit_as}", terms.profit)
    lines = [k for k, (_, row) in enumerate(order.rows, 1) if len(row) > 6 and row[1] in _KINDS]
    first, last = (lines[0], lines[-1]) if lines else (1, 1)
    kinds, amounts = order.span("B", first, last), order.span("G", first, last)
    page.block("Ladder", ("step", f"amount [{found.currency}]", "how"))
    rows: list[int] = []
    at: dict[str, int] = {}

    def step(name: str, formula: str, value: Decimal, how: str = "", total: bool = False) -> int:
        entry = Formula(formula, float(value), d, total=total)
        row = page.add(name, entry, how, style="total" if total else "")
        if not total:
            rows.append(row)
        return row

    late = []
    for kind, word in _KINDS.items():
        if owner and kind == "labour":
            continue
        at[kind] = step(word, f'SUMIF({kinds},"{kind}",{amounts})', s.kinds[kind])
        rule = getattr(terms, f"tax_{_TAXED[kind]}") if kind in _TAXED else "none"
        if rule == "cost" or (owner and rule == "price"):
            step(f"Tax on {_TAXED[kind]}", f"ROUND(B{at[kind]}*{tax},{d})", s.taxes[kind],
                 "on their cost")  # fmt: skip
        elif rule == "price":
            late.append(f"B{at[kind]}")
    if not owner:
        step("Labour burden", f"ROUND(B{at['labour']}*{burden},{d})", s.burden,
             "payroll tax, insurance, leave")  # fmt: skip
    direct = step("Direct cost", f"SUM(B{rows[0]}:B{rows[-1]})", s.direct, total=True)
    cost = f"B{direct}"
    if not owner:
        cost += f"+B{step('Overhead', f'ROUND(B{direct}*{over},{d})', s.overhead)}"
    if terms.contingency == "P80":
        how = "set aside up to what four in five cases stay below: from the simulation"
        cost += f"+B{page.add('Contingency', Given(float(s.contingency), d), how)}"
    elif terms.contingency == "given":
        part = float(terms.contingency_share)
        cost += f"+B{step('Contingency', f'ROUND(({cost})*{part!r},{d})', s.contingency)}"
    asked = cost
    if not owner:
        gain = (
            f"ROUND(({cost})*{profit},{d})"
            if terms.profit_as == "markup"
            else f"ROUND(({cost})/(1-{profit})-({cost}),{d})"
        )
        asked += f"+B{step('Profit', gain, s.profit)}"
    price = asked
    if s.tax_on_price and late:
        text = f"ROUND(({asked})*({'+'.join(late)})/B{direct}*{tax},{d})"
        price += f"+B{step('Tax on price', text, s.tax_on_price)}"
    step("Cost to the owner" if owner else "Price", price, s.price, total=True)
    return page
