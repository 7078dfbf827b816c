"""The document of a plan: its parts in order, the large tables last."""

from __future__ import annotations

from typing import Literal

from hillwright.document.after import BuiltPart, UpkeepPart
from hillwright.document.base import Part, si, text
from hillwright.document.building import CarryPart, DripPart, TakeoffPart, WorkPart
from hillwright.document.front import AnswerPart, FigurePart, FramePart, JobPart, Verdict
from hillwright.document.garden import PlantingPart, SoilPart, WaterPart
from hillwright.document.ground import GroundPart, LayoutPart, SetOutPart
from hillwright.document.holding import DrainPart, HoldingPart, RainPart
from hillwright.document.price import PricePart
from hillwright.document.tables import Tables

# raised by one when a key goes or changes its meaning; a new key leaves it as it is
VERSION: Literal[1] = 1


class Summary(Part):
    """A plan without its large tables: what a page shows first."""

    format: Literal["hillwright-plan"] = text("What this is.")
    version: Literal[1] = si("-", "Version of this form.")
    program: str = text("Version of the program that wrote it.")
    job: JobPart = text("The job.")
    frame: FramePart = text("Back to the survey's own numbers.")
    verdict: Verdict = text("The gravest of the ten answers.")
    answers: list[AnswerPart] = text("The ten answers.")
    figures: dict[str, FigurePart] = text("Every figure with its working, by name.")
    warnings: list[str] = text("Of all rooms, in the person's units.")
    ground: GroundPart = text("The ground.")
    layout: LayoutPart = text("The grid of cells.")
    set_out: SetOutPart = text("Pegs and base line.")
    planting: PlantingPart = text("What grows.")
    soil: SoilPart = text("Soil and mulch.")
    holding: HoldingPart = text("What holds.")
    rain: RainPart = text("Where the rain goes.")
    drains: list[DrainPart] = text("The drains.")
    carry: CarryPart = text("How soil gets up.")
    water: WaterPart = text("How much water, and when.")
    drip: DripPart = text("How water gets there.")
    work: WorkPart = text("Hands and days.")
    takeoff: list[TakeoffPart] = text("What to order.")
    estimate: PricePart = text("What it costs.")
    upkeep: UpkeepPart = text("What is done in the years afterwards.")
    built: BuiltPart = text("What was built, beside the plan.")


class PlanDocument(Summary):
    """A plan, worked out. Numbers are SI; x is east or along the base line, y north, z up.

    Left and right are as seen looking uphill. Rows count from 1 at the top, cells from 1 at the
    left; a place in a table counts from 0. What is unknown or without limit is null.
    """

    tables: Tables = text("The large arrays.")
