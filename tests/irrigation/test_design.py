"""Emitters, valves, supply and uniformity: the rules hold, and refusals bring the remedy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import OutOfRange
from hillwright.irrigation.choose import choose_emitters
from hillwright.irrigation.emitterrules import clogging_hazard, uniformity_class
from hillwright.irrigation.parts import emitter_types, head_of_psi, tubing
from hillwright.irrigation.soilrules import cycle_soak, wetted_area
from hillwright.irrigation.supply import Supply, backflow_assembly, flow_at_hand, losses
from hillwright.irrigation.uniformity import low_quarter, statistical_uniformity
from hillwright.irrigation.zones import bands

TYPES = tuple(t for t in emitter_types() if t.compensating)
WET = wetted_area("medium")


@given(need=st.lists(st.floats(0.2e-3, 20e-3), min_size=1, max_size=12))
def test_every_plant_gets_its_need_and_the_valve_closes_in_time(need):
    demand = np.array(need)
    found = choose_emitters(demand, np.full(len(demand), 0.27), TYPES, 7200.0, WET, 0.5)
    assert (found.given >= demand * (1 - 1e-9)).all()
    assert found.run <= 7200
    assert (found.count >= 1).all()


def test_a_plant_of_twice_the_need_gets_twice_the_flow():
    demand = np.array([1.8e-3, 3.6e-3])
    found = choose_emitters(demand, np.full(2, 0.27), TYPES, 7200.0, WET, 0.5)
    assert found.given[1] == pytest.approx(2 * found.given[0])


def test_a_coarse_soil_needs_more_emitters_than_a_fine_one():
    area = np.full(1, 1.0)
    many = [
        int(choose_emitters(np.array([1e-3]), area, TYPES, 7200.0, wetted_area(t), 0.5).count[0])
        for t in ("coarse", "fine")
    ]
    assert many[0] > many[1]


def test_a_plant_that_no_emitter_can_water_is_refused_with_the_time_it_takes():
    with pytest.raises(OutOfRange, match="let the valve run"):
        choose_emitters(np.array([0.5]), np.array([0.27]), TYPES, 3600.0, WET, 0.5)


@given(
    flow=st.lists(st.floats(0.1, 1.0), min_size=1, max_size=15),
    most=st.floats(1.0, 4.0),
    band=st.floats(0.5, 4.0),
)
def test_valves_keep_flow_and_height_and_follow_the_rows(flow, most, band):
    q, height = np.array(flow), -0.3 * np.arange(len(flow))
    zone = bands(q, height, most, band)
    assert (np.diff(zone) >= 0).all()
    assert set(zone) == set(range(int(zone.max()) + 1))
    for k in set(zone):
        assert q[zone == k].sum() <= most * (1 + 1e-9)
        assert np.ptp(height[zone == k]) <= band + 1e-9


def test_a_row_that_takes_more_than_there_is_says_what_would_do():
    with pytest.raises(OutOfRange, match="find a supply of"):
        bands(np.array([1e-4, 9e-4]), np.zeros(2), 5e-4, 5.0)


def supply(**changed):
    base = {
        "low": head_of_psi(50), "high": head_of_psi(65), "flow": 6e-4, "meter": "3/4",
        "service_length": 20.0, "service_bore": 0.02, "elevation": 0.0, "place": (0.0, 0.0),
        "assembly": "",
    }  # fmt: skip
    return Supply(**(base | changed))


def test_the_least_of_bucket_and_meter_is_at_hand():
    assert flow_at_hand(supply())[0] == pytest.approx(0.75 * 6e-4)
    assert flow_at_hand(supply(flow=None))[0] == pytest.approx(15 * 3.785411784e-3 / 60)
    with pytest.raises(OutOfRange, match="time a bucket"):
        flow_at_hand(supply(flow=None, meter=""))


@given(a=st.floats(1e-5, 1e-3), b=st.floats(1e-5, 1e-3))
def test_more_flow_never_loses_less_before_the_valve(a, b):
    low, high = sorted((a, b))
    lost = [sum(x.head for x in losses(supply(), q, "double check")) for q in (low, high)]
    assert lost[0] <= lost[1]


def test_a_vacuum_breaker_must_stand_over_the_highest_outlet():
    assert backflow_assembly(0.0, 0.31) == "pressure vacuum breaker"
    assert backflow_assembly(0.0, 0.30) == "reduced pressure assembly"
    assert backflow_assembly(0.0, 0.16, "atmospheric vacuum breaker").startswith("atmospheric")
    with pytest.raises(OutOfRange, match="at the top of the hill"):
        backflow_assembly(3.0, 0.0, "pressure vacuum breaker")


@given(catch=st.lists(st.floats(0.1, 10), min_size=1, max_size=40), k=st.floats(0.1, 5))
def test_uniformity_is_at_most_1_and_knows_no_unit(catch, k):
    found = low_quarter(catch)
    assert 0 < found <= 1 + 1e-12
    assert low_quarter(k * np.array(catch)) == pytest.approx(found)


# 15 catches of the reference notes: the rule for n/4 decides by a quarter
def test_the_rule_for_a_quarter_is_kept():
    catch = [*([2.0] * 3), 5.0, *([8.0] * 11)]
    by = {rule: low_quarter(catch, rule) for rule in ("down", "up", "share")}
    assert by["down"] < by["share"] < by["up"]


def test_plugging_is_the_variance_of_emitters_that_are_shut():
    rng = np.random.default_rng(0)
    n, c, v = 2, 0.1, 0.07
    plants = (rng.normal(1, v, (400_000, n)) * (rng.random((400_000, n)) >= c)).mean(axis=1)
    found = statistical_uniformity(np.ones(9), v, n, c)
    assert found.total == pytest.approx(plants.std() / plants.mean(), rel=0.01)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: statistical_uniformity([1.0], 0.05, 1, 1.0), "no emitter open"),
        (lambda: low_quarter([]), "holds nothing"),
        (lambda: uniformity_class(1.2), "uniformity"),
        (lambda: clogging_hazard("irn", 1.0), "factor"),
        (lambda: cycle_soak(1e-5, 1e-6, 0.0, 0.01), "asa"),
        (lambda: wetted_area("loamm"), "did you mean loam"),
    ],
)
def test_what_is_outside_is_refused_by_name(call, said):
    with pytest.raises(OutOfRange, match=said):
        call()


def test_a_rate_that_the_soil_takes_in_needs_no_cycles():
    found = cycle_soak(1e-6, 2e-6, 0.0, 0.01)
    assert found.cycles == 1
    assert found.soak == 0


def test_the_catalogue_says_that_it_is_invented_and_every_part_makes_sense():
    from hillwright.data import table

    data = table("irrigation_catalogue")
    assert all(data[k]["status"] == "invented" for k in data)
    for t in emitter_types():
        assert 0 < t.lowest <= t.at <= t.highest
        assert t.nominal > 0
    assert [t.bore for t in tubing()] == sorted(t.bore for t in tubing())
