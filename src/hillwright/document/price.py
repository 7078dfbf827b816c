"""What it costs: the order, the ladder to the price, how sure it is."""

from __future__ import annotations

from hillwright.document.base import Part, Vector, axes, read, si, text
from hillwright.estimate.costmodel import Estimate

MONEY = "In `currency`, as printed"


class BoughtPart(Part):
    """So many packs of one row of the price book."""

    item: str = text("What is bought.")
    kind: str = text("material, plant, delivery, hire, labour or work.")
    packs: float = si("-", "Packs; hours of labour.")
    pack: float = text("What a pack holds, in `unit`.")
    unit: str = text("Unit of the price book.")
    supplier: str = text("From whom.")
    each: str = text(f"{MONEY}, of one pack.")
    amount: str = text(f"{MONEY}, of all packs.")


class StepPart(Part):
    """One line of the ladder."""

    name: str = text("What it is.")
    amount: str = text(f"{MONEY}.")
    how: str = text("How it follows.")
    total: bool = text("The sum of the lines above, not one of them.")


class MissingPart(Part):
    """Something without a price."""

    item: str = text("What it is.")
    why: str = text("Why it has none.")


class PricePart(Part):
    """The order and its price; money is decimal text, never a rounded number."""

    currency: str = text("Three letters.")
    book: str = text("File of the price book; empty where there is none.")
    complete: bool = text("Everything that is needed has a price.")
    direct: str = text(f"{MONEY}: direct cost.")
    price: str = text(f"{MONEY}: what is asked.")
    order: list[BoughtPart] = text("What is bought.")
    missing: list[MissingPart] = text("What has no price.")
    ladder: list[StepPart] = text("From goods to price.")
    quantiles: Vector = axes("-", "p10p50p80p90", "Of the cost, in `currency`; empty: not drawn.")
    valid_until: str = text("Day until which the offer holds; empty where it has no date.")


def price_part(estimate: Estimate) -> PricePart:
    """Give the order and its price."""
    order = [
        BoughtPart(
            item=o.line.item,
            kind=o.line.kind,
            packs=float(b.packs),
            pack=b.pack,
            unit=b.unit,
            supplier=b.supplier,
            each=str(b.each),
            amount=str(b.amount),
        )
        for o in estimate.order
        for b in o.bought
    ]
    ladder = [
        StepPart(name=s.name, amount=str(s.amount), how=s.how, total=s.total)
        for s in estimate.main.ladder
    ]
    return read(
        PricePart,
        estimate,
        book=estimate.file,
        direct=str(estimate.direct),
        price=str(estimate.price),
        order=order,
        missing=[MissingPart(item=item, why=why) for item, why in estimate.missing],
        ladder=ladder,
        quantiles=estimate.risk.quantile if estimate.risk is not None else [],
    )
