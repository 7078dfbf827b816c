"""Money in exact decimals: rounded once, line by line, and shared out to the last cent."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.method import method

RULE = (
    "Every line is rounded by itself, half a cent up; every total is the sum of the lines as they "
    "are printed."
)
ZERO = Decimal(0)


def places(currency: str) -> int:
    """Give the decimals of a currency's smallest coin."""
    found: int = table("estimate")["decimals"].get(currency, 2)
    return found


def coin(amount: Decimal, decimals: int) -> Decimal:
    """Round an amount to the smallest coin, half up."""
    return amount.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def exact(number: float | int | str) -> Decimal:
    """Give a share or a count as the decimal that a person would write for it."""
    return Decimal(str(number)) if not isinstance(number, float) else Decimal(repr(number))


def share_out(total: Decimal, weights: Sequence[float], decimals: int) -> list[Decimal]:
    """Share a rounded amount out so that the parts add up to it exactly.

    Each part is cut down to the coin; the coins that are left go to the parts that lost most.
    """
    whole = sum(weights)
    if not weights:
        return []
    if whole <= 0:
        weights, whole = [1.0] * len(weights), float(len(weights))
    unit = Decimal(1).scaleb(-decimals)
    wanted = [total * exact(float(w)) / exact(float(whole)) for w in weights]
    parts = [w.quantize(unit, ROUND_FLOOR) for w in wanted]
    coins = int((total - sum(parts)) / unit)
    order = sorted(range(len(parts)), key=lambda i: (parts[i] - wanted[i], i))
    for k in range(coins):
        parts[order[k % len(parts)]] += unit
    return parts


class AtMarkup(NamedTuple):
    """A price, and the addition in it as a share of it."""

    price: Any
    margin: Any


class AtMargin(NamedTuple):
    """A price, and the addition in it as a share of the cost."""

    price: Any
    markup: Any


@method(
    title="Price at a markup",
    equation="price = cost (1 + markup); margin = markup / (1 + markup)",
    source="arithmetic",
)
def price_at_markup(cost: Any, markup: Any) -> AtMarkup:
    """Add a share of the cost.

    Parameters
    ----------
    cost : (n,) array
        What it costs. [any]
    markup : (n,) array
        Share of the cost that is added. [-]

    Returns
    -------
    price : (n,) array
        What is asked for it. [any]
    margin : (n,) array
        The same addition as a share of the price. [-]

    Raises
    ------
    OutOfRange
        A negative cost or markup.
    """
    given.at_least_zero("cost", _floats(cost))
    given.at_least_zero("markup", _floats(markup))
    return AtMarkup(cost * (1 + markup), markup / (1 + markup))


def _floats(value: Any) -> Array:
    """Give decimals as floats, to be looked at only."""
    return np.asarray(value, float)


@method(
    title="Price at a margin",
    equation="price = cost / (1 - margin); markup = margin / (1 - margin)",
    source="arithmetic",
)
def price_at_margin(cost: Any, margin: Any) -> AtMargin:
    """Set the price so that a share of it stays.

    Parameters
    ----------
    cost : (n,) array
        What it costs. [any]
    margin : (n,) array
        Share of the price that stays, below 1. [-]

    Returns
    -------
    price : (n,) array
        What is asked for it. [any]
    markup : (n,) array
        The same addition as a share of the cost. [-]

    Raises
    ------
    OutOfRange
        A negative cost or margin, or a margin of the whole price.
    """
    given.at_least_zero("cost", _floats(cost))
    if (given.at_least_zero("margin", _floats(margin)) >= 1).any():
        what, right = "is the whole price or more", "give less than 100 % of the price"
        raise OutOfRange("margin", what, right)
    return AtMargin(cost / (1 - margin), margin / (1 - margin))


@method(
    title="Largest down payment that a law lets a contractor take",
    equation="down = min(limit, share price)",
    source="California Business and Professions Code 7159(d)(8): $1,000 or 10 %",
)
def largest_down_payment(price: ArrayLike, share: ArrayLike, limit: ArrayLike) -> Array:
    """Give the lesser of a sum and a share of the price.

    Parameters
    ----------
    price : (n,) array
        Of the contract. [any]
    share : (n,) array
        Of the price. [-]
    limit : (n,) array
        The sum. [any]

    Returns
    -------
    down : (n,) array
        Not more than this before work begins. [any]
    """
    part = np.asarray(price, float) * np.asarray(share, float)
    return np.asarray(np.minimum(part, np.asarray(limit, float)))
