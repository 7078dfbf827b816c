"""The garden: soil, plants and the water that they get."""

from __future__ import annotations

from hillwright.document.base import Matrix, Part, Vector, axes, read, si, text
from hillwright.fill.model import Fill
from hillwright.planting.model import Planting
from hillwright.planting.palette import Plant
from hillwright.watering.model import Program, Watering


class ShareOfMix(Part):
    """A component of a mix."""

    name: str = text("Component.")
    share: float = si("-", "Of the loose volume.")


class MixPart(Part):
    """One mix over all cells that take it."""

    name: str = text("Name of the mix.")
    parts: list[ShareOfMix] = text("What it is blended from.")
    settlement: float = si("-", "Share of the loose volume by which it settles.")
    loose_moist_kg_m3: float = si("kg/m3", "As it is carried.")
    saturated_kg_m3: float = si("kg/m3", "Settled, with its pores full.")
    cells: int = si("-", "Cells that take it.")
    settled_m3: float = si("m3", "In place.")
    loose_m3: float = si("m3", "To carry up.")
    ordered_m3: float = si("m3", "To order, with waste.")
    carried_kg: float = si("kg", "That goes up the hill.")


class SoilPart(Part):
    """Soil and mulch of the whole hill; what each cell takes stands in the table of cells."""

    mixes: list[MixPart] = text("By mix.")
    settled_m3: float = si("m3", "All soil in place.")
    loose_m3: float = si("m3", "All soil to carry up.")
    ordered_m3: float = si("m3", "All soil to order.")
    waste: float = si("-", "Share ordered over what goes in.")
    mulch_kind: str = text("Kind of mulch.")
    mulch_ordered_m3: float = si("m3", "Mulch to order.")


class PlantPart(Part):
    """A plant of the plan."""

    id: str = text("As a job names it.")
    common: str = text("Common name.")
    botanical: str = text("Botanical name.")
    kind: str = text("tree, berry, vegetable, herb, flower or cover.")
    life: str = text("annual, biennial, perennial, shrub, vine or tree.")
    count: int = si("-", "Plants of it.")
    tall_m: float = si("m", "Mature height that the plan works with.")
    width_m: float = si("m", "Mature spread that the plan works with.")
    bloom_months: list[int] = axes("-", "month", "1 to 12, at this site.")
    harvest_months: list[int] = axes("-", "month", "1 to 12, at this site.")
    plant_from_day: int = si("-", "First day of the year to plant it.")
    plant_to_day: int = si("-", "Last day of the year to plant it.")
    caution: str = text("What to beware of.")
    source: str = text("Where its row of the table comes from.")


class GroupPart(Part):
    """One planting and the cells that it takes."""

    plant: int = si("-", "Place in the list of plants, from 0.")
    cells: list[int] = axes("-", "cell", "Places in the table of cells, from 0.")
    plants: int = si("-", "How many stand there.")
    centre_m: Vector = axes("m", "xyz", "Middle.")


class PlantingPart(Part):
    """What grows; what grows in each cell stands in the table of cells."""

    plants: list[PlantPart] = text("Every plant that was chosen from.")
    groups: list[GroupPart] = text("Plantings by row and number of their first cell.")
    planted: int = si("-", "Planted cells.")
    walking: int = si("-", "Walking cells.")
    mixes: list[str] = text("Mixes that plants ask for.")
    hydrozones: list[str] = text("Classes of thirst, the least first.")
    worth: float = si("-", "Of this planting, in planted cells.")
    path_bound: float = si("-", "No planting on this path is worth more.")
    bound: float = si("-", "No planting on any path is worth more.")
    unmet: list[str] = text("What was wished for and could not be had.")
    entry: list[int] = axes("-", "cell", "Walking cells that one comes in by.")


class ProgramPart(Part):
    """What is set at the controller; v valves, 12 months from January."""

    interval: list[list[int]] = axes("-", "valve month", "Days between waterings; 0 is off.")
    starts: list[list[int]] = axes("-", "valve month", "Waterings on such a day.")
    minutes: list[list[int]] = axes("-", "valve month", "Minutes of each watering.")
    cycles: list[list[int]] = axes("-", "valve month", "Parts that a watering is split into.")
    soak: list[list[int]] = axes("-", "valve month", "Minutes between two cycles.")
    opens_s: list[list[Matrix]] = axes(
        "s", "valve month start cycle", "Clock of each opening; none where a valve is off."
    )
    volume_m3: Matrix = axes("m3", "valve month", "Water in the month.")


class WaterPart(Part):
    """Climate, demand, budget and the programs; what each cell wants is in the table of cells."""

    climate: str = text("Where the climate comes from.")
    reference_m: Vector = axes("m", "month", "Reference evapotranspiration on a mean day.")
    rain_m: Vector = axes("m", "month", "Rain of the whole month.")
    daily_m3: Vector = axes("m3", "month", "To give on a mean day, all cells.")
    peak_month: int = si("-", "1 to 12.")
    valves: list[str] = text("Names of the valves.")
    program: ProgramPart = text("For a typical year.")
    dry_program: ProgramPart = text("For a year as dry as one in ten.")
    allowance_m3: float = si("m3", "Water budget of a year.")
    estimated_m3: float = si("m3", "Estimated use of a year.")
    complies: bool = text("Estimated use is within the budget.")


def soil_part(fill: Fill) -> SoilPart:
    """Give soil and mulch."""
    mixes = []
    for t in fill.totals:
        parts = [ShareOfMix(name=n, share=s) for n, s in t.mix.parts]
        of = t.mix
        own = {"name": of.name, "settlement": of.settlement, "parts": parts}
        weights = {"loose_moist_kg_m3": of.loose_moist, "saturated_kg_m3": of.saturated}
        mixes.append(read(MixPart, t, **own, **weights))
    totals = {
        "settled_m3": fill.total_settled,
        "loose_m3": fill.total_loose,
        "ordered_m3": fill.total_ordered,
    }
    return read(SoilPart, fill, mixes=mixes, **totals)


def planting_part(planting: Planting) -> PlantingPart:
    """Give what grows."""
    return read(
        PlantingPart,
        planting,
        plants=[_plant(planting, k, p) for k, p in enumerate(planting.plants)],
        groups=[read(GroupPart, g) for g in planting.groups],
        worth=planting.proof.worth,
        path_bound=planting.proof.path_bound,
        bound=planting.proof.bound,
        unmet=[f"{u.what}: {u.why}" for u in planting.unmet],
    )


def _plant(planting: Planting, k: int, plant: Plant) -> PlantPart:
    first, last = planting.windows[k]
    return read(
        PlantPart,
        plant,
        count=planting.count[k],
        bloom_months=planting.bloom_months[k],
        harvest_months=planting.harvest_months[k],
        plant_from_day=first,
        plant_to_day=last,
    )


def water_part(watering: Watering) -> WaterPart:
    """Give climate, demand, budget and programs."""
    climate, demand = watering.climate, watering.demand
    return read(
        WaterPart,
        watering,
        climate=climate.name,
        reference_m=climate.reference,
        rain_m=climate.rain,
        daily_m3=demand.daily.sum(axis=0),
        peak_month=demand.peak_month + 1,
        valves=watering.valves.names,
        program=_program(watering.program),
        dry_program=_program(watering.dry_program),
    )


def _program(program: Program) -> ProgramPart:
    return read(ProgramPart, program)
