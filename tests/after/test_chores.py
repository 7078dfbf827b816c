"""Chores of the examples: each from what the plan has, none of what it has not."""

import csv
import io
import itertools

import pytest
import vobject

from hillwright.after import chores
from hillwright.sheets.upkeep import begins, upkeep_csv, upkeep_ics, upkeep_sheets


def by_key(plan):
    return {c.key: c for c in plan.upkeep.chores}


def test_every_chore_says_what_when_why_and_where_that_comes_from(example):
    found = example.upkeep.chores
    assert len({c.key for c in found}) == len(found) > 15
    for c in found:
        assert c.what
        assert c.why
        assert c.where
        assert c.source
        assert c.months
        assert len(set(c.months)) == len(c.months)
        assert set(c.months) <= set(range(1, 13))


def test_soil_to_top_up_is_what_settling_takes(example):
    more = example.fill.total_loose - example.fill.total_settled
    assert example.workings["after.top_up"].result.value == pytest.approx(more)
    assert f"{more:.2f} m3" in by_key(example)["top-up"].much
    assert by_key(example)["top-up"].first_year


def test_bars_are_looked_at_where_there_are_bars(example):
    found, bars = by_key(example), example.stability.anchoring
    assert ("bars" in found) == bool(len(bars.place))
    if len(bars.place):
        assert f"{len(bars.place)} bar" in found["bars"].much
        assert found["bars"].months[0] == example.upkeep.rainy[0]
        assert found["bars"].storms
        assert "engineer" in found["bars"].caution


def test_drains_are_cleared_before_the_rain_comes(example):
    found = by_key(example)
    drains = {f"drain-{d.key}" for d in example.drainage.drains}
    assert {k for k in found if k.startswith("drain-")} == drains
    for key in drains:
        first, *rest = found[key].months
        assert rest[0] == example.upkeep.rainy[0] or len(example.upkeep.rainy) == 12
        assert first == (example.upkeep.rainy[0] - 2) % 12 + 1


def test_laterals_are_flushed_and_the_controller_is_set_for_the_water_of_the_month(example):
    found, program = by_key(example), example.watering.program
    laterals = sum(len(v.carriers) for v in example.irrigation.valves)
    assert f"{laterals} lateral" in found["flush"].much
    for m in range(12):
        litres = 1000 * float(program.volume[:, m].sum())
        assert (f"controller-{m + 1}" in found) == (litres > 0)
        if litres:
            assert f"{litres:.0f} litres" in found[f"controller-{m + 1}"].much


def test_harvest_is_in_the_months_of_the_planting(example):
    planting, found = example.planting, by_key(example)
    for m in range(1, 13):
        names = {
            planting.plants[k].common
            for k in range(len(planting.plants))
            if planting.count[k] and m in planting.harvest_months[k]
        }
        told = found[f"harvest-{m}"].where if f"harvest-{m}" in found else ""
        assert {n for n in names if n in told} == names
        assert bool(names) == bool(told)


def test_nothing_is_pruned_twice_and_all_that_is_woody_is(example):
    planting, found = example.planting, by_key(example)
    woody = [
        f"{p.common} ({int(planting.count[k])})"
        for k, p in enumerate(planting.plants)
        if planting.count[k] and p.life in ("tree", "shrub", "vine")
    ]
    told = "; ".join(found[k].where for k in ("prune", "prune-bloom") if k in found)
    assert sorted(told.split("; ")) == sorted(woody) if woody else not told


def test_the_table_has_a_line_for_each_month_of_each_chore(example):
    rows = list(csv.DictReader(io.StringIO(upkeep_csv(example))))
    assert len(rows) == sum(len(c.months) for c in example.upkeep.chores)
    assert all(r["what"] and r["why"] and r["source"] for r in rows)


def test_the_calendar_is_read_by_another_library_with_every_chore_every_year(example):
    calendar = vobject.readOne(upkeep_ics(example))
    events = calendar.vevent_list
    assert len(events) == sum(len(c.months) for c in example.upkeep.chores)
    assert len({e.uid.value for e in events}) == len(events)
    year, month = begins(example)
    keys = {(c.what, m): c for c in example.upkeep.chores for m in c.months}
    for event in events:
        first = event.dtstart.value
        assert first.day == 1
        assert (first.year, first.month) >= (year, month)
        chore = keys[event.summary.value, first.month]
        if chore.first_year:
            assert not hasattr(event, "rrule")
        else:
            again = list(itertools.islice(event.getrruleset(addRDate=True), 3))
            assert [d.year - first.year for d in again] == [0, 1, 2]
            assert {d.month for d in again} == {first.month}
    assert upkeep_ics(example) == upkeep_ics(example)


def test_the_sheets_show_every_chore_in_its_months(example):
    glance, monthly = upkeep_sheets(example)
    year = next(b for b in glance.blocks if getattr(b, "heading", "").startswith("The year"))
    marks = {row[0]: {m for m, x in enumerate(row[1:], 1) if x} for row in year.rows}
    for c in example.upkeep.chores:
        assert set(c.months) <= marks[c.what]
    tables = [b for b in monthly.blocks if hasattr(b, "rows")]
    assert sum(len(t.rows) for t in tables) == sum(len(c.months) for c in example.upkeep.chores)


def test_shares_and_sources_come_from_the_table():
    assert 0 < chores.share("mulch_renewed") <= 1
    assert "no source" in chores.source("practice")
