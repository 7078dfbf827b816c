"""A first look at another emitter: along the ways of the run before, and only where they hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from slopes import hill

from hillwright.digest import digest
from hillwright.irrigation.asked import assumed_needs, supply_of, wishes_of
from hillwright.irrigation.stage import irrigate
from hillwright.job.drip import DripText, EmitterText, SupplyText


class Look:
    """Takes first looks."""

    def __init__(self):
        self.kept, self.seen = {}, []

    def __call__(self, result):
        self.seen.append(result)


@pytest.fixture
def garden():
    mask = np.ones((6, 12), bool)
    mask[2:4, 5:7] = False
    return hill(6, 12, mask=mask)


def run(layout, early=None, flow="0.5 gal/h", shut=None, **wishes):
    emitter = EmitterText(name="own", flow=flow, pressure="10 psi", highest="50 psi")
    needs = assumed_needs(layout)
    supply = supply_of(SupplyText(), None, layout, needs)
    asked = wishes_of(DripText(**wishes), (emitter,), (), 0.1)
    return irrigate(layout, needs, supply, asked, shut, early)


def test_the_first_run_has_nothing_to_look_at(garden):
    look = Look()
    run(garden, look)
    assert not look.seen


def test_another_emitter_is_seen_at_once_along_the_same_ways(garden):
    look = Look()
    before = run(garden, look)
    after = run(garden, look, "0.7 gal/h")
    (first,) = look.seen
    assert [v.carriers for v in first.valves] == [v.carriers for v in before.valves]
    for v, w in zip(first.valves, after.valves, strict=True):
        assert np.array_equal(v.plants, w.plants)
        assert v.flow == pytest.approx(w.flow)
        assert v.cost >= w.bound - 1e-9
        assert v.bound == pytest.approx(w.bound)
        assert (v.low.outlet_flow > 0).all()


def test_what_comes_after_a_look_does_not_hang_on_it(garden):
    look = Look()
    run(garden, look)
    assert digest(run(garden, look, "0.7 gal/h")) == digest(run(garden, flow="0.7 gal/h"))


@pytest.mark.parametrize("change", [{"longest_tube": "0.6 m"}, {"beside": False}])
def test_other_rules_for_the_ways_allow_no_look(garden, change):
    look = Look()
    run(garden, look)
    run(garden, look, **change)
    assert not look.seen


def test_other_ground_or_a_place_to_keep_off_allows_no_look(garden):
    look = Look()
    run(garden, look)
    run(replace(garden, corners=garden.corners + 1.0), look)
    assert not look.seen
    run(garden, look, shut=(np.array([[0.0, 0.0], [0.1, 0.0], [0.1, -0.1]]),))
    assert not look.seen
    run(garden, look, "0.7 gal/h")  # back on the ground of before
    assert len(look.seen) == 1
