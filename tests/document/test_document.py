"""The document against its own published schema, the rooms, and a second reader."""

import json
import math
from decimal import Decimal
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.cli import main
from hillwright.document.base import DIGITS, SUFFIX, plain, significant
from hillwright.document.make import plan_json, schema, schema_text, summary
from hillwright.document.model import VERSION

DOCS = Path(__file__).parents[2] / "docs"


def numbers(definition, where=""):
    """Every key of a schema that holds a number or an array of numbers, with its unit."""
    for key, value in definition.get("properties", {}).items():
        inner = value
        while "items" in inner:
            inner = inner["items"]
        kinds = {inner.get("type"), *(k.get("type") for k in inner.get("anyOf", ()))}
        if kinds & {"number", "integer"}:
            yield f"{where}.{key}", value


def parts():
    whole = schema()
    yield "PlanDocument", whole
    yield from whole["$defs"].items()


def test_the_schema_is_one_that_its_dialect_allows():
    jsonschema.Draft202012Validator.check_schema(schema())


def test_every_example_is_what_the_schema_says(example):
    found = json.loads(plan_json(example))
    errors = list(jsonschema.Draft202012Validator(schema()).iter_errors(found))
    assert errors == []
    # a check that can fail: the schema names every key, and knows a wrong one
    found["soil"]["litres"] = 1
    found["layout"]["count"] = "many"
    wrong = list(jsonschema.Draft202012Validator(schema()).iter_errors(found))
    assert {e.validator for e in wrong} == {"additionalProperties", "type"}


def test_every_number_has_its_unit_in_the_schema_and_in_its_key():
    seen = 0
    for name, part in parts():
        # a working and a list of checks and orders carry the unit in a key beside the value
        if name in ("NumberPart", "CheckPart", "TakeoffPart", "CountPart", "BoughtPart"):
            assert "unit" in part["properties"]
            continue
        for where, value in numbers(part, name):
            assert "unit" in value, where
            assert where.endswith(SUFFIX[value["unit"]]), where
            longer = [s for u, s in SUFFIX.items() if s and u != value["unit"]]
            if not SUFFIX[value["unit"]]:
                assert not any(where.endswith(s) for s in longer), where
            seen += 1
    assert seen > 200


def depth_of(value):
    return 1 + depth_of(value["items"]) if "items" in value else 0


def test_every_array_names_as_many_axes_as_it_has():
    seen = 0
    for name, part in parts():
        for key, value in part.get("properties", {}).items():
            inner = value
            while "items" in inner:
                inner = inner["items"]
            if depth_of(value) and "$ref" not in inner and inner.get("type") != "string":
                assert len(value["axes"]) == depth_of(value), (name, key)
                seen += 1
    assert seen > 60


def test_every_key_says_what_it_is():
    for name, part in parts():
        for key, value in part.get("properties", {}).items():
            assert len(value.get("description", "")) > 2, (name, key)


def shape_of(value):
    return (len(value), *shape_of(value[0])) if isinstance(value, list) and value else ()


def test_axes_of_one_name_in_a_table_have_one_length(example):
    found, defs = json.loads(plan_json(example)), schema()["$defs"]
    for table, ref in defs["Tables"]["properties"].items():
        part = defs[ref["$ref"].rsplit("/", 1)[-1]]
        lengths = {}
        for key, value in part["properties"].items():
            shape = shape_of(found["tables"][table][key])
            for axis, size in zip(value["axes"], shape, strict=False):  # an empty one has no more
                assert lengths.setdefault(axis, size) == size, (table, key, axis)


def test_the_tables_are_those_of_the_rooms(worked):
    plan = worked("bracken-bank")
    found = json.loads(plan_json(plan))
    cells = found["tables"]["cells"]
    assert np.allclose(cells["corners_m"], plan.layout.corners, rtol=1e-6, atol=1e-6)
    assert sum(cells["soil_loose_m3"]) == pytest.approx(found["soil"]["loose_m3"], rel=1e-6)
    assert sum(found["tables"]["rows"]["soil_loose_m3"]) == pytest.approx(
        found["soil"]["loose_m3"], rel=1e-6
    )
    assert cells["use"].count("planted") == found["planting"]["planted"]
    assert sum(cells["bars"]) == len(found["tables"]["bars"]["cell"])
    assert sum(p["count"] for p in found["planting"]["plants"]) == sum(
        g["plants"] for g in found["planting"]["groups"]
    )
    emitters = found["tables"]["emitters"]
    assert set(emitters["cell"]) == {c for v in found["drip"]["valves"] for c in v["plants"]}
    pipes = found["tables"]["pipes"]
    for valve in found["drip"]["valves"]:
        mine = [k for k, v in enumerate(pipes["valve"]) if v == valve["number"]]
        assert pipes["parent"][mine[0]] == -1
        assert all(mine[0] <= pipes["parent"][k] < k for k in mine[1:])


def test_money_is_text_with_all_its_decimals_and_adds_up(worked):
    plan = worked("bracken-bank")
    found = json.loads(plan_json(plan))["estimate"]
    assert Decimal(found["price"]) == plan.estimate.price > 0
    steps = {s["name"]: Decimal(s["amount"]) for s in found["ladder"]}
    assert steps["Price"] == plan.estimate.price
    bought = sum(Decimal(b["amount"]) for b in found["order"])
    assert bought == sum(o.amount for o in plan.estimate.order)


def test_every_figure_that_can_be_asked_for_is_there_with_its_source(worked):
    plan = worked("bracken-bank")
    found = json.loads(plan_json(plan))
    assert set(found["figures"]) == set(plan.workings)
    assert all(f["source"] and f["result"]["shown"] for f in found["figures"].values())
    for answer in found["answers"]:
        assert set(answer["figures"]) <= set(found["figures"])


def test_the_same_plan_gives_the_same_bytes_and_no_place_of_the_machine(worked):
    plan = worked("bracken-bank")
    made = plan_json(plan)
    assert made == plan_json(plan)
    assert str(plan.opened.path.parent).encode() not in made


def test_the_summary_is_the_document_without_its_tables(worked):
    plan = worked("bracken-bank")
    whole = json.loads(plan_json(plan))
    del whole["tables"]
    assert json.loads(summary(plan).model_dump_json()) == whole


def test_the_published_schema_is_the_one_that_the_program_prints(capsys):
    assert (DOCS / "plan-schema.json").read_text(encoding="utf-8") == schema_text()
    assert main(["schema"]) == 0
    assert capsys.readouterr().out == schema_text()
    assert schema()["properties"]["version"]["const"] == VERSION


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_a_rounded_number_is_as_near_as_its_digits(value):
    found = float(significant(np.array([value]))[0])
    assert math.isclose(found, value, rel_tol=10.0 ** (1 - DIGITS), abs_tol=1e-21)
    if abs(value) > 1e-12:
        assert len(f"{found:e}".split("e")[0].strip("-0.").replace(".", "")) <= DIGITS


def test_what_is_no_number_is_null_and_what_is_counted_stays_whole():
    assert plain(np.array([1.0, np.nan, np.inf, 0.0])) == [1.0, None, None, 0.0]
    assert plain(float("inf")) is None
    assert plain(np.array([[1, 2]])) == [[1, 2]]
    assert plain(np.array([True])) == [True]
