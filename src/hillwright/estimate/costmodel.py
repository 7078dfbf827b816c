"""What pricing gives: the ladder from goods to price, its parts, its range, and the terms."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from hillwright.arrays import Array
from hillwright.estimate.order import OrderLine
from hillwright.method import Working

Money = Decimal


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the ladder from goods to price."""

    name: str
    amount: Money
    how: str  # in words
    total: bool = False  # the sum of the lines above, not one of them


@dataclass(frozen=True, slots=True)
class Build:
    """The same hill built by other hands."""

    key: str  # "owner", "mixed", "contractor"
    name: str
    ladder: tuple[Step, ...]
    price: Money
    paid_hours: float  # [h]
    given_hours: float  # of volunteers [h]
    given_value: Money  # of their hours, where they are valued: no part of the price
    missing: tuple[str, ...]  # what of it has no price


@dataclass(frozen=True, slots=True)
class Driver:
    """Something that is not sure, and what it does to the cost."""

    name: str
    low: float  # of ten cases one is better than this, everything else as planned [money]
    high: float  # of ten cases one is worse [money]
    share: float  # of the variance of the cost [-]


@dataclass(frozen=True, slots=True, eq=False)
class Risk:
    """The cost as a range; money as floats, for they are no amounts to be paid."""

    base: float  # everything at its likeliest
    mean: float
    sd: float
    quantile: Array  # (4,) P10, P50, P80, P90 of the cost
    error: Array  # (4,) sampling error of each, one standard error
    below: float  # share of the cases that stay below the base [-]
    samples: int
    seed: int
    drivers: tuple[Driver, ...]  # the largest first
    over: float  # share of the cases whose cost is above the price asked [-]
    drawn: Array  # (samples,) the cost in each


@dataclass(frozen=True, slots=True)
class Payment:
    """What is paid when."""

    when: str
    amount: Money
    why: str


@dataclass(frozen=True, slots=True)
class Law:
    """Limits of a place on deposits, and days to cancel."""

    place: str
    name: str
    share: tuple[int, int]  # of the price at most, as a fraction
    most: int | None  # a sum that the deposit may not be more than either [money]
    cancel_days: int  # business days
    source: str
    status: str  # "verified", "summary", "memory"
    date: str  # on which it was read
    note: str

    @property
    def free(self) -> bool:
        """No share of the price is named."""
        return self.share[0] == self.share[1]


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """The order and its price."""

    currency: str
    decimals: int
    file: str  # of the price book, "" none
    order: tuple[OrderLine, ...]
    missing: tuple[tuple[str, str], ...]  # item, why it has no price
    main: Build
    builds: tuple[Build, ...]
    direct: Money
    cost: Money  # with overhead, before contingency and profit
    price: Money
    by_row: tuple[tuple[int, Money], ...]  # of the direct cost; 0 is the whole hill
    by_question: tuple[tuple[int, Money], ...]  # 9 is delivery
    by_week: tuple[tuple[int, str, Money], ...]  # week, its first date, amount
    risk: Risk | None
    payments: tuple[Payment, ...]
    law: Law | None
    date: str
    valid_until: str
    remarks: tuple[str, ...]
    workings: tuple[Working, ...]
    warnings: tuple[str, ...] = ()

    @property
    def priced(self) -> bool:
        """Something has a price."""
        return any(o.bought for o in self.order)

    @property
    def complete(self) -> bool:
        """Everything that is needed has a price."""
        return self.priced and not self.missing
