"""The palette: every row usable, own rows over it; seasons in both hemispheres."""

import re

import pytest

from hillwright.data import table
from hillwright.errors import OutOfRange, SurveyError
from hillwright.job.plantlist import read_plants
from hillwright.planting.palette import (
    KINDS,
    footprint,
    palette,
    shipped,
    sun_range,
    water_class,
)
from hillwright.planting.season import (
    Season,
    bloom_months,
    growing_months,
    harvest_months,
    month_of,
    planting_window,
    said,
)

NORTH, SOUTH = Season(105, 293, False, True), Season(288, 110, True, True)


@pytest.mark.parametrize("plant", shipped(), ids=lambda p: p.id)
def test_every_plant_of_the_table_can_be_planned_with(plant):
    assert plant.kind in KINDS
    least, most = sun_range(plant.sun)
    assert 0 <= least < most
    for low, high in (plant.spacing, plant.height, plant.spread):
        assert 0 < low <= high < 20
    assert 0.1 < plant.depth < 2.5
    assert water_class(plant.factor) in (0, 1, 2)
    assert all(1 <= m <= 12 for m in (*plant.bloom, *plant.harvest))
    assert plant.annual == (plant.life == "annual")
    assert not plant.annual or plant.frost
    assert plant.source
    assert plant.status in ("verified", "memory")


def test_ids_are_there_once_and_verified_rows_say_where_they_were_seen():
    rows = table("plants")["plant"]
    assert len({r["id"] for r in rows}) == len(rows)
    assert all(r.get("seen") for r in rows if r["status"] == "verified")


def test_the_known_poisonous_are_said_to_be():
    said_so = {p.id for p in shipped() if "oisonous" in p.caution}
    assert {"rhubarb", "potato", "elderberry", "butterfly-weed", "algerian-ivy"} <= said_so


def test_small_plants_share_a_cell_and_wide_ones_take_several():
    by_id = {p.id: p for p in shipped()}
    lettuce = footprint(by_id["lettuce"], 0.6, 0.45)  # 0.2 to 0.3 m apart
    assert (lettuce.across, lettuce.down, lettuce.plants) == (1, 1, 4)
    lemon = footprint(by_id["lemon-dwarf"], 0.6, 0.45)
    assert (lemon.across, lemon.down, lemon.plants) == (2, 2, 1)
    assert by_id["lemon-dwarf"].canopy


def test_seasons_turn_with_the_hemisphere():
    peach = next(p for p in shipped() if p.id == "peach")
    assert bloom_months(peach, NORTH) == (3, 4)
    assert bloom_months(peach, SOUTH) == (9, 10)
    assert harvest_months(peach, SOUTH) == (1, 2, 12)
    assert growing_months(NORTH) == (4, 5, 6, 7, 8, 9, 10)
    assert growing_months(SOUTH) == (1, 2, 3, 4, 10, 11, 12)


def test_a_tender_crop_waits_for_the_frost_and_ends_with_it():
    tomato = next(p for p in shipped() if p.id == "tomato")
    first, last = planting_window(tomato, NORTH)
    assert (first, last) == (119, 161)
    assert said(first) == "29 Apr"
    months = harvest_months(tomato, NORTH)
    assert months[0] == month_of(119 + 60)
    assert months[-1] <= 10


def test_own_rows_change_a_plant_or_add_one():
    names = "id, common, kind, life, sun, spacing, height, spread, plant_factor, uses, hardiness, "
    sage = "my-sage, Own sage, herb, perennial, full to part, 18 in, 12 in to 18 in, 60 cm, 0.4, "
    text = (
        f"\n{names}bloom, evergreen, frost, harvest\n"
        "tomato, , , , , 30 in, , , , , , , , ,\n"
        f"{sage}herb slope, 5 to 9, 11-2, yes, , 4 to 6\n"
    )
    rows = read_plants(text, "plants.csv")
    found = {p.id: p for p in palette(rows)}
    assert len(found) == len(shipped()) + 1
    assert found["tomato"].spacing == pytest.approx((0.762, 0.762))
    assert "changed by plants.csv line 3" in found["tomato"].source
    sage = found["my-sage"]
    assert sage.bloom == (11, 12, 1, 2)
    assert sage.harvest == (4, 5, 6)
    assert sage.zones == (5, 9)
    assert sage.spread == pytest.approx((0.6, 0.6))
    assert sage.evergreen
    assert sage.status == "own"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("id, colour\nx, red", "'colour' is not a column"),
        ("common\nx", "no column id"),
        ("id, spacing\nx, 12", "no unit"),
        ("id, spacing\nx, 20 in to 10 in", "is not a length or a range"),
        ("id, bloom\nx, 13", "is not from 1 to 12"),
        ("id, evergreen\nx, maybe", "yes or no"),
        ("id, plant_factor\nx, 7", "plant factor"),
        ("id\nx\nx", "on line 2 too"),
        ("id, common\n, Rose", "no id"),
        ("id\na, b", "2 values under 1 names"),
        ("# nothing", "holds no plants"),
    ],
)
def test_a_palette_file_that_cannot_be_read_is_told_where(text, said):
    with pytest.raises(SurveyError, match=re.escape(said)):
        read_plants(text, "plants.csv")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"id": "new", "common": "New"}, "a new plant without kind"),
        ({"id": "tomato", "kind": "vegtable"}, "did you mean vegetable"),
        ({"id": "sage", "life": "annual"}, "what frost it stands"),
    ],
)
def test_a_row_that_cannot_be_used_is_told_with_what_would_be_right(row, said):
    with pytest.raises(OutOfRange, match=said):
        palette([row])
