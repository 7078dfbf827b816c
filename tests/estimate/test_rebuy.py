"""What more soil costs: whole bags, loads and packs, bought anew for every volume that is drawn."""

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.estimate.ladder import sums
from hillwright.estimate.model import TakeoffLine
from hillwright.estimate.order import Bought, OrderLine
from hillwright.estimate.packs import cheapest_packs
from hillwright.estimate.rebuy import cost_share, least_costs
from hillwright.estimate.risk import SHARES, simulate, unsure
from hillwright.estimate.triangle import triangular_quantile
from hillwright.job.estimate import EstimateText

PRICE = Decimal("6.50")


def bought(lots, unit="each", sizes=((1.0, 6.5),), ordered=None):
    """One line of soil, from packs of which the first is bought, at a price that is sure."""
    count = sum(math.ceil(x) for x in lots) if lots else ordered
    packs = Decimal(math.ceil((ordered or count) / sizes[0][0]))
    kind = "delivery" if unit == "load" else "material"
    line = TakeoffLine("topsoil", count, unit, "", (), "", kind, works=("fill",),
                       ordered=count, lots=tuple(lots))  # fmt: skip
    each = Decimal(str(sizes[0][1]))
    row = Bought(packs, sizes[0][0], unit, "", each, each, each, packs * each, 1, True)
    return OrderLine(line, (row,), "", sizes=sizes)


def ranged(order, spread="15 %"):
    said = EstimateText(soil_spread=spread, contingency="none", built="owner")
    s = sums((order,), said, "owner", Decimal(0), 2)
    return simulate([unsure((order,), s, said, None, {})], said, 0.0)[0]


@given(
    need=st.floats(0.01, 40),
    packs=st.lists(st.tuples(st.floats(1, 20), st.floats(0.5, 90)), min_size=1, max_size=3),
)
def test_the_least_cost_of_a_need_is_that_of_the_packs_that_the_order_buys(need, packs):
    sizes, prices = zip(*packs, strict=True)
    counts = cheapest_packs(need, sizes, prices)
    (cost,) = least_costs(np.array([need]), sizes, prices)
    assert cost == pytest.approx(sum(n * p for n, p in zip(counts, prices, strict=True)))


@given(st.lists(st.floats(0, 60), min_size=2, max_size=30).map(sorted))
def test_more_is_never_cheaper(needs):
    assert (np.diff(least_costs(np.array(needs), (0.5, 3.0), (20.0, 90.0))) >= -1e-9).all()


def test_each_percentile_of_a_lumpy_item_is_a_whole_number_of_packs_times_its_price():
    found = ranged(bought((85.7,)))
    # the volume alone is not sure, so that its percentile gives the bags' in closed form
    volume = triangular_quantile(0.85, 1.0, 1.15, SHARES)
    whole = np.ceil(85.7 * volume) * float(PRICE)
    assert found.quantile == pytest.approx(whole, abs=1e-9)
    assert found.quantile[1] == 86 * PRICE
    assert set(np.unique(np.round(found.drawn / float(PRICE), 9) % 1)) == {0.0}


def test_a_load_that_is_nearly_full_takes_one_more_where_the_soil_is_a_little_more():
    nearly, hardly = (
        ranged(bought((lot,), "load", ((1.0, 75.0),)), "10 %") for lot in (2.98, 2.55)
    )
    assert set(np.unique(nearly.drawn)) == {225.0, 300.0}
    assert set(np.unique(hardly.drawn)) == {225.0}  # 2.3 to 2.8 loads are three
    assert nearly.base == hardly.base == 225.0
    assert nearly.drivers[0].name == "volume of soil and mulch"
    assert (nearly.drivers[0].low, nearly.drivers[0].high) == pytest.approx((0.0, 75.0))


def test_each_good_is_rounded_up_to_loads_of_its_own():
    one, two = bought((1.9,), "load"), bought((0.95, 0.95), "load")
    times = np.array([1.0, 1.06, 0.5])
    assert 2 * cost_share(one, times) == pytest.approx([2.0, 3.0, 1.0])
    assert 2 * cost_share(two, times) == pytest.approx([2.0, 4.0, 2.0])


def test_what_is_sold_by_the_half_is_bought_by_the_half():
    order = bought((), "m3", ((0.5, 20.0),), ordered=4.9)
    cost = 200 * cost_share(order, np.array([1.0, 1.03, 0.9]))
    assert cost == pytest.approx([200.0, 220.0, 180.0])


def test_packs_of_poor_value_are_laid_out_only_as_far_as_they_can_save():
    sizes, prices = (0.01, 1.0, 0.02), (0.9, 6.5, 1.7)  # a spoonful, a bag, a cup
    (cost,) = least_costs(np.array([900.03]), sizes, prices)
    assert cost == pytest.approx(900 * 6.5 + 0.9 + 1.7)


def test_too_many_mixes_of_packs_to_lay_out_cost_in_proportion():
    cost = least_costs(np.array([1e4, 2e4]), (0.5, 0.7), (1.0, 1.4))
    assert cost[1] == pytest.approx(2 * cost[0])
    assert cost[0] == pytest.approx(1e4 * 2)
