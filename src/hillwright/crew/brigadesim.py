"""A day of the bucket brigade, bucket by bucket (simpy): times that vary, and rests."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright.arrays import Array
from hillwright.crew.brigade import hands
from hillwright.errors import OutOfRange, Problem
from hillwright.method import method

_DRAWS = 4096  # times drawn for each kind before they are used again


class Day(NamedTuple):
    """What a simulated day brings."""

    buckets: int
    buckets_per_hour: float
    bottleneck: int
    busy: Array
    waiting: Array


@method(
    title="A day of the bucket brigade, simulated",
    equation="each hand-over waits for both people; times lognormal; the line rests together",
    source="discrete-event simulation (simpy), held against the closed form of brigade_pace",
)
def simulate_brigade(
    people: int,
    turn: ArrayLike,
    hand_over: ArrayLike,
    load: float,
    pour: float,
    buckets: int,
    empties_return: float,
    day: float,
    spread: float = 0.0,
    work: float = math.inf,
    rest: float = 0.0,
    seed: int = 1,
) -> Day:
    """Simulate a line of people that hands full buckets on, for some hours.

    Parameters
    ----------
    people : int
        People on the line: the first loads at the pile, the last pours into the cell. [-]
    turn : (n,) array
        What each person needs between two hand-overs, to turn or step there and back. [s]
    hand_over : (n - 1,) array
        Time of each hand-over, both people busy. [s]
    load : float
        To fill a bucket at the pile, the first person busy. [s]
    pour : float
        To empty it, the last person busy. [s]
    buckets : int
        How many buckets go round. [-]
    empties_return : float
        From the pouring until an empty bucket is back at the pile. [s]
    day : float
        How long the line stands there, rests included. [s]
    spread : float
        Coefficient of variation of every time; 0 for times that do not vary. [-]
    work : float
        The line works so long, then rests; without limit where it does not rest. [s]
    rest : float
        How long it rests each time. [s]
    seed : int
        Of the drawn times: the same day every time. [-]

    Returns
    -------
    buckets : int
        Buckets poured. [-]
    buckets_per_hour : float
        Pace while the line works: once the first bucket is up, rests taken out. [-]
    bottleneck : int
        Number (from 1, at the pile) of the person who waits least; 0 where all wait, for buckets.
        [-]
    busy : (n,) array
        Share of the working time that each person is busy. [-]
    waiting : (n,) array
        Share of it that each person waits. [-]

    Raises
    ------
    OutOfRange
        No people, no buckets, no time, or times below zero.

    Notes
    -----
    The line rests together, each once the bucket in hand is passed on. Nobody tires here: the pace
    of the last hour is that of the first.
    """
    h = hands(turn, hand_over, load, pour, people)
    wrong = []
    if buckets < 1:
        wrong.append(Problem("buckets", f"{buckets} buckets carry nothing", "give 1 or more"))
    for name, value in (("empties_return", empties_return), ("spread", spread), ("rest", rest)):
        if not math.isfinite(value) or value < 0:
            wrong.append(Problem(name, "is negative or no number", "give 0 or more"))
    if not (math.isfinite(day) and day > 0):
        wrong.append(Problem("day", "is no time", "give more than 0"))
    if not work > 0:
        wrong.append(Problem("work", "is no time", "give more than 0, or leave it out"))
    if float(h.turn.sum() + h.hand_over.sum()) + h.load + h.pour <= 0:
        wrong.append(Problem("turn, hand_over, load and pour", "are all zero", "time one bucket"))
    if wrong:
        raise OutOfRange.all(wrong)
    line = _Line(h, buckets, empties_return, spread, seed)
    return line.run(day, work, rest)


class _Line:
    """The line while it works; every person is one process."""

    def __init__(self, h: Any, buckets: int, empties_return: float, spread: float, seed: int):
        import simpy

        self.h, self.n = h, len(h.turn)
        self.env = simpy.Environment()
        self.empties = simpy.Store(self.env)
        self.empties.items = list(range(buckets))
        # a full bucket held out, and the sign that it has been taken: one of each a hand-over
        self.offered = [simpy.Store(self.env) for _ in range(self.n - 1)]
        self.taken = [simpy.Store(self.env) for _ in range(self.n - 1)]
        self.back, self.poured, self.first_up = empties_return, 0, math.nan
        self.last_up = math.nan
        self.busy = np.zeros(self.n)
        rng = np.random.default_rng(seed)
        sigma = math.sqrt(math.log1p(spread**2))
        # mean 1: the mean times stay those given
        drawn = np.exp(rng.normal(-(sigma**2) / 2, sigma, _DRAWS)) if spread else np.ones(_DRAWS)
        self.draws: list[float] = (drawn / drawn.mean()).tolist()
        self.at = 0
        self.work, self.rest, self.day = math.inf, 0.0, 0.0
        self.rested = np.zeros(self.n)
        self.rest_between = self.rest_up = 0.0  # of who pours, from the first bucket on

    def time(self, mean: float) -> float:
        self.at = (self.at + 1) % _DRAWS
        return mean * self.draws[self.at]

    def run(self, day: float, work: float, rest: float) -> Day:
        self.work, self.rest, self.day = work, rest, day
        for k in range(self.n):
            self.env.process(self.person(k))
        self.env.run(until=day)
        span = self.last_up - self.first_up - self.rest_up if self.poured > 1 else 0.0
        pace = (self.poured - 1) / span * 3600 if span > 0 else 0.0
        busy = np.minimum(self.busy / np.maximum(day - self.rested, 1e-9), 1.0)
        top = int(np.argmax(busy))
        return Day(self.poured, pace, top + 1 if busy[top] > 0.9 else 0, busy, 1 - busy)

    def pause(self, k: int) -> float:
        """Give how long a person who is free now rests: until the line's rest is over."""
        if math.isinf(self.work) or not self.rest:
            return 0.0
        part = self.env.now % (self.work + self.rest)
        if part < self.work:
            return 0.0
        left = self.work + self.rest - part
        self.rested[k] += min(left, self.day - self.env.now)
        if k == self.n - 1 and self.poured:
            self.rest_between += left
        return left

    def person(self, k: int) -> Any:
        env, h, last = self.env, self.h, self.n - 1
        half = float(h.turn[k]) / 2
        while True:
            if wait := self.pause(k):
                yield env.timeout(wait)
            if k == 0:
                yield self.empties.get()
                spent = self.time(h.load)
            else:
                yield self.offered[k - 1].get()
                spent = self.time(float(h.hand_over[k - 1]))
            up = self.time(half)
            if k == 0:
                yield env.timeout(spent + up)
                self.busy[0] += spent + up
            else:
                yield env.timeout(spent)
                self.taken[k - 1].put(spent)
                yield env.timeout(up)
                self.busy[k] += spent + up
            if k == last:
                spent = self.time(h.pour)
                yield env.timeout(spent)
                self.busy[k] += spent
                self.poured += 1
                if self.poured == 1:
                    self.first_up = env.now
                self.last_up, self.rest_up = env.now, self.rest_between
                env.process(self.empty())
            else:
                self.offered[k].put(1)
                spent = yield self.taken[k].get()
                self.busy[k] += spent
            down = self.time(half)
            yield env.timeout(down)
            self.busy[k] += down

    def empty(self) -> Any:
        yield self.env.timeout(self.time(self.back) if self.back else 0)
        yield self.empties.put(1)
