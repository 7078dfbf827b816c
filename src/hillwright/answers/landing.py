"""How fast the drip water lands, told with the rule, its source and what to do."""

from __future__ import annotations

import math

from hillwright import units
from hillwright.irrigation.model import Landing, Valve
from hillwright.layout.model import Layout
from hillwright.units import System


def lands(valve: Valve, found: Landing, layout: Layout, system: System) -> tuple[str, ...]:
    """Give the lines of one valve: against the rule for the slope, and against the soil."""
    rate = units.show(found.rate, "m/s.small", system)
    where = f"row {layout.row[found.cell]} cell {layout.number[found.cell]}"
    ground = f"ground of {100 * found.slope:.0f} %"
    if math.isinf(found.limit):
        told = [f"  Water lands at up to {rate} ({where}); no printed rule holds for {ground}."]
    else:
        limit = units.show(found.limit, "m/s.small", system)
        kept = "over" if found.over else "within"
        told = [
            f"  Water lands at up to {rate} ({where}), {kept} the {limit} that printed rules allow "
            f"on {ground}."
        ]
    if found.over:
        told.append(f"  What would do: {_remedy(valve, found)}.")
    if found.emitter > found.emitter_limit * (1 + 1e-6):
        own, most = (
            units.show(q, "m3/s.drip", system) for q in (found.emitter, found.emitter_limit)
        )
        told.append(f"  Its largest emitter gives {own}; one of these rules allows {most}.")
    if found.texture:
        told.append(_soaks(found, system))
    return tuple(told)


def _remedy(valve: Valve, found: Landing) -> str:
    cut = "cycle and soak as the program does, shown to an inspector to cause no runoff"
    if (slow := found.gentler) is None:
        return f"{cut}; emitters of less flow (none of those offered keep the rule in the time)"
    return (
        f'{cut}; or "gentle = true" under [irrigation]: {slow.emitters} emitters in place of '
        f"{len(valve.punches.node)}, open {slow.run / 60:.0f} min on the peak day, which keeps the "
        f"rule at {100 * slow.more:.0f} % more water"
    )


def _soaks(found: Landing, system: System) -> str:
    spot, takes = (units.show(v, "m/s.small", system) for v in (found.spot, found.intake))
    if math.isinf(found.longest):
        return f"  Under the emitters {spot}, and {found.texture} takes {takes}: nothing runs off."
    soak = math.ceil(found.soak / 60)
    return (
        f"  Under the emitters up to {spot}, and {found.texture} takes {takes}: at most "
        f"{math.floor(found.longest / 60)} min at a time and {soak} min to soak in, or it runs off "
        "the soil's top; the program is cut so."
    )
