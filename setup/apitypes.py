"""Writes the page's types from the service's own schema, so that the two cannot drift apart.

python setup/apitypes.py > frontend/src/service/api.ts

`make page-types` does it; a stale copy fails a test.
"""

from __future__ import annotations

from typing import Any

HEAD = """/** What the service takes and gives: made by `make page-types`, not written by hand. */

export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };
"""
_SIMPLE = {"string": "string", "integer": "number", "number": "number", "boolean": "boolean"}


def of(rule: dict[str, Any]) -> str:
    """Give the type of a rule of the schema."""
    if "$ref" in rule:
        return str(rule["$ref"]).rsplit("/", 1)[1]
    if "anyOf" in rule:
        return " | ".join(dict.fromkeys(of(each) for each in rule["anyOf"]))
    if "enum" in rule:
        return " | ".join(f'"{word}"' for word in rule["enum"])
    kind = rule.get("type")
    if kind == "null":
        return "null"
    if kind == "array":
        if "prefixItems" in rule:
            return f"[{', '.join(of(each) for each in rule['prefixItems'])}]"
        item = of(rule.get("items", {}))
        return f"({item})[]" if " | " in item else f"{item}[]"
    if kind == "object":
        more = rule.get("additionalProperties", True)
        held = of(more) if isinstance(more, dict) else "Json"
        return f"{{ [key: string]: {held} }}"
    return _SIMPLE.get(str(kind), "Json")


def interface(name: str, rule: dict[str, Any], sent: bool) -> str:
    """Give one type; what has a default may be left out of what is sent, never of an answer."""
    lines = [f"/** {rule['description']} */"] if rule.get("description") else []
    lines.append(f"export interface {name} {{")
    for key, each in rule.get("properties", {}).items():
        if about := each.get("description"):
            lines.append(f"  /** {about} */")
        mark = "?" if sent and key not in rule.get("required", ()) else ""
        lines.append(f"  {key}{mark}: {of(each)};")
    return "\n".join([*lines, "}"])


def types() -> str:
    """Give the whole file."""
    from hillwright.web.app import bare
    from hillwright.web.models import Sent

    found = bare(None).openapi()["components"]["schemas"]  # type: ignore[arg-type]
    sent = {each.__name__ for each in Sent.__subclasses__()}
    made = [
        interface(name, rule, name in sent)
        for name, rule in found.items()
        if rule.get("type") == "object" and not name.startswith("Body_")
    ]
    return HEAD + "\n" + "\n\n".join(made) + "\n"


if __name__ == "__main__":
    print(types(), end="")
