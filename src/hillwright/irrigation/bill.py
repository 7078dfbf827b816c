"""Counts of everything that a network is made of."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from hillwright.irrigation.fittings import fittings_of
from hillwright.irrigation.model import Part, Valve

SPARE = 0.05  # tubing ordered over the lengths drawn; common practice, no source

_WHERE = {
    "air and vacuum relief": "at each header's highest point",
    "check valve": "where a lateral leaves the header, each side its own: the hill stays full",
    "cross": "where two pipes leave a third at one place",
    "elbow": "where a pipe turns more sharply than tubing bends",
    "flush end": "at the far ends of laterals and headers",
    "reducer": "where the size changes, also at a tee or cross",
    "tee": "where one pipe leaves another; at a header's end with its flush end or relief",
}


def bill(valves: Sequence[Valve], assembly: str) -> tuple[Part, ...]:
    """Count the parts of all valves, in the order in which they are laid."""
    found: list[Part] = [
        Part(f"backflow assembly: {assembly}", 1, "each", "what the local code allows decides"),
        Part("filter, 120 mesh (130 micron) or finer", 1, "each", "behind the backflow assembly"),
        Part("control valve", len(valves), "each", "one for each valve's plants"),
        Part("isolation valve", len(valves), "each", "before each control valve"),
    ]
    presets = Counter(round(v.regulator, 6) for v in valves)
    found += [
        Part(f"pressure regulator, {head:.2f} m of water", n, "each", "preset behind the valve")
        for head, n in sorted(presets.items())
    ]
    if len(valves) > 1:
        found.append(
            Part("tee at the tap", len(valves) - 1, "each", "from the supply to each valve")
        )
    metres: defaultdict[tuple[str, str], float] = defaultdict(float)
    for v in valves:
        for k, part in enumerate(v.part):
            if k:
                what = "to the stakes" if part == "small" else part
                metres[what, v.tubes[int(v.size[k])].name] += float(v.walked[k])
    for (what, name), long in sorted(metres.items()):
        found.append(Part(f"tubing, {name}, {what}", round(long * (1 + SPARE), 1), "m", "5 % over"))
    joints = Counter(f.item for v in valves for f in fittings_of(v))
    found += [Part(item, n, "each", _said(item)) for item, n in sorted(joints.items())]
    kinds: Counter[str] = Counter()
    for v in valves:
        kinds.update(v.types[int(k)].name for k in v.punches.kind)
    found += [Part(f"emitter, {name}", n, "each", "") for name, n in sorted(kinds.items())]
    many = sum(len(v.punches.node) for v in valves)
    found += [
        Part("punched connector", many, "each", "one for each emitter"),
        Part("stake", many, "each", "one for each emitter"),
    ]
    return tuple(found)


def _said(item: str) -> str:
    """Say where a fitting is."""
    return _WHERE[item.split(",")[0]]
