"""Stage: price everything that was taken off."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from hillwright.data import table
from hillwright.estimate import hours, risk
from hillwright.estimate import terms as offer
from hillwright.estimate.book import Matched
from hillwright.estimate.costmodel import Build, Estimate, Risk
from hillwright.estimate.hours import NAMES, Built, Labour, labour_of
from hillwright.estimate.ladder import Sums, ladder, sums
from hillwright.estimate.model import Course, Takeoff, TakeoffLine
from hillwright.estimate.money import coin, exact, places, share_out
from hillwright.estimate.order import (
    PACKED,
    Cuts,
    OrderLine,
    ToCut,
    extra_lines,
    ordered,
    to_cut,
)
from hillwright.estimate.split import split
from hillwright.estimate.workings import workings
from hillwright.job.estimate import EstimateText
from hillwright.job.prices import PriceBook, plain

Totals = dict[int, Decimal]


def cutting_tasks(takeoff: Takeoff, book: PriceBook, kerf: float) -> tuple[ToCut, ...]:
    """Find what has to be cut from what is sold: lengths alone, so that new prices cut nothing.

    Raises
    ------
    SurveyError
        A row of the price book has a unit that its line is not sold by.
    """
    return to_cut(takeoff.lines, Matched(takeoff.lines, book), kerf)


def price_up(
    takeoff: Takeoff,
    book: PriceBook,
    cuts: Cuts,
    terms: EstimateText,
    works: tuple[tuple[str, str], ...] = (),
    rain: float = 0.0,
    stopped: str = "",
) -> Estimate:
    """Stage: buy, add up, find the range, and write the terms.

    Parameters
    ----------
    takeoff : Takeoff
        What is needed.
    book : PriceBook
        What it costs.
    cuts : Cuts
        Cutting plans of what comes in rolls and bars.
    terms : EstimateText
        Shares, rules and dates of the job.
    works : tuple of (id, name)
        Kinds of work in words.
    rain : float
        Share of the days lost to weather.
    stopped : str
        Why the work cannot be done, so that nobody's hours are known; "" it can.

    Raises
    ------
    SurveyError
        A row of the price book has a unit that its line is not sold by.
    """
    decimals, spread = places(terms.currency), _spreads()
    match = Matched(takeoff.lines, book)
    order = ordered(takeoff.lines, match, cuts, spread, decimals)
    more = extra_lines(order)
    order += _extra(more, book, spread, decimals)
    goods = tuple(o for o in order if o.line.kind != "labour")
    people = tuple(o for o in order if o.line.kind == "labour")
    course = takeoff.course
    valued = terms.volunteers == "valued"

    def hands(built: Built) -> Labour:
        return labour_of(
            built, people, course, match, valued, terms.pay, decimals, spread["labour"]
        )

    def total(built: Built, aside: Decimal | None) -> tuple[Labour, Sums]:
        labour = hands(built)
        return labour, sums((*goods, *labour.lines), terms, built, aside, decimals)

    held = terms.contingency == "P80"
    keys: tuple[Built, ...] = ("owner", "mixed", "contractor")
    bare = {built: total(built, Decimal(0) if held else None) for built in keys}
    in_words = dict(works)
    doubts = [
        risk.unsure((*goods, *labour.lines), s, terms, course, in_words)
        for labour, s in bare.values()
    ]
    drawn = dict(zip(keys, risk.simulate(doubts, terms, rain), strict=True))
    missing = tuple(dict.fromkeys((o.line.item, o.missing) for o in goods if o.missing))
    if stopped:
        missing += (("all hours of work", stopped),)
    final = {
        built: sums((*goods, *labour.lines), terms, built, _set_aside(drawn[built], decimals),
                    decimals) if held else s
        for built, (labour, s) in bare.items()
    }  # fmt: skip
    builds = [_build(b, bare[b][0], final[b], terms, missing) for b in keys]
    labour, found = bare[terms.built][0], final[terms.built]
    whole = (*goods, *labour.lines)
    main = next(b for b in builds if b.key == terms.built)
    missing += labour.missing
    rows, questions, weeks = _splits(whole, found, takeoff, terms, decimals)
    law = offer.law_of(terms)
    due, said = offer.payments(found.price, questions, terms, law, decimals)
    span = _over(drawn[terms.built], found)
    estimate = Estimate(
        currency=terms.currency,
        decimals=decimals,
        file=book.file,
        order=whole,
        missing=missing,
        main=main,
        builds=tuple(builds),
        direct=found.direct,
        cost=found.cost,
        price=found.price,
        by_row=tuple(sorted(rows.items())),
        by_question=tuple(sorted(questions.items())),
        by_week=tuple((w, _first_day(course, w), a) for w, a in sorted(weeks.items())),
        risk=span,
        # who builds his own garden has nobody to pay by stages
        payments=due if any(o.bought for o in order) and terms.built != "owner" else (),
        law=law,
        date=terms.date,
        valid_until=offer.valid_until(terms),
        remarks=(
            *book.remarks,
            *match.unused((*takeoff.lines, *more), (*hours.PAID, hours.GIVEN, "child", PACKED)),
        ),
        workings=(),
        warnings=tuple(said),
    )
    return replace(estimate, workings=workings(estimate, terms, found))


def _spreads() -> dict[str, tuple[float, float]]:
    return {r["kind"]: (float(r["low"]), float(r["high"])) for r in table("estimate")["spread"]}


def _extra(
    lines: Sequence[TakeoffLine], book: PriceBook, spread: dict[str, tuple[float, float]],
    decimals: int,
) -> tuple[OrderLine, ...]:  # fmt: skip
    """Buy what only the order asks for; a delivery from who delivers, or at the common price."""
    found: list[OrderLine] = []
    for line in lines:
        rows = book
        if line.item == PACKED:
            who = "" if line.note == "supplier not named" else line.note
            mine = [r for r in book.rows if r.supplier == who]
            common = [r for r in book.rows if not r.supplier]
            own = [r for r in mine if plain(r.item) == PACKED]
            rows = replace(book, rows=tuple(own or common))
        found += ordered((line,), Matched((line,), rows), Cuts(()), spread, decimals)
    return tuple(found)


def _set_aside(found: Risk | None, decimals: int) -> Decimal:
    if found is None:
        return Decimal(0)
    return max(coin(exact(float(found.quantile[2]) - found.base), decimals), Decimal(0))


def _over(found: Risk | None, s: Sums) -> Risk | None:
    if found is None:
        return None
    asked = float(s.price - s.tax_on_price)
    return replace(found, over=float((found.drawn > asked).mean()))


def _build(
    built: Built, labour: Labour, its: Sums, terms: EstimateText,
    missing: tuple[tuple[str, str], ...],
) -> Build:  # fmt: skip
    lacks = tuple(item for item, _ in (*missing, *labour.missing))
    return Build(
        built, NAMES[built], ladder(its, terms, built), its.price, labour.paid, labour.given,
        labour.value, lacks,
    )  # fmt: skip


def _splits(
    order: Sequence[OrderLine], found: Sums, takeoff: Takeoff, terms: EstimateText, decimals: int
) -> tuple[Totals, Totals, Totals]:
    """Share the direct cost out over rows, questions and weeks, to the last coin."""
    priced = [o for o in order if o.amount]
    full = {id(o): o.amount for o in priced}
    for kind, tax in (*found.taxes.items(), ("labour", found.burden)):
        mine = [o for o in priced if o.line.kind == kind]
        for o, part in zip(
            mine, share_out(tax, [float(o.amount) for o in mine], decimals), strict=True
        ):
            full[id(o)] += part
    totals: tuple[defaultdict[int, Decimal], ...] = tuple(defaultdict(Decimal) for _ in range(3))
    for o in priced:
        for total, weights in zip(
            totals, split(o.line, takeoff.course, takeoff.rows, terms.pay), strict=True
        ):
            keys = sorted(weights)
            parts = share_out(full[id(o)], [weights[k] for k in keys], decimals)
            for key, part in zip(keys, parts, strict=True):
                total[key] += part
    rows, questions, weeks = (dict(t) for t in totals)
    return rows, questions, weeks


def _first_day(course: Course | None, week: int) -> str:
    if course is None:
        return ""
    return next((d for d, w in zip(course.dates, course.week.tolist(), strict=True) if w == week),
                "")  # fmt: skip
