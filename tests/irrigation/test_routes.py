"""Routes: as cheap as every combination tried one by one, and never below their bound."""

from __future__ import annotations

import itertools
import time

import numpy as np
import pytest
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
        **draw(st.sampled_from([{}, shut(rng, k, len(stations))])),
    )


def shut(rng, rows, stations):
    """Shut some ways of the header, but never those past the left end."""
    down, along = rng.random((rows - 1, stations)) < 0.7, rng.random((rows, stations - 1)) < 0.7
    down[:, 0], along[:, 0] = True, True
    return {"down": down, "along": along}


def climbs(field, stations):
    """Least cost of a header through take-offs {row: station}, the tap joined at the foot's row.

    Tried one by one: the station at which it comes down into each row.
    """
    k, s = field.rows, len(field.stations)
    rows = sorted(stations)
    top, end = min(rows[0], field.foot), max(rows[-1], field.foot)
    x, h = field.stations, field.header
    free = np.ones((k - 1, s), bool) if field.down is None else field.down
    open_ = np.ones((k, s - 1), bool) if field.along is None else field.along

    def along(r, a, b):
        lo, hi = min(a, b), max(a, b)
        return h * (x[hi] - x[lo]) if open_[r, lo:hi].all() else np.inf

    def visits(r, a, b):
        """Least way along row r from a to b by its take-off and the tap, in either order."""
        stops = [stations[r]] if r in stations else []
        best = np.inf
        for t in range(s) if r == field.foot else [None]:
            here = stops + ([] if t is None else [t])
            for order in itertools.permutations(here):
                way = [a, *order, b]
                long = sum(along(r, p, q) for p, q in itertools.pairwise(way))
                best = min(best, long + (0.0 if t is None else field.reached[t]))
        return best

    cost = dict.fromkeys(range(s), 0.0)  # by the station where row `top` is begun
    for r in range(top, end + 1):
        out = {b: min(cost[a] + visits(r, a, b) for a in cost) for b in range(s)}
        if r == end:
            return min(out.values())
        cost = {b: out[b] + h * field.gap[r] for b in out if free[r, b]}
        if not cost:
            return np.inf
    return np.inf


def price(field, hung, leaves):
    """Cost of plants hung on laterals of rows, one by one, each leaving the header at a station."""
    cost = climbs(field, leaves)
    for c, station in leaves.items():
        at, s = field.station[np.array(hung) == c], field.stations[station]
        cost += field.fixed + field.lateral * (max(at.max(), s) - min(at.min(), s))
    for row, weight, c in zip(field.row, field.weight, hung, strict=True):
        cost += field.small * weight * field.tube(abs(int(row) - c))
    return cost


def all_leaves(field, hung):
    used = sorted(set(hung))
    for stations in itertools.product(range(len(field.stations)), repeat=len(used)):
        yield dict(zip(used, stations, strict=True))


@settings(max_examples=25, deadline=None)
@given(field=fields(4, 2))
def test_the_routes_are_the_cheapest_of_all_blocks_and_all_headers(field):
    found = best_routes(field)
    best = np.inf
    for carrier in itertools.product(range(field.rows), repeat=field.rows):
        # blocks: rows of one lateral are neighbours, and its own row is among them
        if list(carrier) != sorted(carrier) or any(carrier[c] != c for c in carrier):
            continue
        if any(abs(c - r) > REACH for r, c in enumerate(carrier)):
            continue
        hung = [carrier[r] for r in field.row]
        best = min(best, *(price(field, hung, leaves) for leaves in all_leaves(field, hung)))
    assert found.cost == pytest.approx(best, rel=1e-9)
    leaves = {
        c: int(np.argmin(np.abs(field.stations - found.leaves[c])))
        for c in set(found.carrier.tolist())
    }
    assert price(field, [int(found.carrier[r]) for r in field.row], leaves) <= found.cost + 1e-9


@settings(max_examples=40, deadline=None)
@given(field=fields(6, 4))
def test_the_header_laid_costs_what_was_promised_and_passes_every_take_off(field):
    found = best_routes(field)
    down = np.concatenate([[0.0], np.cumsum(field.gap)])
    long = sum(
        abs(down[b[0]] - down[a[0]]) + abs(b[1] - a[1]) for a, b in itertools.pairwise(found.header)
    )
    cost = field.header * long
    row, station = found.header[found.joined]
    assert row == field.foot
    cost += field.reached[int(np.argmin(np.abs(field.stations - station)))]
    for c in sorted(set(found.carrier.tolist())):
        assert (c, found.leaves[c]) in found.header
        at = field.station[found.carrier[field.row] == c]
        s = found.leaves[c]
        cost += field.fixed + field.lateral * (max(at.max(), s) - min(at.min(), s))
    for row, weight in zip(field.row, field.weight, strict=True):
        cost += field.small * weight * field.tube(abs(int(row) - int(found.carrier[row])))
    assert cost == pytest.approx(found.cost)


@settings(max_examples=30, deadline=None)
@given(field=fields(3, 2))
def test_no_hanging_of_single_plants_goes_below_the_bound(field):
    floor = bound(field)
    assert floor > 0
    best = np.inf
    for hung in itertools.product(range(field.rows), repeat=len(field.row)):
        best = min(best, *(price(field, hung, leaves) for leaves in all_leaves(field, hung)))
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
