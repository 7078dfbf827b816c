"""Question 9: what to order, what it costs, what the price is, and how sure that is."""

from __future__ import annotations

from decimal import Decimal

from hillwright import units
from hillwright.answers.model import QUESTIONS, Answer, Verdict
from hillwright.estimate.costmodel import Build, Estimate
from hillwright.estimate.hours import HIRED, PAID
from hillwright.estimate.model import Takeoff, TakeoffLine
from hillwright.estimate.order import OrderLine
from hillwright.estimate.terms import limit_words
from hillwright.rooms import Rooms
from hillwright.units import System
from hillwright.wording import in_units, plural

MANY = 8  # lines, things without a price or drivers that are told one by one
PARTS = {
    1: "getting the ground ready", 2: "rows set out, lifted and clipped", 3: "anchors and stakes",
    4: "drains", 5: "soil and mulch", 6: "planting", 7: "watering", 8: "cleaning up",
    9: "delivery",
}  # fmt: skip
_ASKED = tuple(
    f"takeoff.{name}"
    for name in ("cells", "trimmed", "clips", "edges", "soil.", "mulch", "bars", "emitters",
                 "tubing-")
)  # fmt: skip
CAUTION = (
    "An estimate from the plan, not a contract: what is found in the ground may change it. What a "
    "contract must say, how much may be taken before the work (in California the lesser of $1,000 "
    "and 10 % of the price), how many days the buyer has to cancel, and who may contract at all "
    "differ from place to place: ask the licence board and a lawyer. Order nothing and start "
    "nothing before the days to cancel are over, the anchors are tested and every stop is cleared."
)


def cost(rooms: Rooms) -> Answer:
    """Say what there is to order, what it costs, and how far that can be trusted."""
    e, takeoff, system = rooms.estimate, rooms.takeoff, rooms.job.units
    if not e.priced:
        short = "Counted, not priced: "
        short += "every price of the price book is blank." if e.file else "there is no price book."
        todo = ("`hillwright prices JOB` writes a price book with everything that the plan needs; "
                "fill it in and name it as estimate.prices.")  # fmt: skip
        lines = (todo, *(counted(line, system) for line in takeoff.lines))
        return Answer(9, QUESTIONS[8], short, "not yet", lines, _figures(takeoff))
    lines = (
        *(
            f"{s.name}: {money(s.amount, e)}{f' ({s.how})' if s.how else ''}."
            for s in e.main.ladder
        ),
        *_missing(e),
        *_sure(e),
        *_parts(e),
        *_weeks(e),
        *_largest(e),
        *_builds(e),
        *_terms(e),
        *e.remarks[:MANY],
        *((f"And {len(e.remarks) - MANY} more remarks.",) if len(e.remarks) > MANY else ()),
    )
    verdict: Verdict = (
        "clear" if e.complete and not e.warnings and not e.remarks else "with measures"
    )
    known = {w.figure for w in e.workings}
    wanted = ("price.price", "price.direct", "price.overhead", "price.contingency", "price.profit",
              "price.cost.P10", "price.cost.P50", "price.cost.P80", "price.cost.P90")  # fmt: skip
    figures = (*(f for f in wanted if f in known), *(f for f in sorted(known) if f[:4] == "cut."))
    return Answer(
        9, QUESTIONS[8], _short(e), verdict, lines, (*figures, *_figures(takeoff)), CAUTION
    )


def money(amount: Decimal | float, e: Estimate) -> str:
    """Write an amount with its currency, as in "1,204.50 USD"; a float to whole units."""
    if isinstance(amount, float):
        return f"{amount:,.0f} {e.currency}"
    return f"{amount:,.{e.decimals}f} {e.currency}"


def named(o: OrderLine, e: Estimate) -> str:
    """Name a line of the order; hours that a contractor pays are not a volunteer's."""
    if e.main.key == "contractor" and o.line.kind == "labour" and o.line.item not in PAID:
        return f"{HIRED}, in place of {o.line.item}"
    return o.line.item


def counted(line: TakeoffLine, system: System) -> str:
    """Write how much of a line is needed."""
    if isinstance(line.count, int):
        unit = line.unit if line.unit != "each" else ""
        much = plural(line.count, unit) if unit else f"{line.count:,}"
    else:
        much = units.show(line.count, line.unit, system)
    note = f" ({line.note})" if line.note else ""
    return in_units(f"{line.item}: {much}{note}", system)


def _figures(takeoff: Takeoff) -> tuple[str, ...]:
    """Give the counts that are asked for most; every line stands in the whole list."""
    return tuple(
        w.figure
        for w in takeoff.workings
        if w.figure.startswith(_ASKED) and not w.figure.endswith(".length")
    )


def _short(e: Estimate) -> str:
    what = "The price is" if e.main.key != "owner" else "It costs the owner"
    said = f"{what} {money(e.price, e)}, {e.main.name}"
    if e.missing:
        said += f", WITHOUT what has no price yet ({plural(len(e.missing), 'thing')})"
    if e.risk is not None:
        low, half, _, high = (money(float(q), e) for q in e.risk.quantile)
        said += (
            f". What it costs to build: {half} as likely as not, between {low} and {high} in eight "
            "cases of ten"
        )
    return f"{said}."


def _missing(e: Estimate) -> tuple[str, ...]:
    if not e.missing:
        return ()
    some = "; ".join(f"{item} ({why})" for item, why in e.missing[:MANY])
    more = len(e.missing) - MANY
    return (f"No price, and not in the sum: {some}{f'; and {more} more' if more > 0 else ''}.",)


def _sure(e: Estimate) -> tuple[str, ...]:
    r = e.risk
    if r is None:
        return ()
    lead = [d for d in r.drivers[:MANY] if d.high - d.low > 0][:4]
    told = "; ".join(
        f"{d.name} ({d.low:+,.0f} to {d.high:+,.0f}, {100 * d.share:.0f} % of the spread)"
        for d in lead
    )
    p80, error = money(float(r.quantile[2]), e), money(float(r.error[2]), e)
    return (
        f"How sure: with everything at its likeliest it costs {money(r.base, e)}, and only "
        f"{units.show(r.below, '%', 'us')} of the cases stay below that; four in five stay below "
        f"{p80} ({r.samples:,} draws, seed {r.seed}, sampling error {error}).",
        f"What drives it, from a good to a bad case in ten: {told}.",
        f"In {units.show(r.over, '%', 'us')} of the cases it costs more than the price asked.",
    )


def _parts(e: Estimate) -> tuple[str, ...]:
    told = "; ".join(f"{PARTS[q]} {money(a, e)}" for q, a in e.by_question if a)
    rows = [(r, a) for r, a in e.by_row if r and a]
    said = [f"Direct cost by part: {told}."]
    if rows:
        most = max(rows, key=lambda pair: pair[1])
        hill = dict(e.by_row).get(0, Decimal(0))
        said.append(
            f"By row: row {most[0]} costs most, {money(most[1], e)}; {money(hill, e)} belong to no "
            "row. The price sheet has every row and week."
        )
    return tuple(said)


def _weeks(e: Estimate) -> tuple[str, ...]:
    if len(e.by_week) < 2:
        return ()
    told = "; ".join(f"week {w} {money(a, e)}" for w, _, a in e.by_week[:MANY])
    return (f"By week: {told}.",)


def _largest(e: Estimate) -> tuple[str, ...]:
    lines = sorted((o for o in e.order if o.bought), key=lambda o: -o.amount)[:MANY]
    told = "; ".join(f"{named(o, e)} {money(o.amount, e)}" for o in lines)
    return (f"The largest lines of the order: {told}.",)


def _builds(e: Estimate) -> tuple[str, ...]:
    def told(b: Build) -> str:
        said = f"{b.name} {money(b.price, e)}, {b.paid_hours:,.0f} hours paid"
        if b.given_hours:
            said += f" and {b.given_hours:,.0f} given"
        if b.given_value:
            said += f" (worth {money(b.given_value, e)}, in no price)"
        lacks = len(b.missing)
        return f"{said}, {plural(lacks, 'price')} missing" if lacks else said

    return (f"Side by side: {'; '.join(told(b) for b in e.builds)}.",)


def _terms(e: Estimate) -> tuple[str, ...]:
    if e.main.key == "owner":
        return ()
    due = "; ".join(f"{money(p.amount, e)} {p.when}" for p in e.payments)
    said = [f"Payments: {due}."]
    if e.law is not None:
        said.append(
            f"{e.law.name}: a deposit of {limit_words(e.law, e.currency)} at most; "
            f"{e.law.cancel_days} business days to cancel. {e.law.note} Check what is in force."
        )
    else:
        said.append(
            "No place is named (estimate.law): many states limit the deposit, and give days to "
            "cancel. Ask before anything is signed."
        )
    hold = f"until {e.valid_until}" if e.valid_until else "for the days named, once it has a date"
    said.append(f"The price holds {hold}.")
    return tuple(said)
