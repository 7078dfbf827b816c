"""Plan to document, to bytes; and the schema that says what is in it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from pydantic.json_schema import GenerateJsonSchema

from hillwright import __version__
from hillwright.document import after, building, front, garden, ground, holding, price
from hillwright.document.columns import tables
from hillwright.document.model import VERSION, PlanDocument, Summary

if TYPE_CHECKING:
    from hillwright.plan import Plan

_ORDER = ("stop", "with measures", "clear")
SCHEMA_DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _Plain(GenerateJsonSchema):
    """A schema without a title that only repeats its key."""

    def field_title_should_be_set(self, schema: Any) -> bool:
        """Leave it out."""
        return False


def summary(plan: Plan) -> Summary:
    """Give a plan without its large tables."""
    said = {a.verdict for a in plan.answers}
    job = plan.opened.job
    return Summary(
        format="hillwright-plan",
        version=VERSION,
        program=__version__,
        job=front.job_part(plan.opened),
        frame=front.frame_part(plan.site.frame),
        verdict=next((v for v in _ORDER if v in said), "not yet"),
        answers=front.answer_parts(plan.answers),
        figures=front.figure_parts(plan.workings, job.units),
        warnings=list(plan.warnings),
        ground=ground.ground_part(plan.surface, plan.site),
        layout=ground.layout_part(plan.layout),
        set_out=ground.set_out_part(plan.setout),
        planting=garden.planting_part(plan.planting),
        soil=garden.soil_part(plan.fill),
        holding=holding.holding_part(plan.stability),
        rain=holding.rain_part(plan.runoff),
        drains=holding.drain_parts(plan.drainage),
        carry=building.carry_part(plan.carry),
        water=garden.water_part(plan.watering),
        drip=building.drip_part(plan.irrigation),
        work=building.work_part(plan.work),
        takeoff=building.takeoff_parts(plan.takeoff),
        estimate=price.price_part(plan.estimate),
        upkeep=after.upkeep_part(plan.upkeep, job.units),
        built=after.built_part(plan.built, job.units),
    )


def document(plan: Plan) -> PlanDocument:
    """Give a whole plan as one document."""
    first = summary(plan)
    parts = {name: getattr(first, name) for name in Summary.model_fields}
    return PlanDocument(**parts, tables=tables(plan))


def plan_json(plan: Plan) -> bytes:
    """Give the document as JSON in UTF-8; the same plan gives the same bytes."""
    return document(plan).model_dump_json().encode() + b"\n"


def schema() -> dict[str, Any]:
    """Give the JSON Schema (draft 2020-12) of the document, made from its own types."""
    made = PlanDocument.model_json_schema(schema_generator=_Plain)
    return {"$schema": SCHEMA_DIALECT, **made, "title": f"Hillwright plan, version {VERSION}"}


def schema_text() -> str:
    """Give the schema as it is printed and published."""
    return json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"
