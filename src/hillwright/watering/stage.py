"""Stage: how much water each cell wants, and the program that gives it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hillwright.arrays import Array, frozen
from hillwright.errors import OutOfRange
from hillwright.fill.model import Fill
from hillwright.job.weather import Weather
from hillwright.layout.model import Layout
from hillwright.watering import budget, sheet_of_use, tables
from hillwright.watering.demand import demand_of, factors_of_slope, store_of
from hillwright.watering.establish import establishment, first_year
from hillwright.watering.join import clear_light, planted_everywhere, planted_from, without
from hillwright.watering.model import (
    Climate,
    Demand,
    Planted,
    Rules,
    Soil,
    Valves,
    Wants,
    Watering,
)
from hillwright.watering.programs import same_all_year, tuned_program, wetting
from hillwright.watering.season import compare
from hillwright.watering.sloping import plane_of_cells
from hillwright.watering.soilstore import available_water, mix_available, soil_texture
from hillwright.watering.timetable import Pattern, window_length
from hillwright.watering.words import warnings_of
from hillwright.watering.workings import workings_of
from hillwright.watering.yearclimate import (
    from_months,
    from_table,
    from_weather,
    nearest_place,
    place_named,
)

_FALLBACK = "zone 14"  # a hot inland zone: too much water rather than too little
_MOST_EMITTERS = 60
_FARTHEST = 150e3  # from here on the nearest place of the table says nothing [m]


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What the person says of climate and watering; SI, None where nobody says."""

    place: str
    weather: Weather | None
    reference: tuple[float, ...]
    rain: tuple[float, ...]
    latitude: float | None
    longitude: float | None
    altitude: float
    north: float  # compass bearing of +y [rad]
    north_known: bool
    texture: str
    texture_told: bool  # the job names it; else each mix holds what its parts do
    available: float | None
    roots_below: float
    emitters: int
    emitter_flow: float
    rules: Rules
    landscape: str
    price: float  # of 1 m3


def climate_of(asked: Asked) -> Climate:
    """Choose the climate: own weather, own months, a place by name, the nearest, or a stand-in.

    Raises
    ------
    OutOfRange
        A place that the table lacks, or weather without a latitude.
    """
    rain = np.array(asked.rain) if asked.rain else None
    if (weather := asked.weather) is not None:
        latitude = weather.latitude if weather.latitude is not None else asked.latitude
        if latitude is None:
            right = 'add latitude = "34.1 deg" to [site]'
            raise OutOfRange("site.latitude", "is needed with climate.weather", right)
        altitude = weather.altitude if weather.altitude is not None else asked.altitude
        return from_weather(weather, latitude, altitude, rain)
    if asked.reference:
        latitude = asked.latitude if asked.latitude is not None else np.radians(36.0)
        said = () if asked.latitude is not None else ("No latitude is given: 36 deg is taken.",)
        return from_months("the job's own months", np.array(asked.reference), rain, latitude, said)
    if asked.place:
        return from_table(place_named(asked.place), rain)
    if asked.latitude is not None and asked.longitude is not None:
        near = nearest_place(asked.latitude, asked.longitude)
        if near.distance < _FARTHEST:
            return from_table(near, rain)
    unknown = "No climate is given"
    if asked.latitude is not None and asked.longitude is not None:
        unknown = "No climate is given and no place of the table is near"
    found = place_named(_FALLBACK)
    climate = from_table(found, rain)
    note = (
        f"{unknown}: reckoned with {found.name} of the program's table, a hot inland "
        "one (our choice). Give climate.place, climate.weather or climate.reference."
    )
    return _with_notes(climate, (note, *climate.notes[1:]))


def _with_notes(climate: Climate, notes: tuple[str, ...]) -> Climate:
    return replace(climate, notes=notes)


def soil_of(layout: Layout, asked: Asked, fill: Fill | None, area: Array) -> Soil:
    """Give what the cells hold, as deep as they are filled.

    The water that a mix holds is what was measured, else that of the texture which the job names,
    else that of each cell's own mix by its parts.
    """
    row = tables.row("soil_water", "alike", "texture", asked.texture)
    n = len(layout.row)
    if asked.available is not None:
        holds = np.full(n, asked.available)
    elif fill is None or asked.texture_told:
        holds = np.full(n, soil_texture(row["water"]).available)
    else:
        holds = np.array([mix_available(mix.parts) for mix in fill.mixes])[fill.mix]
    deep = np.full(n, layout.cell.depth) if fill is None else fill.settled / area
    top = np.zeros(n) if fill is None else np.asarray(fill.top_slope)
    if asked.rules.surface_slope is not None:
        top = np.full(n, asked.rules.surface_slope)
    return Soil(row["texture"], frozen(holds), frozen(deep + asked.roots_below), frozen(top))


def valves_by_zone(planted: Planted, asked: Asked) -> Valves:
    """Give one valve to each hydrozone, and each watered cell emitters by its thirst."""
    used = np.unique(planted.zone[planted.zone >= 0])
    number = np.full(len(planted.zones), -1, dtype=np.intp)
    number[used] = np.arange(len(used))
    valve = np.where(planted.zone >= 0, number[planted.zone], -1)
    there = valve >= 0
    # who drinks more has more emitters: what shares a valve runs as long
    thirst = planted.canopy * planted.factor[np.maximum(planted.kind, 0)].max(axis=1)
    emitters = np.zeros(len(there))
    for v in range(len(used)):
        here = valve == v
        share = thirst[here] / max(float(np.median(thirst[here])), 1e-9)
        emitters[here] = np.clip(np.rint(asked.emitters * share), 1, _MOST_EMITTERS)
    flow = emitters * asked.emitter_flow
    return Valves(
        names=tuple(f"valve {k + 1}: {planted.zones[z]}" for k, z in enumerate(used)),
        valve=frozen(valve.astype(np.intp)),
        flow=frozen(flow),
        emitters=frozen(emitters),
    )


def water(
    layout: Layout, asked: Asked, fill: Fill | None = None, planting: object | None = None
) -> Watering:
    """Work out the water of a garden.

    Parameters
    ----------
    layout : Layout
        The cells.
    asked : Asked
        Climate, soil, emitters and rules.
    fill : Fill, optional
        How deep the soil lies in each cell; without it every box is full to the brim.
    planting : Planting, optional
        What grows where; without it every cell has a mixed planting.

    Raises
    ------
    OutOfRange
        A climate or soil that cannot be.
    """
    found = wants_of(layout, asked, fill, planting)
    return with_valves(found, asked, found.valves)


def wants_of(
    layout: Layout, asked: Asked, fill: Fill | None = None, planting: object | None = None
) -> Wants:
    """Work out what the cells want; see :func:`water`."""
    slope, aspect, area = plane_of_cells(np.asarray(layout.corners), asked.north)
    climate = climate_of(asked)
    planted = planted_from(planting, area) if planting is not None else planted_everywhere(area)
    if fill is not None:  # nothing grows, and no emitter lies, in a box without soil
        planted = without(planted, np.asarray(fill.settled) <= 1e-6)
    soil = soil_of(layout, asked, fill, area)
    lit = clear_light(planting)
    on_slope = factors_of_slope(climate, slope, aspect, asked.north_known, *lit)
    deep = np.minimum(np.minimum(planted.roots[np.maximum(planted.kind, 0)], soil.depth), 2.0)
    p = np.where(planted.kind >= 0, planted.depletion[np.maximum(planted.kind, 0)], 0.5)
    held = available_water(soil.available, 0.0, deep, p).ready
    demand = demand_of(climate, planted, asked.rules, area, slope, aspect, on_slope, held)
    return Wants(climate, planted, soil, demand, valves_by_zone(planted, asked))


def with_valves(found: Wants | Watering, asked: Asked, valves: Valves) -> Watering:
    """Set the program to valves and flows: those that the pipes were designed with.

    Parameters
    ----------
    found : Wants or Watering
        Of the same garden; its demand stays.
    asked : Asked
        As before.
    valves : Valves
        Which valve waters which cell, and how fast.
    """
    return program_for(asked, found.climate, found.planted, found.soil, valves, found.demand)


def at_price(found: Watering, price: float) -> Watering:
    """Give the same water at another price of 1 m3."""
    season = tuple(replace(s, cost=price * float(s.given.sum())) for s in found.season)
    return replace(found, price=price, season=season)


def program_for(
    asked: Asked,
    climate: Climate,
    planted: Planted,
    soil: Soil,
    valves: Valves,
    demand: Demand,
) -> Watering:
    """Work out program and budget for a demand that is known.

    Parameters
    ----------
    asked : Asked
        Rules and prices.
    climate, planted, soil, valves, demand
        What is known of the garden.
    """
    rules, area = asked.rules, demand.area
    wetted, longest, soak = wetting(planted, soil, valves, area)
    store = store_of(planted, soil, valves, wetted, area)
    flow = np.zeros(len(valves.names))
    np.add.at(flow, valves.valve[valves.valve >= 0], valves.flow[valves.valve >= 0])
    given = (climate, demand, store, valves, rules, longest, soak, flow)
    typical = tuned_program(*given)
    dry = tuned_program(*given, typical)
    program, pattern = typical.program, typical.pattern
    same = same_all_year(program, pattern, longest, soak, flow, rules)
    share, minutes = first_year(planted, demand, valves, program)
    sheet = sheet_of_use.hydrozones(planted, area, climate, rules.efficiency, asked.landscape)
    estimated, complies = sheet.result.total, sheet.result.complies
    found = Watering(
        climate=climate,
        planted=planted,
        soil=soil,
        rules=rules,
        valves=valves,
        demand=demand,
        store=store,
        program=program,
        dry_program=dry.program,
        same_program=same,
        establishment=establishment(
            climate, planted, soil, demand, store, valves, rules, longest, soak
        ),
        first_share=share,
        first_minutes=minutes,
        season=(),
        strain=typical.strain,
        tuned=typical.fine,
        window=window_length(rules.windows),
        worksheet_zone=sheet.names,
        worksheet_factor=frozen(sheet.factor),
        worksheet_area=frozen(sheet.area),
        worksheet_special=frozen(sheet.special),
        worksheet_etaf=frozen(sheet.result.etaf),
        worksheet_use=frozen(sheet.result.volume),
        regular_etaf=sheet.result.regular_etaf,
        site_etaf=sheet.result.site_etaf,
        allowed_etaf=budget.limit(asked.landscape),
        allowance=sheet.result.allowance,
        estimated=estimated,
        complies=complies,
        price=asked.price,
        workings=(),
        warnings=(),
    )
    return _told(found, pattern, asked.north_known, wetted)


def _told(found: Watering, pattern: Pattern, north_known: bool, wetted: Array) -> Watering:
    found = replace(found, season=compare(found))
    return replace(
        found,
        workings=workings_of(found, wetted),
        warnings=warnings_of(found, pattern, north_known),
    )
