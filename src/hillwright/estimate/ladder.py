"""From goods to price: tax, burden, overhead, contingency, profit; every line rounded once."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from hillwright.estimate.costmodel import Step
from hillwright.estimate.hours import Built
from hillwright.estimate.money import coin, exact, price_at_margin, price_at_markup
from hillwright.estimate.order import OrderLine
from hillwright.job.estimate import EstimateText

_WORDS = {"material": "Materials", "plant": "Plants", "delivery": "Delivery", "hire": "Hire",
          "labour": "Wages"}  # fmt: skip
_TAXED = {"material": "materials", "plant": "plants", "hire": "hire"}


@dataclass(frozen=True, slots=True)
class Sums:
    """The rungs as amounts."""

    kinds: dict[str, Decimal]
    taxes: dict[str, Decimal]  # on cost, by kind
    burden: Decimal
    direct: Decimal
    overhead: Decimal
    contingency: Decimal
    profit: Decimal
    tax_on_price: Decimal
    price: Decimal

    @property
    def cost(self) -> Decimal:
        """Direct cost and overhead."""
        return self.direct + self.overhead


def percent(share: float) -> str:
    """Write a share in percent without trailing zeros."""
    return f"{100 * share:.6g} %"


def sums(
    order: tuple[OrderLine, ...], terms: EstimateText, built: Built, contingency: Decimal | None,
    decimals: int,
) -> Sums:  # fmt: skip
    """Add the ladder up.

    Parameters
    ----------
    order : tuple of OrderLine
        With the labour lines of this way of building.
    terms : EstimateText
        Shares and rules of the job.
    built : {"mixed", "owner", "contractor"}
        An owner who builds has neither overhead nor profit, and pays tax on what is bought.
    contingency : Decimal or None
        What is set aside; None takes the share that the job gives, of the cost.
    decimals : int
        Of the smallest coin.
    """
    kinds = {k: Decimal(0) for k in _WORDS}
    for o in order:
        if o.line.kind in kinds:
            kinds[o.line.kind] += o.amount
    owner, rate = built == "owner", exact(terms.tax)
    rules = {k: getattr(terms, f"tax_{word}") for k, word in _TAXED.items()}
    taxes = {
        k: coin(kinds[k] * rate, decimals)
        for k, rule in rules.items()
        if rule == "cost" or (owner and rule == "price")
    }
    burden = coin(kinds["labour"] * exact(terms.burden), decimals)
    direct = sum(kinds.values(), Decimal(0)) + sum(taxes.values(), Decimal(0)) + burden
    overhead = Decimal(0) if owner else coin(direct * exact(terms.overhead), decimals)
    cost = direct + overhead
    aside = contingency
    if aside is None:
        share = exact(terms.contingency_share) if terms.contingency == "given" else Decimal(0)
        aside = coin(cost * share, decimals)
    before = cost + aside
    profit = Decimal(0)
    if not owner:
        share = exact(terms.profit)
        price_of = price_at_markup if terms.profit_as == "markup" else price_at_margin
        profit = coin(price_of(before, share)[0] - before, decimals)
    asked = before + profit
    part = sum((kinds[k] for k, rule in rules.items() if rule == "price"), Decimal(0))
    late = Decimal(0)
    if direct and not owner:
        late = coin(asked * part / direct * rate, decimals)
    return Sums(kinds, taxes, burden, direct, overhead, aside, profit, late, asked + late)


def ladder(s: Sums, terms: EstimateText, built: Built) -> tuple[Step, ...]:
    """Write the ladder as it is printed."""
    owner = built == "owner"
    steps = []
    for kind, word in _WORDS.items():
        if kind == "labour":
            continue
        steps.append(Step(word, s.kinds[kind], "sum of the order's lines"))
        if s.taxes.get(kind):
            steps.append(
                Step(f"Tax on {_TAXED[kind]}", s.taxes[kind], f"{percent(terms.tax)} of their cost")
            )
    if not owner:
        steps.append(Step("Wages", s.kinds["labour"], "hours that are paid"))
        how = f"{percent(terms.burden)} of wages: payroll tax, insurance, leave"
        steps.append(Step("Labour burden", s.burden, how))
    steps.append(Step("Direct cost", s.direct, "", True))
    if not owner:
        how = f"{percent(terms.overhead)} of the direct cost"
        steps.append(Step("Overhead", s.overhead, how))
    if s.contingency or terms.contingency != "none":
        steps.append(Step("Contingency", s.contingency, contingency_words(terms)))
    if not owner:
        steps.append(Step("Profit", s.profit, profit_words(s, terms)))
    if s.tax_on_price:
        how = f"{percent(terms.tax)} of the part of the price that the goods taxed so have"
        steps.append(Step("Tax on price", s.tax_on_price, how))
    steps.append(Step("Cost to the owner" if owner else "Price", s.price, "", True))
    return tuple(steps)


def contingency_words(terms: EstimateText) -> str:
    """Say where the contingency comes from."""
    if terms.contingency == "P80":
        return "from the likeliest cost up to what four in five cases stay below (P80)"
    return f"{percent(terms.contingency_share)} of the cost"


def profit_words(s: Sums, terms: EstimateText) -> str:
    """Say the profit as markup and as margin: the same sum, two shares."""
    before = s.cost + s.contingency
    asked = before + s.profit
    if not asked:
        return ""
    up, down = 100 * s.profit / before, 100 * s.profit / asked
    first, second = f"markup {up:.2f} % of the cost", f"margin {down:.2f} % of the price"
    if terms.profit_as == "margin":
        first, second = second, first
    return f"{first}, which is a {second}"
