"""What a job can be started from: the invented examples, tape sections as typed, a survey alone."""

from __future__ import annotations

import json
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from hillwright.errors import HillwrightError, JobError
from hillwright.store.model import JOB_FILE
from hillwright.units import System
from hillwright.web.models import Example, TapeSection

ABOUT = {
    "bracken-bank": "A short steep bank, measured with a tape and an inclinometer.",
    "quarry-garden": "A rounded spur above a quarry face, shot with a total station.",
    "long-meadow": "A long hillside from the air, with the hill above it.",
}


def _folder() -> Traversable:
    """Give where the examples lie: in the package, or beside it in a checkout."""
    packed = resources.files("hillwright") / "examples"
    return packed if packed.is_dir() else Path(__file__).parents[3] / "examples"


def examples() -> list[Example]:
    """List the examples that come with the program."""
    return [
        Example(key=key, name=key.replace("-", " ").capitalize() + " (invented)", about=about)
        for key, about in ABOUT.items()
        if (_folder() / key / JOB_FILE).is_file()
    ]


def example(key: str) -> dict[str, bytes]:
    """Give the files of an example.

    Raises
    ------
    HillwrightError
        There is none of that name.
    """
    if key not in {e.key for e in examples()}:
        right = "name one of " + ", ".join(e.key for e in examples())
        raise HillwrightError(f"example {key!r}", "is not there", right)
    return {
        p.name: p.read_bytes()
        for p in (_folder() / key).iterdir()
        if p.is_file() and not p.name.startswith(".")
    }


def typed(
    sections: list[TapeSection], name: str, units: System, outline: list[tuple[str, str]] | None
) -> dict[str, bytes]:
    """Make a job of tape sections as somebody typed them, up the slope from a base line."""
    lines = ["section, chainage, base_height, side, leg, distance, angle, rise, note"]
    for number, section in enumerate(sections, 1):
        for leg, each in enumerate(section.legs, 1):
            first = (section.station, section.height, "left") if leg == 1 else ("", "", "")
            cells = (str(number), *first, str(leg), each.distance, each.angle, "", "")
            for text in cells:
                if any(c in text for c in ',"\n\r'):
                    where = f"section {number}, leg {leg}"
                    raise JobError(where, f"{text!r} is not a measure", 'write it as "5.2 ft"')
            lines.append(", ".join(cells))
    corners = [list(corner) for corner in outline or []]
    more = f"\n[outline]\ncorners = {json.dumps(corners)}\n" if corners else ""
    text = _job(name or "My hillside", units, "sections", "sections.csv") + more
    return {JOB_FILE: text.encode(), "sections.csv": "\n".join([*lines, ""]).encode()}


def around(survey: str, content: bytes, units: System, name: str = "") -> dict[str, bytes]:
    """Make a job around a survey that came alone, by what it looks like."""
    stem, _, kind = survey.rpartition(".")
    head = content[:4000].decode("utf-8", "replace").lower()
    if kind.lower() in ("tif", "tiff"):
        found, unit = "dem", ""
    elif "chainage" in head and "distance" in head:
        found, unit = "sections", ""
    else:
        # LandXML says its own unit; a list of points seldom does
        found = "points"
        unit = "" if head.lstrip().startswith("<") else {"us": "ft", "metric": "m"}[units]
    text = _job(name or stem.replace("_", " "), units, found, survey, unit)
    return {JOB_FILE: text.encode(), survey: content}


def _job(name: str, units: System, kind: str, file: str, unit: str = "") -> str:
    quoted = {k: json.dumps(v, ensure_ascii=False) for k, v in (("name", name), ("file", file))}
    more = f'unit = "{unit}" # of the numbers in the file: check it\n' if unit else ""
    return (
        f'units = "{units}"\n\n[site]\nname = {quoted["name"]}\n\n'
        f'[survey]\nkind = "{kind}"\nfile = {quoted["file"]}\n{more}'
    )
