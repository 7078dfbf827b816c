"""Tables of the watering as CSV: what each cell wants, and what is set at the controller."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.answers.water import days_text, starts_text
from hillwright.watering.words import month_name, too_short, too_short_dry

if TYPE_CHECKING:
    from hillwright.plan import Plan


def water_csv(plan: Plan) -> str:
    """Give a row for each cell: hydrozone, litres or gallons a day by month, peak for the pipes."""
    found, layout, system = plan.watering, plan.layout, plan.opened.job.units
    _, unit, _ = units.shown(1.0, "m3.water", system)
    factor = units.shown(1.0, "m3.water", system)[0]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    months = [f"{month_name(m)[:3].lower()} ({unit}/day)" for m in range(12)]
    writer.writerow(["row", "number", "planting", "hydrozone", *months, f"peak ({unit}/day)"])
    for i in range(len(layout.row)):
        kind, zone = int(found.planted.kind[i]), int(found.planted.zone[i])
        writer.writerow([
            int(layout.row[i]),
            int(layout.number[i]),
            found.planted.kinds[kind] if kind >= 0 else "",
            found.planted.zones[zone] if zone >= 0 else "",
            *(f"{factor * v:.3f}" for v in found.demand.daily[i]),
            f"{factor * found.demand.peak[i]:.3f}",
        ])  # fmt: skip
    return out.getvalue()


def program_csv(plan: Plan) -> str:
    """Give a row for each valve and month: days, start, minutes, cycles, soak, share, dry year."""
    found, program, dry = plan.watering, plan.watering.program, plan.watering.dry_program
    stop = (*too_short(found), *too_short_dry(found))
    late = (program.over > 0) | (dry.over > 0)
    fit = [f"STOP: {stop[0]}" if late[m] and stop else "yes" for m in range(12)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([
        "valve", "month", "days", "starts a day", "start times", "minutes", "cycles", "soak (min)",
        "share of busiest (%)", "first year: minutes", "dry year: days", "dry year: minutes",
        "fits the windows",
    ])  # fmt: skip
    for v, name in enumerate(found.valves.names):
        for m in range(12):
            writer.writerow([
                name, month_name(m), days_text(program, v, m), int(program.starts[v, m]),
                starts_text(program, v, m),
                int(program.minutes[v, m]), int(program.cycles[v, m]), int(program.soak[v, m]),
                int(program.percent[v, m]), int(found.first_minutes[v, m]), days_text(dry, v, m),
                int(dry.minutes[v, m]), fit[m],
            ])  # fmt: skip
    return out.getvalue()
