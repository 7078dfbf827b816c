"""Why each price is what it is."""

from __future__ import annotations

from decimal import Decimal
from operator import mul

from hillwright.estimate.costmodel import Estimate
from hillwright.estimate.drip import STEP
from hillwright.estimate.ladder import Sums, percent, profit_words
from hillwright.estimate.money import RULE
from hillwright.estimate.order import OrderLine
from hillwright.estimate.trace import slug
from hillwright.job.estimate import EstimateText
from hillwright.method import Number, Working

AMOUNT = "amount = packs x price of a pack; packs = ceil(to order / pack)"
_BOOK = "price book of the job"


def workings(e: Estimate, terms: EstimateText, s: Sums) -> tuple[Working, ...]:
    """Give the working of every figure of the price."""
    if not e.priced:
        return tuple(_cut(o, e) for o in e.order if o.cut is not None)
    found = [_line(o, e) for o in e.order if o.bought]
    found += [_cut(o, e) for o in e.order if o.cut is not None]
    found += _rungs(e, terms, s)
    found += _range(e, terms)
    found += [
        Working(
            f"price.payment-{k}",
            f"Payment {k}, {p.when} [{e.currency}]",
            "deposit: share of the price, within the law; then (price - deposit) x share of the "
            "direct cost that is done, to the last coin",
            (Number("price", float(e.price), "money"), Number("share", p.why, "text")),
            Number("payment", float(p.amount), "money"),
            e.law.source if e.law is not None and k == 1 else "terms of the job",
        )
        for k, p in enumerate(e.payments, 1)
    ]
    done: dict[str, Working] = {}
    for w in found:
        done.setdefault(w.figure, w)
    return tuple(done.values())


def _line(o: OrderLine, e: Estimate) -> Working:
    tag = "-" if o.line.unit in ("each", "day", "load") else o.line.unit
    given = [Number("used", o.line.count, tag)]
    if o.line.group:
        given.append(Number("waste", o.line.waste, "%"))
    if o.line.kind != "labour":
        given.append(Number("to order", o.line.ordered, tag))
    rows = []
    for b in o.bought:
        who = f" from {b.supplier}" if b.supplier else ""
        given.append(Number(f"{b.packs:g} x {b.pack:g} {b.unit}{who}, each", float(b.each),
                            "money"))  # fmt: skip
        rows.append(str(b.row))
    equation = AMOUNT
    if o.cut is not None:
        equation = "amount = rolls of the cutting plan x price of a roll"
    if o.line.kind == "labour":
        equation = "amount = hours, to two decimals, x rate"
    return Working(
        f"price.{slug(o.line.item)}",
        f"{o.line.item[:1].upper()}{o.line.item[1:]} [{e.currency}]",
        equation,
        tuple(given),
        Number("amount", float(o.amount), "money"),
        f"{_BOOK}: {e.file} line {', '.join(rows)}",
        f"Counted: {o.line.figure}",  # how lines are rounded stands at their sums
    )


def _cut(o: OrderLine, e: Estimate) -> Working:
    assert o.cut is not None
    plan, task = o.cut.plan, o.cut.task
    many = sum(task.wanted)
    rolls = sum(plan.rolls)
    least = "proven: no plan takes less" if plan.proven else "not proven to be the least"
    alike = len(task.rolls) == 1
    given = [
        Number("pieces", many, "-"),
        Number("of lengths", len(task.pieces), "-"),
        Number("together", STEP * sum(map(mul, task.pieces, task.wanted)), "m"),
    ]  # fmt: skip
    given += [Number(f"roll {k}", STEP * r, "m") for k, r in enumerate(task.rolls, 1)]
    if alike:
        given.append(Number("no plan takes fewer than", round(plan.bound / plan.cost * rolls), "-"))
    else:
        given.append(Number("cost over its bound", plan.cost / plan.bound - 1, "%"))
    return Working(
        f"cut.{slug(o.line.item)}",
        f"Cutting plan: {o.line.item}",
        "min rolls, sum of pieces and kerfs on each <= its length; bound by the total length, or "
        "by column generation over patterns",
        tuple(given),
        Number("rolls", rolls, "-"),
        "Gilmore and Gomory 1961 (from memory)",
        f"{least}; pieces longer than a roll are joined: {o.cut.joints} joints",
    )


def _rungs(e: Estimate, terms: EstimateText, s: Sums) -> list[Working]:
    def money(name: str, value: Decimal) -> Number:
        return Number(name, float(value), "money")

    def rung(key: str, title: str, how: str, given: tuple[Number, ...], value: Decimal,
             source: str = "terms of the job", note: str = RULE) -> Working:  # fmt: skip
        return Working(f"price.{key}", f"{title} [{e.currency}]", how, given,
                       money(key.replace("-", " "), value), source, note)  # fmt: skip

    kinds = {k: v for k, v in s.kinds.items() if v}
    found = [
        rung(f"total-{k}", f"Sum of {k}", "sum of the lines as printed",
             tuple(money(o.line.item, o.amount) for o in e.order
                   if o.line.kind == k and o.bought), v, _BOOK)
        for k, v in kinds.items()
    ]  # fmt: skip
    parts = [money(k, v) for k, v in kinds.items()]
    parts += [money(f"tax on {k}", v) for k, v in s.taxes.items() if v]
    parts += [money("labour burden", s.burden)] if s.burden else []
    found.append(rung("direct", "Direct cost", "sum of goods, tax on their cost, delivery, hire, "
                      "wages and burden", tuple(parts), s.direct))  # fmt: skip
    given: tuple[Number, ...]
    if s.burden:
        given = (money("wages", s.kinds["labour"]), Number("burden", terms.burden, "%"))
        found.append(rung("burden", "Labour burden", "wages x burden", given, s.burden,
                          "25 to 40 % of wages is common practice, no source"))  # fmt: skip
    if s.overhead:
        given = (money("direct cost", s.direct), Number("overhead", terms.overhead, "%"))
        found.append(rung("overhead", "Overhead", "direct cost x share", given, s.overhead))
    given = (money("cost", s.cost),)
    how = f"cost x {percent(terms.contingency_share)}"
    if terms.contingency == "P80" and e.risk is not None:
        given = (money("cost at its likeliest", s.cost),
                 Number("P80 of the cost", float(e.risk.quantile[2]), "money"))  # fmt: skip
        how = "P80 of the cost - cost with everything at its likeliest, not below 0"
    found.append(rung("contingency", "Contingency", how, given, s.contingency))
    if s.profit:
        before = s.cost + s.contingency
        how = "(cost + contingency) x markup"
        if terms.profit_as == "margin":
            how = "(cost + contingency) / (1 - margin) - (cost + contingency)"
        given = (money("cost and contingency", before), Number(terms.profit_as, terms.profit, "%"))
        found.append(rung("profit", "Profit", how, given, s.profit, "arithmetic",
                          profit_words(s, terms)))  # fmt: skip
    last = (money("direct cost", s.direct), money("overhead", s.overhead),
            money("contingency", s.contingency), money("profit", s.profit),
            money("tax on price", s.tax_on_price))  # fmt: skip
    note = RULE
    if e.missing:
        note += f" {len(e.missing)} things have no price and are not in it."
    found.append(rung("price", "Price", "direct cost + overhead + contingency + profit + tax on "
                      "price", last, e.price, "terms of the job", note))  # fmt: skip
    return found


def _range(e: Estimate, terms: EstimateText) -> list[Working]:
    r = e.risk
    if r is None:
        return []
    given = (
        Number("everything at its likeliest", r.base, "money"),
        Number("samples", r.samples, "-"),
        Number("seed", r.seed, "-"),
        Number("correlation", terms.correlation, "-"),
        Number("mean", r.mean, "money"),
        Number("standard deviation", r.sd, "money"),
    )
    return [
        Working(
            f"price.cost.{name}",
            f"Cost that {words} of the cases stay below [{e.currency}]",
            "T = base + sum of amount x (triangular factor - 1), normal scores z = sqrt(r) f + "
            "sqrt(1 - r) e in each group; percentile of the draws",
            (*given, Number("sampling error", float(r.error[k]), "money")),
            Number(name, float(r.quantile[k]), "money"),
            "closed form of the triangular range; simulation",
            "overhead is in it, contingency and profit are not",
        )
        for k, (name, words) in enumerate(
            (("P10", "one in ten"), ("P50", "half"), ("P80", "four in five"),
             ("P90", "nine in ten"))
        )
    ]  # fmt: skip
