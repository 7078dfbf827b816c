"""The whole stage: every plant is watered, limits hold, and trouble is told with its remedy."""

from __future__ import annotations

import numpy as np
import pytest
from engine import run
from hypothesis import given, settings
from hypothesis import strategies as st
from slopes import RUN, WIDTH, hill

from hillwright.irrigation.asked import assumed_needs, emitter_of, supply_of, water_plants
from hillwright.irrigation.model import Needs
from hillwright.irrigation.parts import UNIT_WEIGHT, head_of_psi
from hillwright.irrigation.solve import WATER_20C
from hillwright.job.drip import DripText, EmitterText, SupplyText, TubingText
from hillwright.sheets.inp import inp

PSI = 6894.757293168


def watered(layout, supply=None, wishes=None, emitters=(), tubing=(), needs=None, tap=None):
    return water_plants(
        layout,
        tap,
        supply or SupplyText(),
        wishes or DripText(),
        emitters,
        tubing,
        0.1,
        needs=needs,
    )


@settings(max_examples=12, deadline=None)
@given(
    rows=st.integers(1, 12),
    columns=st.integers(1, 10),
    planted=st.sampled_from([0.3, 1.0]),
    steep=st.sampled_from([0.1, 0.6]),
    kind=st.sampled_from(["compensating", "turbulent"]),
    seed=st.integers(0, 99),
)
def test_every_plant_has_an_emitter_and_gets_its_need(rows, columns, planted, steep, kind, seed):
    layout = hill(rows, columns, steep)
    rng = np.random.default_rng(seed)
    cells = np.flatnonzero(rng.random(rows * columns) < planted)
    needs = Needs(cells, rng.uniform(1e-3, 4e-3, len(cells)), ("one",) * len(cells), "drawn")
    drip = watered(layout, wishes=DripText(emitters=kind), needs=needs)
    assert drip.refused == ()
    got = np.zeros(rows * columns)
    for v in drip.valves:
        np.add.at(got, v.punches.cell, v.low.outlet_flow * v.run)
        assert v.low.continuity < 1e-9
        assert v.low.velocity.max() <= 5.001 * 0.3048
        assert v.bound <= v.cost * (1 + 1e-9)
        assert v.pipe_bound <= v.pipe_cost * (1 + 1e-9)
        assert v.flow <= drip.at_hand * (1 + 1e-9)
        assert (v.punches.distance[1:] >= 0).all()
    if not drip.trouble:
        short = 1.0 if kind == "compensating" else 0.9  # turbulent ones vary about their mean
        assert (got[cells] >= needs.demand * short * (1 - 1e-6)).all()
    assert (got[np.setdiff1d(np.arange(rows * columns), cells)] == 0).all()


@pytest.mark.parametrize("kind", ["compensating", "turbulent"])
def test_the_public_engine_runs_the_file_of_a_planned_valve_to_the_same_flows(kind, tmp_path):
    drip = watered(hill(10, 8), wishes=DripText(emitters=kind))
    for v in drip.valves:
        path = tmp_path / f"v{v.number}.inp"
        path.write_text(inp(v.network, v.low, "test", WATER_20C))
        _, flows = run(path, len(v.network.parent))
        at = v.network.outlets.node
        leaves = flows[at]
        assert np.abs(leaves / v.low.outlet_flow - 1).max() < 1e-4


def test_hydrozones_have_valves_of_their_own():
    layout = hill(6, 6)
    base = assumed_needs(layout)
    zone = tuple("dry" if r < 4 else "wet" for r in layout.row)
    drip = watered(layout, needs=Needs(base.cell, base.demand, zone, "two"))
    assert [v.zone for v in drip.valves] == ["dry", "wet"]


def test_a_flow_too_small_for_all_makes_more_valves():
    one = watered(hill(8, 8), SupplyText(flow="36 L/min"))
    many = watered(hill(8, 8), SupplyText(flow="0.9 L/min"))
    assert len(one.valves) == 1
    assert len(many.valves) > 1


def test_turbulent_emitters_on_a_tall_slope_are_cut_by_height():
    drip = watered(hill(25, 4, 0.8), wishes=DripText(emitters="turbulent"))
    assert len(drip.valves) > 1
    for v in drip.valves:
        assert v.uniformity > 0.85


def test_no_pressure_at_the_top_says_how_much_booster_would_do():
    drip = watered(hill(20, 5), SupplyText(pressure=["30 psi", "40 psi"]))
    assert {t[0] for t in drip.trouble} == {"supply.pressure"}
    # a booster of that much, and the trouble is gone; one of a little less, and it is not
    more = float(drip.warnings[0].split("booster of at least ")[1].split(" m")[0])
    for off, works in ((0.0, True), (-0.35, False)):
        better = [f"{(p * PSI + (more + off) * UNIT_WEIGHT) / 1e3} kPa" for p in (30, 40)]
        assert (watered(hill(20, 5), SupplyText(pressure=better)).trouble == ()) == works


def test_no_pressure_at_the_top_says_which_rows_can_be_watered_as_it_is():
    layout, supply = hill(40, 5), SupplyText(pressure=["38 psi", "48 psi"])
    said = watered(layout, supply).warnings[0]
    first, last = said.split("or water only rows ")[1].split(" from this tap")[0].split(" to ")
    base = assumed_needs(layout)
    for off, works in ((0, True), (-3, False)):
        kept = layout.row[base.cell] >= int(first) + off
        needs = Needs(base.cell[kept], base.demand[kept], ("all plants",) * int(kept.sum()), "low")
        assert bool(watered(layout, supply, needs=needs).valves) == works
    assert int(last) == 40


def test_without_pressure_nothing_stands_as_if_it_could_be_built():
    drip = watered(hill(20, 5), SupplyText(pressure=["8 psi", "12 psi"]))
    assert drip.valves == ()
    assert drip.parts == ()
    said = " ".join(drip.warnings)
    assert "even the lowest of these rows" in said
    for nonsense in ("-0.0", " 0.0 m", "-1"):
        assert nonsense not in said


def test_a_valve_too_tall_for_its_emitters_is_cut_in_two():
    own = EmitterText(name="own", flow="2 L/h", pressure="15 psi", highest="24 psi")
    drip = watered(hill(24, 4, 0.8), SupplyText(pressure=["80 psi", "90 psi"]), emitters=(own,))
    assert drip.refused == ()
    assert len(drip.valves) > 1
    for v in drip.valves:
        assert v.high.outlet_pressure.max() <= v.types[0].highest + 1e-6
        assert v.low.outlet_pressure.min() >= v.types[0].lowest - 1e-6


def test_emitters_of_too_narrow_a_range_are_told_once_with_all_their_rows():
    own = EmitterText(name="own", flow="2 L/h", pressure="15 psi", highest="18 psi")
    drip = watered(hill(15, 6), emitters=(own,))
    ((where, what, right),) = drip.refused
    assert where == "irrigation.emitters"
    assert "of rows 1 and 10 to 15 find no regulator" in what
    # 20 and 25 psi
    assert "sold for 14.1 m of water and 17.6 m of water" in what
    assert right.startswith("offer emitters or tubing of a wider range of pressure: more than 3.5")


def test_a_row_over_the_supply_says_what_would_do():
    drip = watered(hill(3, 30), SupplyText(flow="0.48 L/min"))
    assert drip.valves == ()
    assert "find a supply of" in drip.refused[0][2]
    # every flow has its unit, so that a sheet in gallons converts both
    assert drip.refused[0][1].count("L/min") == 2


def test_a_vacuum_breaker_under_the_hill_is_refused():
    drip = watered(hill(3, 3), SupplyText(backflow="pressure vacuum breaker"))
    assert "reduced pressure assembly" in drip.refused[0][2]


def test_a_tap_over_the_hill_may_have_a_breaker():
    drip = watered(hill(3, 3), SupplyText(side="top", apart="1 m"))
    assert drip.assembly == "pressure vacuum breaker"
    assert drip.tap[2] == pytest.approx(hill(3, 3).corners.mean(axis=1)[:, 2].max() + 1.0)


def test_short_tubing_gives_every_row_its_lateral():
    drip = watered(hill(7, 5), wishes=DripText(longest_tube="0.5 m"))
    assert drip.valves[0].carriers == tuple(range(1, 8))
    wide = watered(hill(7, 5))
    assert len(wide.valves[0].carriers) < 7


def test_a_tube_that_is_too_short_for_any_stake_says_what_it_takes():
    drip = watered(hill(3, 3), wishes=DripText(longest_tube="0.2 m"))
    assert "allow 0.33 m" in drip.refused[0][2]


def test_hazen_williams_stands_beside_and_sees_less_loss():
    v = watered(hill(15, 12)).valves[0]
    assert v.beside > float(v.low.outlet_pressure.min())


def test_own_emitters_and_tubing_stand_in_place_of_the_generic_ones():
    own = EmitterText(name="mine", flow="3.6 L/h", pressure="10 psi", highest="50 psi")
    tubes = (
        TubingText(name="line", use="line", bore="16 mm", price=1.0),
        TubingText(name="thin", use="small", bore="4 mm", price=0.2),
    )
    drip = watered(hill(4, 4), emitters=(own,), tubing=tubes)
    v = drip.valves[0]
    assert {v.types[k].name for k in v.punches.kind} == {"mine"}
    assert set(v.network.bore[1:]) == {0.016, 0.004}
    assert emitter_of(own).exponent == 0.05


def test_half_of_the_demand_is_never_hidden_by_a_hill_without_plants():
    none = Needs(np.empty(0, int), np.empty(0), (), "nothing")
    drip = watered(hill(2, 2), needs=none)
    assert drip.valves == ()
    assert drip.trouble == ()


def test_a_bucket_test_and_a_gauge_leave_only_the_place_assumed():
    text = SupplyText(pressure="45 psi", bucket="19 L", bucket_time="30 s")
    layout = hill(2, 2)
    found = supply_of(text, None, layout, assumed_needs(layout))
    assert [a.split(":")[0] for a in found.assumed] == ["the place of the tap"]
    assert found.flow == pytest.approx(0.019 / 30)
    assert found.low == pytest.approx(head_of_psi(45))


def test_with_friction_counted_every_emitter_stands_within_its_range():
    drip = watered(hill(15, 12))
    for v in drip.valves:
        low = np.array([t.lowest for t in v.types])[v.punches.kind]
        high = np.array([t.highest for t in v.types])[v.punches.kind]
        assert (v.low.outlet_pressure >= low - 1e-6).all()
        assert (v.high.outlet_pressure <= high + 1e-6).all()


def test_on_a_slanting_field_the_header_steps_aside_and_is_cheaper_than_any_straight_one():
    # each five rows lie ten cells farther to the right than those above
    mask = np.zeros((20, 46), bool)
    for r in range(20):
        mask[r, 10 * (r // 5) : 10 * (r // 5) + 12] = True
    v = watered(hill(20, 46, mask=mask)).valves[0]
    header = v.at[np.array(v.part) == "header"]
    assert np.ptp(header[:, 0]) > 5 * WIDTH


def test_the_header_goes_round_a_hole_in_the_cells():
    mask = np.ones((9, 9), bool)
    mask[3:6, 2:7] = False
    layout = hill(9, 9, mask=mask)
    v = watered(layout, wishes=DripText(beside=False)).valves[0]
    part, parent = np.array(v.part), v.network.parent
    for k in np.flatnonzero(part == "header"):
        if part[parent[k]] != "header":
            continue
        for share in np.linspace(0, 1, 21):
            x, y = v.at[parent[k], :2] * (1 - share) + v.at[k, :2] * share
            row = -y / (RUN / np.hypot(1, 0.6))
            inside = 2.05 < x / WIDTH < 6.95 and 3.1 < row < 5.9
            assert not inside


def test_a_header_that_no_cells_let_through_says_what_would_do():
    apart = np.zeros((6, 8), bool)
    apart[0, :3] = apart[5, 5:] = True
    layout = hill(6, 8, mask=apart)
    kept = watered(layout, wishes=DripText(beside=False))
    assert "beside = true" in kept.refused[0][2]
    (v,) = watered(layout).valves
    assert v.carriers == (1, 6)  # no lateral lies in a row that has no cell
