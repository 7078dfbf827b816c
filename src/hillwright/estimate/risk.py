"""How sure: prices, hours, soil and weather drawn together, and what drives the cost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.estimate.costmodel import Driver, Risk
from hillwright.estimate.hours import HIRED, PAID
from hillwright.estimate.ladder import Sums
from hillwright.estimate.model import Course
from hillwright.estimate.order import OrderLine
from hillwright.estimate.rebuy import cost_share
from hillwright.estimate.triangle import scores, triangular_quantile
from hillwright.job.estimate import EstimateText

SHARES = np.array([0.1, 0.5, 0.8, 0.9])
_GOODS, _WAGES, _HOURS, _SOIL = "goods", "wages", "hours", "soil"  # what goes together
_WEATHER = "days lost to weather"
_VOLUME = "volume of soil and mulch"


@dataclass(eq=False)
class Unsure:
    """What is not sure in one way of building, and how much money hangs on each thing."""

    sums: Sums
    range: dict[str, tuple[float, float, str]] = field(default_factory=dict)  # low, high, group
    worth: dict[str, float] = field(default_factory=dict)
    soil: list[tuple[OrderLine, float]] = field(default_factory=list)  # with tax [money]
    days: int = 0
    a_day: float = 0.0  # what a day lost to weather costs

    def add(self, name: str, low: float, high: float, amount: float, group: str) -> None:
        """Note that an amount may go from low to high times itself."""
        self.range[name] = (min(low, 1.0), max(high, 1.0), group)
        self.worth[name] = self.worth.get(name, 0.0) + amount


def unsure(
    order: Sequence[OrderLine],
    sums: Sums,
    terms: EstimateText,
    course: Course | None,
    works: dict[str, str],
) -> Unsure:
    """Find what is not sure in one way of building.

    Parameters
    ----------
    order : sequence of OrderLine
        With the labour lines of this way of building.
    sums : Sums
        The ladder at the likeliest values.
    terms : EstimateText
        Spread of the soil, and what of the people's time is paid.
    course : Course or None
        Hours by task, with how far each kind of work may go.
    works : dict
        Kinds of work in words, by id.
    """
    found = Unsure(sums)
    tax = {k: float(v / sums.kinds[k]) for k, v in sums.taxes.items() if sums.kinds[k]}
    burden = 1 + terms.burden
    for o in order:
        amount = float(o.amount)
        if not amount:
            continue
        least = float(sum(b.packs * b.low for b in o.bought)) / amount
        most = float(sum(b.packs * b.high for b in o.bought)) / amount
        if o.line.kind == "labour":
            role = o.line.item if o.line.item in PAID else HIRED
            found.add(f"wage of {role}", least, most, amount * burden, _WAGES)
            _hours(found, o, course, terms, works)
            continue
        amount *= 1 + tax.get(o.line.kind, 0.0)
        found.add(f"price of {o.line.item}", least, most, amount, _GOODS)
        if {"fill", "mulch"} & set(o.line.works) and (o.line.unit == "m3" or o.line.lots):
            found.soil.append((o, amount))
    if found.soil and terms.soil_spread:
        found.range[_VOLUME] = 1 - terms.soil_spread, 1 + terms.soil_spread, _SOIL
    if course is not None and len(course.week):
        found.days = len(course.week)
        lost = sums.kinds["hire"]
        found.a_day = float(lost) / found.days
        if terms.pay == "days":
            found.a_day += float(sums.kinds["labour"]) * burden / found.days
    return found


def _hours(
    found: Unsure, o: OrderLine, course: Course | None, terms: EstimateText, works: dict[str, str]
) -> None:
    """Note the wages of each kind of work, with how good and how bad its hours may be.

    An hour more of any work costs what an hour at work costs over the whole job, waiting and
    setting up included. Shared day by day, a short task on a day of its own would carry all of it.
    """
    if course is None:
        return
    mine = np.flatnonzero(course.role == course.roles.index(o.line.item))
    worked = course.worked[mine]
    if not worked.sum():
        return
    part = float(o.amount) * (1 + terms.burden) * worked / worked.sum()
    for k, amount in zip(mine.tolist(), part.tolist(), strict=True):
        kind = course.works[int(course.task[k])]
        low, high = course.spread[k].tolist()
        found.add(f"hours: {works.get(kind, kind)}", low, high, amount, _HOURS)


def simulate(builds: Sequence[Unsure], terms: EstimateText, rain: float) -> list[Risk | None]:
    """Draw the cost with overhead of each way of building, all from the same draws.

    Prices of goods go together, wages go together, and hours of the kinds of work go together,
    each by the job's correlation; soil's volume and the weather stand alone. For each volume that
    is drawn, bags, loads and packs of soil and mulch are bought anew. A day that the weather takes
    costs its wages where whole days are paid, and a day's hire.

    Parameters
    ----------
    builds : sequence of Unsure
        What is not sure in each.
    terms : EstimateText
        Correlation, samples and seed.
    rain : float
        Share of the days lost to weather.

    Returns
    -------
    list of Risk or None
        One for each; None where nothing of it has a price.
    """
    ranges = {name: r for b in builds for name, r in b.range.items()}
    if not ranges:
        return [None] * len(builds)
    names = list(ranges)
    low, high = (np.array([ranges[n][k] for n in names]) for k in (0, 1))
    groups = {g: k for k, g in enumerate(dict.fromkeys(ranges[n][2] for n in names))}
    which = tuple(groups[ranges[name][2]] for name in names)
    days = max((b.days for b in builds), default=0)
    moved, lost = _drawn(
        terms.seed, terms.samples, terms.correlation, which, tuple(low), tuple(high), days, rain
    )
    ends = triangular_quantile(low[:, None], 1.0, high[:, None], np.array([[0.1, 0.9]])) - 1
    more: dict[int, tuple[Array, Array]] = {}  # of a line: its cost in each draw, at both ends
    if _VOLUME in ranges:
        k = names.index(_VOLUME)
        every = {id(o): o for b in builds for o, _ in b.soil}
        for key, o in every.items():
            more[key] = cost_share(o, 1 + moved[k]) - 1, cost_share(o, 1 + ends[k]) - 1
    return [_risk(b, names, moved, ends, lost, more, terms) for b in builds]


# another profit or another price within the same range asks for the very same draws
@lru_cache(maxsize=2)
def _drawn(
    seed: int,
    samples: int,
    correlation: float,
    group: tuple[int, ...],
    low: tuple[float, ...],
    high: tuple[float, ...],
    days: int,
    rain: float,
) -> tuple[Array, Array]:
    """Draw how far each amount moves, as a share of it (k, samples), and days lost (samples,)."""
    rng = np.random.default_rng(seed)
    u = scores(rng, samples, group, correlation)
    least, most = np.array(low)[:, None], np.array(high)[:, None]
    moved = triangular_quantile(least, 1.0, most, u) - 1
    lost = np.zeros(samples)
    if rain > 0 and days:
        lost = rng.negative_binomial(days, 1 - rain, samples).astype(float)
    return frozen(moved), frozen(lost)


def _risk(
    b: Unsure, names: list[str], moved: Array, ends: Array, lost: Array,
    more: dict[int, tuple[Array, Array]], terms: EstimateText,
) -> Risk | None:  # fmt: skip
    if not b.worth:
        return None
    over = 1 + (float(b.sums.overhead / b.sums.direct) if b.sums.direct else 0.0)
    worth = over * np.array([b.worth.get(name, 0.0) for name in names])
    weather = over * b.a_day * lost
    soil, soil_ends = np.zeros(len(lost)), np.zeros(2)
    for o, amount in b.soil:
        if id(o) in more:
            price = 1 + moved[names.index(f"price of {o.line.item}")]
            soil += over * amount * price * more[id(o)][0]
            soil_ends += over * amount * more[id(o)][1]
    change = worth @ moved + soil + weather
    base, n = float(b.sums.cost), terms.samples
    total = base + change
    spread, centred = float(total.var()), total - total.mean()
    shares = worth * (moved @ centred) / n / spread if spread > 0 else np.zeros(len(names))
    drivers = [
        Driver(name, float(w * e[0]), float(w * e[1]), float(s))
        for name, w, e, s in zip(names, worth, ends, shares, strict=True)
        if w > 0
    ]
    if soil.any():
        share = float(soil @ centred) / n / spread if spread > 0 else 0.0
        drivers.append(Driver(_VOLUME, float(soil_ends[0]), float(soil_ends[1]), share))
    if lost.any() and b.a_day > 0:
        a, z = np.quantile(weather, [0.1, 0.9])
        share = float(weather @ centred) / n / spread if spread > 0 else 0.0
        drivers.append(Driver(_WEATHER, float(a), float(z), share))
    return Risk(
        base,
        float(total.mean()),
        float(total.std()),
        frozen(np.quantile(total, SHARES)),
        frozen(_errors(total, n)),
        float((total <= base + 1e-9).mean()),
        n,
        terms.seed,
        tuple(sorted(drivers, key=lambda d: (-(d.high - d.low), d.name))),
        math.nan,
        frozen(total),
    )


def _errors(total: Array, n: int) -> Array:
    """Give the sampling error of each percentile: half the way between its neighbours by rank."""
    away = np.array([math.sqrt(p * (1 - p) / n) for p in SHARES])
    up = np.quantile(total, np.clip(SHARES + away, 0, 1))
    down = np.quantile(total, np.clip(SHARES - away, 0, 1))
    return np.asarray((up - down) / 2)
