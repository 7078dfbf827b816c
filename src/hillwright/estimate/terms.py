"""Terms of an offer: deposit within the law, payments as work is done, how long it holds."""

from __future__ import annotations

import datetime
from decimal import ROUND_FLOOR, Decimal

from hillwright.data import table
from hillwright.estimate.costmodel import Law, Payment
from hillwright.estimate.ladder import percent
from hillwright.estimate.money import exact, largest_down_payment, share_out
from hillwright.job.estimate import EstimateText

# which questions' work is done when a payment falls due
_STAGES = (
    ("when the rows are set, hung and staked", (1, 2, 3, 9)),
    ("when the cells are filled and the drains are dug", (4, 5)),
    ("when it is planted, watered, tested and cleaned up", (6, 7, 8)),
)


def law_of(terms: EstimateText) -> Law | None:
    """Give the limits of the place that the job names; None where it names none."""
    for row in table("contract_law")["law"]:
        if row["place"] == terms.law:
            days = row["cancel_days_65"] if terms.senior_buyer else row["cancel_days"]
            return Law(
                row["place"], row["name"], tuple(row["share"]), row.get("most"), days,
                row["source"], row["status"], row["date"], row["note"],
            )  # fmt: skip
    return None


def limit_words(law: Law, currency: str) -> str:
    """Say how much may be taken before the work, as in "1/3 of the price"."""
    if law.free:
        return "what is agreed"
    n, d = law.share
    part = f"{100 * n // d} %" if 100 * n % d == 0 else f"{n}/{d}"
    if law.most is None:
        return f"{part} of the price"
    return f"{law.most:,} {currency} or {part} of the price, whichever is less"


def law_lines(law: Law, currency: str) -> tuple[str, ...]:
    """Say what the place asks, how that is known, and that it must be checked."""
    known = {
        "verified": f"read on {law.date}",
        "summary": f"read on {law.date} in a summary, not in the law itself",
        "memory": "from memory, not read in the law",
    }[law.status]
    said = f"lets at most {limit_words(law, currency)} be taken"
    if law.free:
        said = "names no share of the price"
    return (
        f"Deposit: the {law.name} {said} ({law.source}; {known}). {law.note} Ask the licence board "
        "or a lawyer what is in force.",
        f"The buyer may cancel for {law.cancel_days} business days after signing. No work begins "
        "and nothing is ordered before that.",
    )


def payments(
    price: Decimal, by_question: dict[int, Decimal], terms: EstimateText, law: Law | None,
    decimals: int,
) -> tuple[tuple[Payment, ...], list[str]]:  # fmt: skip
    """Give deposit and payments, which add up to the price, and what was changed for the law.

    Each payment is the share of the rest that the work of its stage has in the direct cost, so
    that nothing is paid before it is done or delivered.
    """
    said, asked = list[str](), _down(price * exact(terms.deposit), decimals)
    deposit, why = asked, f"{percent(terms.deposit)} of the price"
    if law is not None:
        n, d = law.share
        sum_of = Decimal("Infinity") if law.most is None else Decimal(law.most)
        most = largest_down_payment(float(price), n / d, float(sum_of))
        # to the coin in exact decimals, and down: a limit is not rounded over
        limit = _down(min(price * n / d, sum_of), decimals)
        assert abs(float(limit) - float(most)) <= 10.0**-decimals
        if asked > limit:
            said.append(
                f"The deposit asked ({asked:,}) is more than the {law.name} allows: {limit:,} "
                f"({limit_words(law, terms.currency)}). It is written as that."
            )
            deposit, why = limit, f"the most that the {law.name} allows"
    found = [Payment("when the contract is signed", deposit, why)] if deposit else []
    weights = [float(sum((by_question.get(q, Decimal(0)) for q in qs), Decimal(0)))
               for _, qs in _STAGES]  # fmt: skip
    for (when, _), weight, amount in zip(
        _STAGES, weights, share_out(price - deposit, weights, decimals), strict=True
    ):
        if weight > 0:
            share = 100 * weight / sum(weights)
            found.append(Payment(when, amount, f"{share:.1f} % of the work and goods"))
    return tuple(found), said


def _down(amount: Decimal, decimals: int) -> Decimal:
    return amount.quantize(Decimal(1).scaleb(-decimals), ROUND_FLOOR)


def valid_until(terms: EstimateText) -> str:
    """Give the last day on which the offer holds, "" where it has no day."""
    if not terms.date:
        return ""
    day = datetime.date.fromisoformat(terms.date) + datetime.timedelta(days=terms.valid_days)
    return day.isoformat()
