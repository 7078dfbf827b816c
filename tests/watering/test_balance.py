"""The daily balance: nothing is lost, nothing is made, and more water never stresses a plant."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillwright.watering.balance import MONTH_OF_DAY, closure, water_balance
from hillwright.watering.soilstore import depletion_fraction, stress

CELLS = st.lists(
    st.tuples(st.floats(0.002, 0.2), st.floats(0.1, 0.8), st.floats(0, 1.3)),
    min_size=1,
    max_size=6,
)


def garden(cells):
    taw, p, factor = (np.array(v) for v in zip(*cells, strict=True))
    return taw, p, np.tile(factor, (12, 1))


def weather(seed, days=200):
    rng = np.random.default_rng(seed)
    reference = rng.uniform(0, 0.011, days)
    rain = np.where(rng.random(days) < 0.2, rng.exponential(0.02, days), 0.0)
    return reference, rain, rng


@settings(max_examples=60)
@given(CELLS, st.integers(0, 10_000), st.integers(1, 3), st.floats(0, 0.02))
def test_the_balance_of_every_cell_closes(cells, seed, parts, most):
    taw, p, factor = garden(cells)
    reference, rain, rng = weather(seed)
    irrigation = rng.uniform(0, most, (len(rain), len(taw)))
    start = rng.uniform(0, 1, len(taw)) * taw
    share = rng.dirichlet(np.ones(parts), size=(2, 12, len(taw))).transpose(0, 3, 1, 2)
    season = water_balance(
        MONTH_OF_DAY[: len(rain)], reference, rain[:, None], factor, irrigation, taw, p, start,
        *share,
    )  # fmt: skip
    assert np.abs(closure(season)).max() < 1e-9
    assert (season.used >= 0).all()
    assert (season.deep >= 0).all()
    assert (season.end >= 0).all()
    assert (season.end <= taw + 1e-12).all()
    assert season.applied.sum() == pytest.approx(irrigation.sum())
    assert season.rain.sum() == pytest.approx(rain.sum() * len(taw))


@settings(max_examples=40)
@given(CELLS, st.integers(0, 10_000), st.floats(0, 0.01), st.floats(0, 0.01))
def test_more_water_never_makes_a_cell_drier(cells, seed, one, other):
    taw, p, factor = garden(cells)
    reference, rain, _ = weather(seed)
    little, much = sorted((one, other))
    a, b = (
        water_balance(
            MONTH_OF_DAY[: len(rain)], reference, rain[:, None], factor,
            np.full((len(rain), len(taw)), each), taw, p,
        )
        for each in (little, much)
    )  # fmt: skip
    assert (b.stress_days.sum(axis=0) <= a.stress_days.sum(axis=0)).all()
    assert (b.end <= a.end + 1e-12).all()


def test_a_few_days_are_those_of_the_equations_by_hand():
    taw, p5, kc = 0.040, 0.5, 1.0
    reference = np.array([0.006, 0.006, 0.006, 0.006, 0.006, 0.006])
    season = water_balance(
        np.zeros(6, dtype=int), reference, np.zeros((6, 1)), np.full((12, 1), kc),
        np.zeros((6, 1)), np.array([taw]), np.array([p5]),
    )  # fmt: skip
    d = used = 0.0
    for et in reference:
        p = float(depletion_fraction(p5, et / 86400))
        ks = float(stress(d, taw, p))
        d += ks * et
        used += ks * et
    assert float(season.end[0]) == pytest.approx(d, rel=1e-12)
    assert float(season.used.sum()) == pytest.approx(used, rel=1e-12)


def test_a_store_that_is_filled_each_day_never_stresses_and_loses_the_rest():
    season = water_balance(
        np.zeros(30, dtype=int), np.full(30, 0.005), np.zeros((30, 1)), np.ones((12, 1)),
        np.full((30, 1), 0.008), np.array([0.05]), np.array([0.5]),
    )  # fmt: skip
    assert season.stress_days.sum() == 0
    assert float(season.used.sum()) == pytest.approx(30 * 0.005)
    assert float(season.deep.sum()) == pytest.approx(30 * 0.008 - 30 * 0.005 + season.end[0])


def test_no_water_at_all_ends_at_the_wilting_point_and_no_lower():
    season = water_balance(
        MONTH_OF_DAY, np.full(366, 0.008), np.zeros((366, 1)), np.ones((12, 1)),
        np.zeros((366, 1)), np.array([0.03]), np.array([0.4]),
    )  # fmt: skip
    assert float(season.end[0]) == pytest.approx(0.03, abs=1e-6)
    assert float(season.used.sum()) == pytest.approx(0.03, abs=1e-6)
