"""What the drains take: ditches to dig, linings, pipes, stones and the fabric under them."""

from __future__ import annotations

from hillwright.estimate.model import TakeoffLine
from hillwright.runoff.drainmodel import Drain, Drainage

STONE = 1500.0  # angular stone, loose: common practice, no source [kg/m3]


def drain_lines(drainage: Drainage) -> list[TakeoffLine]:
    """Count what each drain takes; amounts in SI, sized as in the workings of the drains."""
    return [line for drain in drainage.drains for line in _lines(drain)]


def _lines(drain: Drain) -> list[TakeoffLine]:
    ditch, lead, dig = drain.ditch, drain.lead, (drain.key,)
    ditch_lead = lead.length if lead is not None and lead.kind == "ditch" else 0.0
    lines = [
        TakeoffLine(
            f"{drain.name}, ditch",
            drain.length + ditch_lead,
            "m",
            "dug, trimmed to its fall and lined",
            (),
            f"falls to the {drain.end}",
            "work",
            works=dig,
            traced=(drain.name,),
        ),
        TakeoffLine(
            f"{drain.name}, lining",
            drain.lining_area,
            "m2",
            ditch.lining,
            (),
            "bottom and sides up to the brim; anchor trenches not counted",
            group="fabric",
            works=dig,
            traced=(drain.name,),
        ),
    ]
    if lead is not None and lead.kind == "pipe":
        lines.append(
            TakeoffLine(
                f"{drain.name}, pipe to the outlet",
                lead.length,
                "m",
                f"drain pipe, {1e3 * lead.diameter:.0f} mm inside",
                (),
                "held down on the slope, open at its end onto the stones",
                group="tubing",
                works=dig,
                traced=(drain.name, "its lead to the outlet"),
            )
        )
    lines.append(
        TakeoffLine(
            f"{drain.name}, stones at its end",
            drain.stones,
            "m3",
            f"angular stone, half of it larger than {1e3 * float(drain.apron.median):.0f} mm",
            (),
            "on filter fabric, to break the force of the water",
            group="stone",
            works=dig,
            mass=drain.stones * STONE,
            traced=(drain.name, "the apron at its end"),
        )
    )
    if drain.apron_area > 0:
        lines.append(
            TakeoffLine(
                f"{drain.name}, filter fabric under the stones",
                drain.apron_area,
                "m2",
                "geotextile, nonwoven",
                (),
                "keeps the ground from washing out between the stones",
                group="fabric",
                works=dig,
                traced=(drain.name, "the apron at its end"),
            )
        )
    return lines
