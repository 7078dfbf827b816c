"""Counts of everything that a network is made of."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from hillwright.irrigation.model import Part, Valve

SPARE = 0.05  # tubing ordered over the lengths drawn; common practice, no source


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
    found.append(
        Part("air and vacuum relief", len(valves), "each", "at each header's highest point")
    )
    metres: defaultdict[tuple[str, str], float] = defaultdict(float)
    for v in valves:
        for k, part in enumerate(v.part):
            if k:
                what = "to the stakes" if part == "small" else part
                metres[what, v.tubes[int(v.size[k])].name] += float(v.walked[k])
    for (what, name), long in sorted(metres.items()):
        found.append(Part(f"tubing, {name}, {what}", round(long * (1 + SPARE), 1), "m", "5 % over"))
    laterals = sum(len(v.carriers) for v in valves)
    found += [
        Part("take-off from header to lateral", laterals, "each", "one for each lateral"),
        Part("check valve", laterals, "each", "one in each take-off: the hill stays full"),
        Part("flush end", sum(_ends(v) for v in valves), "each", "at the far ends of laterals"),
    ]
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


def _ends(valve: Valve) -> int:
    """Count the ends of a valve's laterals: a side of the header with plants has one."""
    p = valve.punches
    return len(set(zip(p.lateral.tolist(), p.side, strict=True)))
