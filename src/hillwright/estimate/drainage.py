"""What the drains take: ditches to dig, linings, pipes, stones at their ends."""

from __future__ import annotations

from hillwright.estimate.model import TakeoffLine
from hillwright.runoff.drainmodel import Drain, Drainage


def drain_lines(drainage: Drainage) -> list[TakeoffLine]:
    """Count what each drain takes; amounts in SI, sized as in the workings of the drains."""
    return [line for drain in drainage.drains for line in _lines(drain)]


def _lines(drain: Drain) -> list[TakeoffLine]:
    ditch, lead = drain.ditch, drain.lead
    ditch_lead = lead.length if lead is not None and lead.kind == "ditch" else 0.0
    dug = TakeoffLine(
        f"{drain.name}, ditch",
        drain.length + ditch_lead,
        "m",
        "dug, trimmed to its fall and lined",
        (),
        f"falls to the {drain.end}",
    )
    lining = TakeoffLine(
        f"{drain.name}, lining",
        drain.lining_area,
        "m2",
        ditch.lining,
        (),
        "bottom and sides up to the brim; laps and anchor trenches not counted",
    )
    stones = TakeoffLine(
        f"{drain.name}, stones at its end",
        drain.stones,
        "m3",
        f"angular stone, half of it larger than {1e3 * float(drain.apron.median):.0f} mm",
        (),
        "on filter fabric, to break the force of the water",
    )
    lines = [dug, lining, stones]
    if lead is not None and lead.kind == "pipe":
        note = "held down on the slope, open at its end onto the stones"
        lines.insert(
            2,
            TakeoffLine(
                f"{drain.name}, pipe to the outlet",
                lead.length,
                "m",
                f"drain pipe, {1e3 * lead.diameter:.0f} mm inside",
                (),
                note,
            ),
        )
    return lines
