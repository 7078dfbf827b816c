"""The stage: what cells want, what is set, and what is said when the rules do not allow it."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from slopegarden import ASKED, DEG, RULES, garden

from hillwright.errors import OutOfRange
from hillwright.job.weathercsv import read_csv
from hillwright.watering.bridge import short_cells
from hillwright.watering.demand import factors_of_slope
from hillwright.watering.season import compare, simulate
from hillwright.watering.soilstore import mix_available
from hillwright.watering.stage import climate_of, water, with_valves
from hillwright.watering.tables import DAYS, rows
from hillwright.watering.waste import year_use
from hillwright.watering.yearclimate import nearest_place, place_named, typical_and_dry


def test_a_cell_wants_reference_et_times_plant_factor_times_its_area_on_the_map():
    found = water(garden(slope=0.0), ASKED)
    july = place_named("Pasadena").reference[6] / 31
    expected = july * 0.5 * 0.6 * 0.45 / 0.81
    assert found.demand.daily[0, 6] == pytest.approx(expected)
    assert found.demand.peak[0] == pytest.approx(1.1 * expected)


def test_a_south_slope_is_thirstier_than_a_north_one_most_of_all_in_winter():
    south, north, flat = (
        water(garden(faces=a, slope=s), ASKED).demand.slope_factor[0]
        for a, s in ((180, 34), (0, 34), (0, 0))
    )
    assert flat == pytest.approx(np.ones(12))
    assert (south > north)[[0, 1, 2, 3, 7, 8, 9, 10, 11]].all()  # in June the north gets more
    assert south[11] / north[11] > 2 > south[5] / north[5]


def test_the_bearing_of_the_grid_turns_the_slope():
    turned = water(garden(faces=90), replace(ASKED, north=90 * DEG))
    straight = water(garden(faces=180), ASKED)
    assert turned.demand.slope_factor == pytest.approx(straight.demand.slope_factor)


def test_where_north_is_not_known_slopes_count_as_level_and_that_is_said():
    found = water(garden(), replace(ASKED, north_known=False))
    assert found.demand.slope_factor == pytest.approx(np.ones((6, 12)))
    assert any("north is not known" in w for w in found.warnings)


def test_programs_are_followed_side_by_side_as_one_by_one(monkeypatch):
    found = water(garden(), ASKED)
    together = compare(found)
    monkeypatch.setattr("hillwright.watering.season._TOGETHER", 0)
    for one, other in zip(compare(found), together, strict=True):
        assert np.array_equal(one.stress_days, other.stress_days)
        for name in ("given", "deep", "rain", "used"):
            assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-12)


def test_the_program_stresses_no_cell_and_wastes_less_than_the_same_minutes_all_year():
    found = water(garden(), ASKED)
    tuned, same = compare(found)
    assert found.tuned
    assert tuned.stressed == same.stressed == 0
    assert tuned.given.sum() < 0.8 * same.given.sum()
    assert tuned.given.sum() == pytest.approx(found.program.volume.sum())
    assert max(tuned.closure, same.closure) < 1e-9


def test_the_minutes_are_as_few_as_whole_ones_can_be():
    found = water(garden(), ASKED)
    fewer = replace(found.program, minutes=(0.9 * found.program.minutes).astype(int))
    assert simulate(found, fewer, "a tenth less").stressed > 0


def test_a_dry_year_asks_for_more():
    found = water(garden(), replace(ASKED, rain=(0.06,) * 12))
    assert found.dry_program.volume.sum() > found.program.volume.sum()
    assert (found.demand.dry_daily >= found.demand.daily).all()


def test_rain_lowers_what_is_given_and_never_the_peak_of_the_pipes():
    dry = water(garden(), ASKED)
    wet = water(garden(), replace(ASKED, rain=(0.05,) * 12))
    assert wet.program.volume.sum() < dry.program.volume.sum()
    assert wet.demand.peak == pytest.approx(dry.demand.peak)


@pytest.mark.parametrize("method", ["scs", "fao46", "fao rule", "share"])
def test_every_way_of_effective_rain_leaves_demand_between_nothing_and_all(method):
    found = water(
        garden(), replace(ASKED, rain=(0.08,) * 12, rules=replace(RULES, rain_method=method))
    )
    bare = water(garden(), ASKED)
    assert (found.demand.net >= 0).all()
    assert (found.demand.net <= bare.demand.net + 1e-12).all()


def test_windows_too_short_are_told_with_what_would_be_enough():
    short = replace(RULES, windows=((14400.0, 14400.0 + 1200.0),))
    said = water(garden(), replace(ASKED, rules=short)).warnings[0]
    assert "too short" in said
    assert "would be enough" in said
    hours = float(said.split("; a window ")[1].split(" h longer")[0])
    longer = replace(RULES, windows=((14400.0, 14400.0 + 1200 + hours * 3600),))
    assert not any("too short" in w for w in water(garden(), replace(ASKED, rules=longer)).warnings)


def test_weekdays_too_few_are_told():
    few = replace(RULES, weekdays=(0,))
    said = water(garden(depth=0.1), replace(ASKED, rules=few)).warnings
    assert any("days are too few" in w for w in said)


# One window at dawn, two starts in it: all the day's use falls into the wait over the day, so that
# a store of less than a day is not bridged, however the minutes are spread.
def test_a_second_start_at_dawn_does_not_carry_shallow_cells_over_the_day():
    found = water(garden(depth=0.03), ASKED)
    assert found.season[0].stressed == 6
    (short,) = short_cells(found)
    assert list(short.cells) == list(range(6))
    assert short.days > 30
    assert found.planted.roots[0] >= short.depth > found.soil.depth[0]


def test_what_is_told_as_enough_is_enough():
    found = water(garden(depth=0.045), ASKED)
    (short,) = short_cells(found)
    assert short.windows
    more = replace(RULES, windows=(*RULES.windows, *short.windows))
    noon = water(garden(depth=0.045), replace(ASKED, rules=more))
    assert noon.program.starts.max() > 1
    assert noon.season[0].stressed == 0
    deeper = water(garden(depth=short.depth), ASKED)
    assert deeper.season[0].stressed == 0
    assert not short_cells(deeper)


def test_every_cell_that_dries_out_is_named():
    found = water(garden(depth=0.06), replace(ASKED, place="", weather=years(), latitude=34 * DEG))
    named = {int(i) for s in short_cells(found) for i in s.cells}
    assert set(np.flatnonzero(found.season[0].stress_days > 0.5)) <= named


def test_heavy_soil_under_fast_emitters_is_given_in_cycles():
    clay = replace(ASKED, texture="clay", emitters=1, emitter_flow=8 / 3.6e6)
    program = water(garden(), clay).program
    assert program.cycles.max() > 1
    assert program.soak[program.cycles > 1].min() > 0


def test_the_budget_is_that_of_the_ordinance():
    found = water(garden(slope=0.0), ASKED)
    area = 6 * 0.27 / 0.3048**2
    eto = sum(rows_of("Pasadena"))
    gallon = 231 * 0.0254**3
    assert found.estimated / gallon == pytest.approx(eto * 0.62 * 0.5 / 0.81 * area)
    assert found.allowance / gallon == pytest.approx(eto * 0.62 * 0.55 * area)
    assert found.complies == (0.5 / 0.81 <= 0.55)


def rows_of(city):
    from hillwright.watering.tables import MONTHS

    row = next(r for r in rows("reference_et", "place") if r["city"] == city)
    return [row[m] for m in MONTHS]


def test_every_row_of_the_climate_table_adds_up_to_its_year():
    from hillwright.watering.tables import MONTHS

    for name, slack in (("place", 0.41), ("zone", 0.11), ("local", 0.05)):
        for row in rows("reference_et", name):
            assert sum(row[m] for m in MONTHS) == pytest.approx(row["annual"], abs=slack)


def test_the_coordinates_of_the_table_lie_in_their_state_and_each_is_its_own_nearest():
    for row in rows("reference_et", "place"):
        assert 32.4 < row["lat"] < 42.1
        assert -124.5 < row["lon"] < -114.1
        near = nearest_place(row["lat"] * DEG, row["lon"] * DEG)
        assert near.distance < 1.0


def test_the_nearest_place_is_told_with_its_distance():
    climate = climate_of(replace(ASKED, place="", latitude=34.2 * DEG, longitude=-118.1 * DEG))
    assert "the nearest of the table" in climate.notes[0]
    assert "km away" in climate.notes[0]


def test_a_place_that_the_table_lacks_is_told_with_the_nearest_name():
    with pytest.raises(OutOfRange, match="Pasadena"):
        climate_of(replace(ASKED, place="Pasadina"))


def test_without_any_climate_a_hot_zone_is_taken_and_said():
    climate = climate_of(replace(ASKED, place=""))
    assert climate.notes[0].startswith("No climate is given")
    assert any("No climate" in w for w in water(garden(), replace(ASKED, place="")).warnings)


def test_own_months_are_taken_as_they_are():
    own = tuple(0.01 * (k + 1) for k in range(12))
    climate = climate_of(replace(ASKED, place="", reference=own, latitude=0.6))
    assert climate.reference * DAYS == pytest.approx(own)


def years(count=6):
    rng = np.random.default_rng(3)
    lines = ["date, high (degC), low (degC), wind 2m (m/s), rain (mm), humidity (%)"]
    start = np.datetime64("2010-01-01")
    for k in range(int(365.25 * count)):
        date = start + np.timedelta64(k, "D")
        swing = -np.cos(2 * np.pi * (k % 365.25 - 15) / 365.25)
        hot = 1.5 if str(date).startswith("2013") else 0.0
        high = 21 + 9 * swing + 2 * hot + rng.normal(0, 2)
        wet = rng.random() < 0.12 * (1 - swing) / 2
        rain = rng.gamma(1, 9) * (0.4 if hot else 1.0) if wet else 0.0
        lines.append(f"{date}, {high:.1f}, {high - 11:.1f}, {2 + rng.random():.2f}, {rain:.1f}, 55")
    return read_csv("\n".join(lines), "weather.csv", None)


def test_real_years_give_a_typical_and_a_dry_program_and_no_stress_in_either():
    found = water(garden(), replace(ASKED, place="", weather=years(), latitude=34 * DEG))
    assert found.climate.real
    assert found.tuned
    assert (found.climate.dry_reference >= found.climate.reference).all()
    assert found.dry_program.volume.sum() >= found.program.volume.sum()
    assert simulate(found, found.dry_program, "dry").stressed == 0
    tuned, same = compare(found)
    assert "dry-year setting in 2013" in tuned.name
    assert tuned.stress_days.max() <= 0.5
    assert tuned.given.sum() < same.given.sum()
    # left at the typical program in the dry year too, cells dry out
    assert simulate(found, found.program, "typical").stressed == 6


def test_weather_without_a_latitude_asks_for_it():
    with pytest.raises(OutOfRange, match="latitude"):
        climate_of(replace(ASKED, place="", weather=years(1), latitude=None))


def test_typical_and_dry_are_the_mean_and_the_ninetieth_percentile():
    totals = np.arange(1.0, 12.0)[:, None]
    assert typical_and_dry(totals).typical[0] == 6.0
    assert typical_and_dry(totals).dry[0] == 10.0
    assert typical_and_dry(totals, rain=True).dry[0] == 2.0


def test_plants_are_thirstier_as_they_grow():
    growth = water(garden(), ASKED).demand.growth
    assert (np.diff(growth) >= 0).all()
    assert growth[0] < 0.6
    assert growth[-1] == pytest.approx(1.0)


def test_new_plants_are_watered_oftener():
    steps = water(garden(), ASKED).establishment
    settings = [(s.interval, s.minutes) for s in steps]
    assert steps[0].interval == 1
    assert len(set(settings)) == len(settings) > 1
    waits = [s.interval for s in steps]
    assert waits == sorted(waits)
    assert all(s.note for s in steps)
    assert not water(
        garden(), replace(ASKED, rules=replace(RULES, establishment=0.0))
    ).establishment


def test_no_cell_is_no_trouble():
    empty = garden(1)
    empty.corners, empty.row = empty.corners[:0], empty.row[:0]
    found = water(empty, ASKED)
    assert not found.valves.names
    assert compare(found)[0].given.sum() == 0


def test_every_working_ends_in_the_figure_that_the_result_holds():
    found = water(garden(), ASKED)
    by_name = {w.figure: w for w in found.workings}
    assert by_name["watering.peak"].result.value == pytest.approx(found.demand.peak.max())
    assert by_name["watering.allowance"].result.value == pytest.approx(found.allowance)
    for working in found.workings:
        working.with_units()


def test_other_valves_and_flows_change_the_minutes_and_not_the_demand():
    found = water(garden(), ASKED)
    fast = replace(found.valves, flow=2 * found.valves.flow)
    other = with_valves(found, ASKED, fast)
    assert other.demand is found.demand
    assert other.tuned
    assert other.program.volume.sum() == pytest.approx(found.program.volume.sum(), rel=0.03)
    assert other.program.minutes[0, 6] == pytest.approx(found.program.minutes[0, 6] / 2, abs=1)


def test_the_same_valves_give_the_same_program():
    found = water(garden(), ASKED)
    again = with_valves(found, ASKED, found.valves)
    assert (again.program.minutes == found.program.minutes).all()
    assert again.allowance == found.allowance


def test_a_month_of_plenty_of_rain_wants_nothing_at_all():
    found = water(garden(), replace(ASKED, rain=(0.3,) * 12))
    assert found.demand.net.min() == 0.0


def test_the_dry_program_is_in_no_month_below_the_typical_one():
    for asked in (ASKED, replace(ASKED, place="", weather=years(), latitude=34 * DEG)):
        found = water(garden(depth=0.09), asked)
        assert (found.dry_program.volume >= 0.98 * found.program.volume).all()


def test_rain_of_a_table_s_months_falls_in_the_season_too():
    found = water(garden(), replace(ASKED, rain=(0.05,) * 12))
    assert found.season[0].rain.sum() > 0
    dry = water(garden(), ASKED)
    assert found.program.volume.sum() < dry.program.volume.sum()
    assert found.season[0].stressed == 0


def test_the_year_s_water_is_taken_apart_to_the_drop():
    found = water(garden(), ASKED)
    use = year_use(found)
    parts = use.plants + use.way + use.shared + use.held
    assert parts == pytest.approx(use.given) == pytest.approx(found.season[0].given.sum())
    assert use.plants == pytest.approx(0.81 * (use.plants + use.way))


def test_each_mix_holds_its_own_water():
    parts = (("topsoil", 0.5), ("compost", 0.5))
    assert mix_available(parts) == pytest.approx((0.12 + 0.2) / 2)
    mixes = (SimpleNamespace(parts=parts), SimpleNamespace(parts=(("coarse sand", 1.0),)))
    fill = SimpleNamespace(
        mixes=mixes, mix=np.array([0, 0, 0, 1, 1, 1]), settled=np.full(6, 0.05),
        top_slope=np.zeros(6),
    )  # fmt: skip
    found = water(garden(), ASKED, fill)
    assert found.soil.available == pytest.approx([0.16] * 3 + [0.075] * 3)
    told = water(garden(), replace(ASKED, texture_told=True), fill)
    assert len(set(told.soil.available)) == 1


# The planting room follows the sun through a clear sky, this room takes it above the air: two ways
# that must tell nearly one thing where nothing shades. In winter the low sun's way through the air
# counts, and they part by up to a seventh.
@pytest.mark.parametrize("faces", [180.0, 90.0, 0.0])
def test_an_open_slope_has_the_planting_room_s_sun_within_a_few_percent_in_summer(faces):
    from hillwright.planting.sun import open_sky, sun_table

    b, a = 30 * DEG, faces * DEG
    normal = np.array([[np.sin(b) * np.sin(a), np.sin(b) * np.cos(a), np.cos(b)]])
    climate = climate_of(ASKED)
    table = sun_table(open_sky(normal), climate.latitude)
    clear = (table.energy / table.level[:, None]).T
    slope, aspect = np.array([b]), np.array([a])
    ours = factors_of_slope(climate, slope, aspect, True)
    theirs = factors_of_slope(climate, slope, aspect, True, clear, climate.latitude)
    assert theirs[0, 3:9] == pytest.approx(ours[0, 3:9], rel=0.06)
    assert theirs[0] == pytest.approx(ours[0], rel=0.16, abs=0.1)


def test_shade_takes_from_the_thirst_and_full_shade_leaves_sky_light():
    climate = climate_of(ASKED)
    slope, aspect = np.full(3, 0.5), np.full(3, np.pi)
    clear = np.repeat([[1.1], [0.6], [0.0]], 12, axis=1)
    factor = factors_of_slope(climate, slope, aspect, True, clear, climate.latitude)
    assert (np.diff(factor, axis=0) < 0).all()
    assert factor[2].min() >= 0.1


def test_the_working_of_the_interval_is_of_the_cell_that_lasts_least():
    found = water(garden(depth=0.06), ASKED)
    by_name = {w.figure: w.with_units() for w in found.workings}
    wait = by_name["watering.interval"]
    given = {n.name: n for n in wait.given}
    m = found.demand.peak_month
    used = found.climate.dry_reference[m] * found.demand.coefficient[:, m]
    p = np.clip(0.5 + 0.04 * (5 - used * 1e3), 0.1, 0.8)
    lasts = p * found.store.total / used
    assert given["ready"].value / given["use"].value == pytest.approx(lasts.min() * 86400)
    assert given["use"].unit == "m/s.day"  # inches or millimetres a day
    assert {n.unit for n in by_name["watering.peak"].given} >= {"m.water", "m2"}
