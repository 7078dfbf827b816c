"""Sheets of the estimate: price and terms, how sure, what it costs where, order lists."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.answers.cost import CAUTION, PARTS, counted, money, named
from hillwright.estimate.costmodel import Build, Estimate
from hillwright.estimate.money import RULE
from hillwright.estimate.order import Bought, OrderLine
from hillwright.estimate.terms import law_lines
from hillwright.sheets.blocks import Block, Picture, RoomSheet, Table, Text
from hillwright.sheets.tornado import WIDTH, height, tornado
from hillwright.units import System
from hillwright.wording import in_units, plural

if TYPE_CHECKING:
    from hillwright.plan import Plan

_BARS = 12
ANYONE = "supplier not named"


def price_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the owner's sheets: price and terms, then how sure the price is."""
    e = plan.estimate
    if not e.priced:
        return ()
    return (_terms(plan, e), _sure(e), _where(e)) if e.risk else (_terms(plan, e), _where(e))


def _terms(plan: Plan, e: Estimate) -> RoomSheet:
    blocks: list[Block] = []
    if e.missing:
        lines = tuple(f"{item}: {why}." for item, why in e.missing)
        blocks.append(Text("NOT in this price, for it is not known", lines, True, True))
    rows = tuple(
        (s.name.upper() if s.total else s.name, f"{s.amount:,.{e.decimals}f}", s.how)
        for s in e.main.ladder
    )
    blocks.append(
        Table(
            f"{'Price' if e.main.key != 'owner' else 'Cost'}, {e.main.name}",
            ("part", e.currency, "how it is reckoned"), rows, (1,), (0, 0, 1),
            (RULE, f"Prices: {e.file}; the order list names the supplier of each line."),
        )
    )  # fmt: skip
    if e.main.key != "owner":
        pay = tuple((p.when, f"{p.amount:,.{e.decimals}f}", p.why) for p in e.payments)
        blocks.append(
            Table("Payments", ("due", e.currency, "share"), pay, (1,), (0, 0, 1),
                  ("They add up to the price. Nothing is paid before it is done or delivered, but "
                   "for the deposit.",))
        )  # fmt: skip
        blocks.append(Text("Terms", tuple(_conditions(plan, e)), True))
    blocks.append(_builds(e))
    blocks.append(Text("Caution", (CAUTION,), strong=True))
    return RoomSheet("Price and terms", tuple(blocks))


def _conditions(plan: Plan, e: Estimate) -> list[str]:
    said = [
        f"Offered on {e.date}; it holds until {e.valid_until}."
        if e.date
        else "This offer has no date yet: it binds nobody."
    ]
    if e.law is not None:
        said += law_lines(e.law, e.currency)
    else:
        said.append(
            "Deposit and time to cancel: many states limit the one and fix the other. Nobody has "
            "told this plan which law holds (estimate.law)."
        )
    work = plan.work
    if work.calendar.dated and work.makespan:
        said.append(
            f"Work from about {work.calendar.name(0)} to {work.calendar.name(work.days - 1)}, "
            "weather and the buried lines' marking permitting."
        )
    else:
        said.append(f"The work takes about {plural(work.days, 'working day')}.")
    said += [
        "Changes and extra work are agreed in writing, with their price, before they are done.",
        "The state's own notices (to the owner, of liens, of the right to cancel) go with the "
        "contract; this sheet does not stand for them.",
    ]
    return said


def _builds(e: Estimate) -> Table:
    """Set the ways of building side by side, with what stands between cost and price in each."""

    def beyond(b: Build) -> dict[str, str]:
        steps = [s for s in b.ladder if not s.total]
        names = [s.name for s in b.ladder]
        direct = next((k for k, s in enumerate(b.ladder) if s.total), len(names))
        late = set(names[direct + 1 :])
        return {s.name: f"{s.amount:,.{e.decimals}f}" for s in steps if s.name in late}

    steps = list(dict.fromkeys(name for b in e.builds for name in beyond(b)))

    def row(b: Build) -> tuple[str, ...]:
        value = f"{b.given_value:,.{e.decimals}f}" if b.given_value else "not valued"
        lacks = str(len(b.missing)) if b.missing else "–"
        direct = next((s.amount for s in b.ladder if s.total), b.price)
        return (b.name, f"{direct:,.{e.decimals}f}", *(beyond(b).get(s, "–") for s in steps),
                f"{b.price:,.{e.decimals}f}", f"{b.paid_hours:,.0f}", f"{b.given_hours:,.0f}",
                value if b.given_hours else "–", lacks)  # fmt: skip

    head = ("built by", "direct cost", *(s.lower() for s in steps), f"all [{e.currency}]",
            "hours paid", "hours given", "their worth", "prices missing")  # fmt: skip
    notes = (
        "Hours given are worth what the price book says, and stand in no price. A contractor's "
        "hands are taken to be quicker than volunteers, as the table of work has it.",
    )
    return Table("The same hill, built by others", head, tuple(row(b) for b in e.builds),
                 tuple(range(1, len(head))), (), notes)  # fmt: skip


def _sure(e: Estimate) -> RoomSheet:
    r = e.risk
    assert r is not None
    words = ("one case in ten is below (P10)", "half are below (P50)",
             "four in five are below (P80)", "nine in ten are below (P90)")  # fmt: skip
    rows = [("everything at its likeliest", f"{r.base:,.0f}", f"{100 * r.below:.0f} % are below")]
    rows += [
        (w, f"{float(q):,.0f}", f"± {float(s):,.0f}")
        for w, q, s in zip(words, r.quantile, r.error, strict=True)
    ]
    rows.append(("mean", f"{r.mean:,.0f}", f"standard deviation {r.sd:,.0f}"))
    table = Table(
        "What it costs to build", ("case", e.currency, "sampling error"), tuple(rows), (1,),
        (0, 0, 1),
        (f"{r.samples:,} draws, seed {r.seed}. Overhead is in these figures, contingency and "
         f"profit are not. In {units.show(r.over, '%', 'us')} of the cases it costs more than the "
         "price asked.",),
    )  # fmt: skip
    bars = [d for d in r.drivers if d.high - d.low > 0][:_BARS]
    rest = 1 - sum(d.share for d in bars)
    picture = Picture(
        "What drives it",
        tornado(bars, r.base, e.currency),
        WIDTH,
        height(len(bars)),
        "Bars of what each price, each kind of work, soil and weather does to the cost",
        ("Open: what a good case in ten saves; filled: what a bad case in ten costs more, "
         f"everything else as planned. All that is not shown: {100 * max(rest, 0):.0f} % of the "
         "spread.",),
    )  # fmt: skip
    how = (
        "Each price and wage has a lowest, likeliest and highest value from the price book, or the "
        "usual range of its kind; each kind of work its best and worst hours; soil its volume; the "
        "weather its lost days. They are drawn together: dear goods go with dear goods, slow work "
        "with slow work.",
        "Timing the first hour of each task, weighing a bucket of soil and asking for firm prices "
        "makes these bars shorter.",
    )
    return RoomSheet(
        "How sure the cost is", (table, picture, Text("How it is reckoned", how, True))
    )


def _where(e: Estimate) -> RoomSheet:
    def amounts(rows: list[tuple[str, object]]) -> tuple[tuple[str, str], ...]:
        return tuple((name, f"{amount:,.{e.decimals}f}") for name, amount in rows)

    head = ("", e.currency)
    note = (f"Adds up to the direct cost of {money(e.direct, e)}.",)
    questions = amounts([(PARTS[q], a) for q, a in e.by_question])
    rows = amounts([("the whole hill" if r == 0 else f"row {r}", a) for r, a in e.by_row])
    weeks = amounts([(f"week {w}" + (f", from {d}" if d else ""), a) for w, d, a in e.by_week])
    blocks: list[Block] = [
        Table("By part", ("part", *head[1:]), questions, (1,), (), note),
        Table("By week", ("week", *head[1:]), weeks, (1,), (),
              ("Goods count in the week in which they are first needed.",)),
        Table("By row", ("row", *head[1:]), rows, (1,), (), note),
    ]  # fmt: skip
    return RoomSheet("Where the money goes", tuple(blocks))


def order_lists(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give an order list for each supplier, and one of what nobody sells yet."""
    e, system = plan.estimate, plan.opened.job.units
    if not e.file:
        return ()
    sheets = []
    for supplier in suppliers(e):
        mine = [(o, b) for o, b in _goods(e) if b.supplier == supplier]
        total = sum(b.amount for _, b in mine)
        rows = tuple(
            (in_units(o.line.item, system), f"{b.packs:,f}", pack_text(b.pack, b.unit),
             f"{b.each:,.{e.decimals}f}", f"{b.amount:,.{e.decimals}f}",
             in_units(_about(o), system))
            for o, b in mine
        )  # fmt: skip
        head = ("item", "packs", "of", "each", e.currency, "what it is")
        table = Table(
            "To order", head, (*rows, ("TOGETHER", "", "", "", f"{total:,.{e.decimals}f}", "")),
            (1, 3, 4), (1, 0, 0, 0, 0, 1.2),
            ("Whole packs, waste added before. Tax is not in these amounts.",),
        )  # fmt: skip
        cuts = [_cut_block(o, system) for o in dict.fromkeys(o for o, _ in mine) if o.cut]
        sheets.append(RoomSheet(f"Order: {supplier or ANYONE}", (table, *cuts)))
    if open_ := [o for o in e.order if o.missing]:
        asked = tuple((counted(o.line, system), o.missing) for o in open_)
        sheets.append(
            RoomSheet(
                "Order: no price yet", (Table("To ask for", ("what", "why"), asked, (), (1, 0)),)
            )
        )
    return tuple(sheets)


def suppliers(e: Estimate) -> tuple[str, ...]:
    """Give everybody who delivers or hires out something, named ones first."""
    found = {b.supplier for _, b in _goods(e)}
    return tuple(sorted(found, key=lambda s: (not s, s.lower())))


def _goods(e: Estimate) -> list[tuple[OrderLine, Bought]]:
    return [(o, b) for o in e.order if o.line.kind != "labour" for b in o.bought]


def pack_text(pack: float, unit: str) -> str:
    """Write what a pack holds, as in "100 ft" or "each"."""
    return unit if pack == 1 else f"{pack:,g} {unit}"


def _about(o: OrderLine) -> str:
    return "; ".join(filter(None, (o.line.each, o.line.note)))


def _cut_block(o: OrderLine, system: System) -> Table:
    assert o.cut is not None
    plan, task = o.cut.plan, o.cut.task
    step = 0.005

    def long(steps: int) -> str:
        return units.show(steps * step, "m", system)

    rows = tuple(
        (
            f"{c.times:,}",
            long(task.rolls[c.roll]),
            ", ".join(f"{n} x {long(task.pieces[i])}" if n > 1 else long(task.pieces[i])
                      for i, n in c.pieces),
        )
        for c in plan.cuts
    )  # fmt: skip
    proven = "No plan takes less: proven." if plan.proven else "Not proven to be the least."
    joints = (
        f" {plural(o.cut.joints, 'joint')} in pieces longer than a roll." if o.cut.joints else ""
    )
    return Table(
        in_units(f"Cutting plan: {o.line.item}", system), ("so many", "from a length of", "pieces"),
        rows, (0,), (0, 0, 1), (proven + joints,),
    )  # fmt: skip


def order_csv(plan: Plan) -> str:
    """Give the order as a table: supplier, item, packs, amount; blank where no price is known."""
    e, system = plan.estimate, plan.opened.job.units
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    write(("supplier", "kind", "item", "used", "with waste", "unit", "packs", "pack", "pack unit",
           "price of a pack", "amount", "currency", "why not", "counted in"))  # fmt: skip
    for o in e.order:
        used, label, places = (
            (o.line.count, o.line.unit, 0)
            if isinstance(o.line.count, int)
            else units.shown(o.line.count, o.line.unit, system)
        )
        factor = float(used) / o.line.count if o.line.count else 1.0
        line = (o.line.kind, in_units(named(o, e), system), f"{used:.{places}f}",
                f"{o.line.ordered * factor:.{places}f}", label)  # fmt: skip
        for b in o.bought:
            write((b.supplier, *line, f"{b.packs:f}", f"{b.pack:g}", b.unit, f"{b.each:f}",
                   f"{b.amount:f}", e.currency, "", o.line.figure))  # fmt: skip
        for packs, pack, unit, supplier in o.unpriced:
            write((supplier, *line, packs, f"{pack:g}", unit, "", "", e.currency, o.missing,
                   o.line.figure))  # fmt: skip
        if not o.bought and not o.unpriced:
            why = o.missing or "no pay"
            write(("", *line, "", "", "", "", "", e.currency, why, o.line.figure))
    return out.getvalue()


def price_csv(plan: Plan) -> str:
    """Give the price as a table: ladder, rows, questions, weeks, payments."""
    e = plan.estimate
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    write(("what", "of", "amount", "currency", "how"))
    for b in e.builds:
        for s in b.ladder:
            write((b.name, s.name, f"{s.amount:f}", e.currency, s.how))
    for q, a in e.by_question:
        write(("direct cost by part", PARTS[q], f"{a:f}", e.currency, ""))
    for r, a in e.by_row:
        write(("direct cost by row", r or "the whole hill", f"{a:f}", e.currency, ""))
    for w, day, a in e.by_week:
        write(("direct cost by week", w, f"{a:f}", e.currency, day))
    for p in e.payments:
        write(("payment", p.when, f"{p.amount:f}", e.currency, p.why))
    if e.risk is not None:
        for name, q in zip(("P10", "P50", "P80", "P90"), e.risk.quantile.tolist(), strict=True):
            write(("cost with overhead", name, f"{q:.2f}", e.currency, "simulated"))
        for d in e.risk.drivers:
            span = f"{d.low:.2f} to {d.high:.2f}; {100 * d.share:.2f} % of the spread"
            write(("driver", d.name, f"{d.high - d.low:.2f}", e.currency, span))
    return out.getvalue()
