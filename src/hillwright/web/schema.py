"""The JSON Schema of a job file, for forms: what each key takes, and within which limits.

What the types of the model cannot say stands here: which keys name a plant, a file or a row of a
table, and which lists are ranges or months.
"""

from __future__ import annotations

import copy
from functools import cache
from typing import Any

from hillwright.data import table
from hillwright.job.explain import sections
from hillwright.job.fields import RANGE
from hillwright.job.model import Job
from hillwright.job.read import FILES

Path = tuple[str, ...]

# forms of values that the types do not tell; "*" is any item of a list
_FORMS: dict[Path, str] = {
    **dict.fromkeys(FILES, "file"),
    ("pin", "plant"): "plant",
    ("planting", "plants", "*"): "plant",
    ("planting", "avoid", "*"): "plant, kind or use",
    ("wish", "plant"): "plant, kind or use",
    ("fill", "mix"): "mix",
    ("climate", "reference"): "months",
    ("climate", "rain"): "months",
    ("choice", "options"): "options",
}


@cache
def schema() -> dict[str, Any]:
    """Give the schema, made from the job's own types.

    Besides what JSON Schema has, a value may have `form` (how it is written or chosen) and
    `known` (the words that a table of the program knows).
    """
    found = copy.deepcopy(Job.model_json_schema())
    for path, form in _FORMS.items():
        _at(found, path)["form"] = form
    for path, words in _known().items():
        _at(found, path)["known"] = list(words)
    for section, model in sections().items():
        for key, field in model.model_fields.items():
            if RANGE in field.metadata or RANGE in _inner(field.annotation):
                _at(found, (section, key))["form"] = "range"
    return found


def _inner(kind: Any) -> list[Any]:
    """Give the marks on the kinds that a value may be of."""
    return [m for each in getattr(kind, "__args__", ()) for m in getattr(each, "__metadata__", ())]


def _at(root: dict[str, Any], path: Path) -> dict[str, Any]:
    """Give the rule of a key; a number is a place of a fixed list, "*" any item."""
    rule = root
    for step in path:
        rule = _plain(root, rule)
        if step not in rule.get("properties", {}) and rule.get("type") == "array":
            if not step.isdigit():
                rule = _plain(root, rule["items"])
            else:
                rule = rule["prefixItems"][int(step)]
                continue
            if step == "*":
                continue
        rule = rule["properties"][step]
    found: dict[str, Any] = rule
    return found


def _plain(root: dict[str, Any], rule: dict[str, Any]) -> dict[str, Any]:
    """Follow references and "or nothing"."""
    if "$ref" in rule:
        return _plain(root, root["$defs"][rule["$ref"].rsplit("/", 1)[1]])
    for each in rule.get("anyOf", ()):
        if each.get("type") != "null":
            return _plain(root, each)
    return rule


def _known() -> dict[Path, tuple[str, ...]]:
    """Give the words that only a row of a table gives a meaning."""
    from hillwright.fill.components import components, recipes
    from hillwright.runoff.ditch import linings
    from hillwright.runoff.tables import words
    from hillwright.stability.soiltable import by_code, by_texture, by_words

    named = tuple(n for n in by_words() if n not in by_texture())
    zones = tuple(f"{n}{half}" for n in range(1, 14) for half in "ab")
    return {
        ("soil", "name"): named,
        ("soil", "uscs"): tuple(by_code()),
        ("soil", "texture"): tuple(by_texture()),
        ("fill", "mix"): tuple(recipes()),
        ("fill", "mulch_kind"): tuple(components()),
        ("mix", "parts", "*", "0"): tuple(components()),
        ("rain", "cover_now"): words("curve_numbers", "cover", "cover"),
        ("drains", "lining"): tuple(each.name for each in linings()),
        ("climate", "place"): _places(),
        ("watering", "texture"): words("soil_water", "texture", "texture"),
        ("measured", "task"): tuple(row["id"] for row in table("crew_work")["work"]),
        ("planting", "hardiness"): zones,
        ("estimate", "law"): tuple(row["place"] for row in table("contract_law")["law"]),
    }


def _places() -> tuple[str, ...]:
    from hillwright.watering import tables

    towns = {r["city"] for which in ("local", "place") for r in tables.rows("reference_et", which)}
    zones = [f"zone {r['zone']}" for r in tables.rows("reference_et", "zone")]
    return (*sorted(towns), *zones)
