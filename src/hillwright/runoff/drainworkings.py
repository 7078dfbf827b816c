"""How the figures of the drains came about."""

from __future__ import annotations

from hillwright.method import Number, Working
from hillwright.runoff.apron import stone_apron
from hillwright.runoff.ditch import size_ditch
from hillwright.runoff.drainmodel import Drain
from hillwright.runoff.partfull import part_full

SIDE = 2.0  # run of a side of a ditch for one of rise
_TAGS = {"depth": "m.small", "freeboard": "m.small", "shear": "Pa.small"}  # read better so


def workings(drains: tuple[Drain, ...]) -> tuple[Working, ...]:
    """Give the working of every figure of the drains."""
    return tuple(w for drain in drains for w in _of(drain))


def _of(drain: Drain) -> list[Working]:
    ditch, name = drain.ditch, f"drains.{drain.key}"
    given: dict[str, float | int | str] = {
        "flow": drain.flow,
        "gradient": drain.gradient,
        "side_slope": SIDE,
        "bottom_width": ditch.bottom_width,
        "lining": ditch.lining,
    }
    note = f"Design flow: {drain.of}. Lining: {ditch.lining}."
    made = [
        Working.of(
            f"{name}.{what}",
            size_ditch,
            given,
            getattr(ditch, what),
            output=what,
            unit=_TAGS.get(what, ""),
            note=note,
        )
        for what in ("depth", "freeboard", "top_width", "velocity", "shear")
    ]
    exact = "exact geometry of the ditch"
    length = Number("length", drain.length, "m")
    made += [
        Working(
            f"{name}.length",
            f"Length of the {drain.name}",
            "length of its line in plan",
            (),
            length,
            exact,
        ),
        Working(
            f"{name}.lining_area",
            f"Lining of the {drain.name}",
            "(b + 2 sqrt(1 + z^2) (d + freeboard)) L",
            (
                Number("L", drain.length, "m"),
                Number("b", ditch.bottom_width, "m"),
                Number("d", ditch.depth, "m.small"),
                Number("freeboard", ditch.freeboard, "m.small"),
                Number("z", SIDE, "-"),
            ),
            Number("area", drain.lining_area, "m2"),
            exact,
        ),
        Working.of(
            f"{name}.stone",
            stone_apron,
            {"flow": drain.flow, "rise": drain.rise},
            float(drain.apron.median),
            output="median",
            unit="m.small",
            note="Tailwater is not known and counts as 0.4 of the rise.",
        ),
        Working(
            f"{name}.stones",
            f"Stones at the end of the {drain.name}",
            "(3 D + W) / 2 L t",
            (
                Number("D", drain.rise, "m"),
                Number("W", float(drain.apron.end_width), "m"),
                Number("L", float(drain.apron.length), "m"),
                Number("t", float(drain.apron.thickness), "m"),
            ),
            Number("stones", drain.stones, "m3"),
            exact,
        ),
    ]
    if drain.lead is not None and drain.lead.kind == "pipe":
        made.append(
            Working.of(
                f"{name}.pipe",
                part_full,
                {
                    "flow": drain.flow,
                    "diameter": drain.lead.diameter,
                    "roughness": 0.02,
                    "gradient": drain.lead.gradient,
                },
                drain.lead.velocity,
                output="velocity",
                note="Full, it carries one and a half times the design flow, for leaves and mud.",
            )
        )
    return made
