"""Routes: as cheap as every combination tried one by one, and never below their bound."""

from __future__ import annotations

import itertools
import time

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.irrigation.routebound import bound
from hillwright.irrigation.routes import REACH, Field, best_routes


@st.composite
def fields(draw, most_rows=5, most_columns=4):
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    k, n = draw(st.integers(1, most_rows)), draw(st.integers(1, most_columns))
    at = np.cumsum(rng.uniform(0.4, 0.9, n))
    planted = rng.random((k, n)) < draw(st.sampled_from([0.3, 0.7, 1.0]))
    planted[:, 0] |= ~planted.any(axis=1)
    row, column = np.nonzero(planted)
    shake = draw(st.sampled_from([0.0, 0.3]))
    stations = np.concatenate([[at[0] - 0.5], at + shake / 2, [at[-1] + 0.9]])
    return Field(
        row=row,
        station=at[column] + shake * rng.random(len(row)),
        weight=rng.integers(1, 3, len(row)).astype(float),
        gap=rng.uniform(0.3, 0.6, k - 1),
        whip=0.3,
        crossing=0.45,
        longest=draw(st.sampled_from([0.4, 0.8, 4.5])),
        lateral=rng.uniform(0.5, 2),
        header=rng.uniform(1, 4),
        small=rng.uniform(0.2, 2),
        fixed=rng.uniform(1, 20),
        foot=int(rng.integers(0, k)),
        reached=rng.uniform(0, 3, len(stations)),
        stations=stations,
        strip=draw(st.sampled_from([0.1, 0.6, 1.5])),
    )


def price(field, hung, station):
    """Cost of plants hung on laterals of rows, one by one; infinite where a tube is too long."""
    s, cost = field.stations[station], field.reached[station]
    used = sorted(set(hung))
    down = np.concatenate([[0.0], np.cumsum(field.gap)])
    for c in used:
        at = field.station[np.array(hung) == c]
        cost += field.fixed + field.lateral * (max(at.max(), s) - min(at.min(), s))
    for row, weight, c in zip(field.row, field.weight, hung, strict=True):
        cost += field.small * weight * field.tube(abs(int(row) - c))
    points = [down[field.foot], *(down[c] for c in used)]
    return cost + field.header * (max(points) - min(points))


@settings(max_examples=60, deadline=None)
@given(field=fields())
def test_the_routes_are_the_cheapest_of_all_blocks(field):
    found = best_routes(field)
    best = np.inf
    for carrier in itertools.product(range(field.rows), repeat=field.rows):
        # blocks: rows of one lateral are neighbours, and its own row is among them
        if list(carrier) != sorted(carrier) or any(carrier[c] != c for c in carrier):
            continue
        if any(abs(c - r) > REACH for r, c in enumerate(carrier)):
            continue
        hung = [carrier[r] for r in field.row]
        best = min(best, *(price(field, hung, s) for s in range(len(field.stations))))
    assert found.cost <= best * (1 + 1e-12)
    station = int(np.argmin(np.abs(field.stations - found.station)))
    own = price(field, [int(found.carrier[r]) for r in field.row], station)
    assert own <= found.cost * (1 + 1e-12)


@settings(max_examples=60, deadline=None)
@given(field=fields(3, 3))
def test_no_hanging_of_single_plants_goes_below_the_bound(field):
    floor = bound(field)
    assert floor > 0
    best = np.inf
    for hung in itertools.product(range(field.rows), repeat=len(field.row)):
        best = min(best, *(price(field, hung, s) for s in range(len(field.stations))))
    assert floor <= best * (1 + 1e-9)
    assert floor <= best_routes(field).cost * (1 + 1e-9)


def block(rows, columns):
    row, column = np.nonzero(np.ones((rows, columns)))
    at = 0.6 * np.arange(columns)
    return Field(
        row, at[column], np.ones(len(row)), np.full(rows - 1, 0.45), 0.35, 0.45, 4.5,
        1.2, 2.65, 0.8, 19.0, rows - 1, np.zeros(columns), at, 0.6,
    )  # fmt: skip


def test_a_full_field_of_many_rows_comes_close_to_its_bound():
    found = best_routes(block(25, 20))
    assert found.bound <= found.cost <= 1.15 * found.bound
    # every lateral serves neighbours on both sides where that saves a take-off
    assert len(set(found.carrier.tolist())) < 25


def test_where_small_tubing_cannot_cross_every_row_carries_its_own():
    field = block(6, 5)
    narrow = Field(**{f: getattr(field, f) for f in field.__slots__} | {"longest": 0.4})
    assert best_routes(narrow).carrier.tolist() == list(range(6))


if __name__ == "__main__":
    for n in ((25, 20), (40, 30)):
        start = time.perf_counter()
        found = best_routes(block(*n))
        print(n, time.perf_counter() - start, found.cost, found.bound, found.carrier)
