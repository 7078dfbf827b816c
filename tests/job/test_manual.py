"""The manual of the job file and the model say the same, key by key."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path
from typing import Annotated, get_args

import pytest
from annotated_types import Ge
from pydantic import BeforeValidator, TypeAdapter, ValidationError
from pydantic_core import PydanticUndefined

from hillwright.job.explain import SEVERAL, sections
from hillwright.job.fields import Day, MapPlace, Place
from hillwright.job.model import Job
from hillwright.job.planting import CellName, Horizon, YearDay, Zone
from hillwright.job.planting_soil import Part, PartFull, RowNumber
from hillwright.job.water import TypedRain
from hillwright.job.watering import Clock, MonthDepth

MANUAL = (Path(__file__).parents[2] / "docs" / "job.md").read_text("utf-8")


def rows():
    """Give every row of the manual: section, key, what it takes, default, example."""
    section, found = None, {}
    for line in MANUAL.splitlines():
        if line.startswith("## "):
            head = re.fullmatch(r"## `\[+([a-z_]+)\]+`", line)
            section = head[1] if head else "" if line.startswith("## At the top") else None
        elif section is not None and line.startswith("| `"):
            key, about, takes, default, example = (c.strip() for c in line.strip("| ").split(" | "))
            assert (section, key.strip("`")) not in found, f"{section}.{key} is there twice"
            assert about
            found[section, key.strip("`")] = (takes, default, example)
    return found


def known():
    found = {("", k): f for k, f in Job.model_fields.items() if k not in sections()}
    for section, model in sections().items():
        found |= {(section, k): f for k, f in model.model_fields.items()}
    return found


ROWS, KNOWN = rows(), known()
ITEMS = (
    Place,
    MapPlace,
    TypedRain,
    Part,
    PartFull,
    RowNumber,
    Horizon,
    tuple[Clock, Clock],
    MonthDepth,
)
WORDS = [m for k in (Day, CellName, YearDay, Zone) for m in k.__metadata__]
KEYS = pytest.mark.parametrize("key", sorted(KNOWN), ids=".".join)


def read(key, text):
    """Read one value as the job would."""
    field = KNOWN[key]
    kind = field.annotation
    for limit in field.metadata:
        kind = Annotated[kind, limit]
    return TypeAdapter(kind).validate_python(tomllib.loads(f"x = {text}")["x"])


def test_the_manual_names_every_key_and_no_other():
    assert set(ROWS) == set(KNOWN)


def test_every_section_of_the_manual_is_written_as_it_is_in_a_job():
    heads = set(re.findall(r"(?m)^## `(\[.*\])`", MANUAL))
    assert heads == {f"[[{n}]]" if n in SEVERAL else f"[{n}]" for n in sections()}


@KEYS
def test_the_example_of_the_manual_can_be_read(key):
    example = re.fullmatch(r"`(.*)`", ROWS[key][2])
    assert example, "an example is one value between backticks"
    read(key, example[1])


@KEYS
def test_the_default_of_the_manual_is_the_model_s(key):
    said, default = ROWS[key][1], KNOWN[key].default
    written = re.match(r"`(.*?)`", said)
    if default is PydanticUndefined:
        assert said == "required"
    elif default is None:
        assert written is None
        assert said
    else:
        assert written, f"the default of {key} is not between backticks"
        value = tomllib.loads(f"x = {written[1]}")["x"]
        if value in ("", []):
            assert value == ("" if default == "" else [])
            assert default in ("", ())
        else:
            found = read(key, written[1])
            first = found[0] if isinstance(found, tuple) else found
            assert found == (pytest.approx(default) if isinstance(first, float) else default)


@KEYS
def test_the_words_of_the_manual_are_all_the_words_that_are_taken(key):
    kinds = (KNOWN[key].annotation, *get_args(KNOWN[key].annotation))
    words = {a for k in kinds for a in get_args(k) if isinstance(a, str)}
    words |= {a for a in get_args(KNOWN[key].annotation) if isinstance(a, str)}
    if words:
        assert set(re.findall(r'`"([^`]*)"`', ROWS[key][0])) == words


def limited(field):
    """Tell whether a key takes one number between limits, or a range of such numbers."""
    kinds, found = [field], False
    while kinds:
        kind = kinds.pop()
        marks = [*getattr(kind, "metadata", ()), *getattr(kind, "__metadata__", ())]
        found |= any(isinstance(m, BeforeValidator | Ge) and m not in WORDS for m in marks)
        inner = (kind.annotation,) if hasattr(kind, "annotation") else get_args(kind)
        kinds += [k for k in inner if k not in ITEMS]
    return found


@KEYS
def test_the_limits_of_the_manual_are_the_model_s(key):
    takes = ROWS[key][0]
    found = re.search(r"`(-?[\d.]+)(?: ([^`]+))?` to `(-?[\d.]+)(?: ([^`]+))?`", takes)
    assert bool(found) == bool(limited(KNOWN[key]))
    if not found:
        return
    low, low_unit, high, high_unit = found.groups()
    if low_unit:
        inside = (f'"{low} {low_unit}"', f'"{high} {high_unit}"')
        outside = (f'"{float(low) - 0.001} {low_unit}"', f'"{float(high) + 0.001} {high_unit}"')
    else:
        inside, outside = (low, high), (f"{float(low) - 1:g}", f"{float(high) + 1:g}")
    for text in inside:
        value = read(key, text)
        assert math.isfinite(value[0] if isinstance(value, tuple) else value)
    for text in outside:
        with pytest.raises(ValidationError):
            read(key, text)


@pytest.mark.parametrize("key", sorted(k for k in KNOWN if k[0] == "cell"), ids=".".join)
def test_no_default_of_the_cell_passes_for_a_maker_s(key):
    said = ROWS[key][1]
    assert said.endswith(("invented", "our choice"))
    if isinstance(KNOWN[key].default, float):
        assert said.endswith("invented")


@KEYS
def test_every_default_says_where_it_comes_from(key):
    said = re.sub(r"^`.*?`", "", ROWS[key][1]).strip()
    assert said


def test_the_manual_lists_every_cover_and_lining_by_its_name():
    from hillwright.runoff.ditch import linings
    from hillwright.runoff.tables import words

    said = " ".join(MANUAL.split())
    for name in (*words("curve_numbers", "cover", "cover"), *(x.name for x in linings())):
        assert f'"{name}"' in said
