"""The fittings of the drip network on its sheets: what is joined where."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from hillwright import units
from hillwright.irrigation.fittings import Fitting, fittings_of
from hillwright.sheets.blocks import Table
from hillwright.units import System
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan


def fittings_table(plan: Plan) -> Table:
    """Give the fittings of each valve, and on which pipes they are."""
    system, rows = plan.opened.job.units, []
    for v in plan.irrigation.valves:
        found = fittings_of(v)
        for item in sorted({f.item for f in found}):
            mine = [f for f in found if f.item == item]
            rows.append((f"V{v.number}", in_units(item, system), str(len(mine)), _where(mine)))
    return Table(
        "Fittings of header and laterals",
        ("valve", "fitting", "pieces", "at"),
        tuple(rows),
        numbers=(2,),
        widths=(0.0, 0.0, 0.0, 1.0),
        notes=(
            "Counted from the pipes as they are led. A tee or cross is as wide as its widest pipe, "
            "with a reducer to each narrower one; a header's end has a flush end, its highest "
            "point the relief. At: the header at the row where a lateral leaves it, or the lateral "
            "of a row; how many, where there are several.",
        ),
    )


def _where(found: list[Fitting]) -> str:
    """Say on which pipes fittings are."""
    places = Counter((f.where, f.row) for f in found)
    said = []
    for (where, row), n in sorted(places.items()):
        name = ("header" if where == "header" else "") + (f" R{row:02d}" if row else "")
        said.append(name.strip() + (f" x {n}" if n > 1 else ""))
    return ", ".join(said)


def elbow_notes(at: list[float], system: System) -> tuple[str, ...]:
    """Say where along a lateral's tubing its elbows are [m]; nothing where it has none."""
    if not at:
        return ()
    places = ", ".join(units.show(x, "m", system) for x in at)
    return (f"{len(at)} elbow{'s' if len(at) > 1 else ''}, along the tubing at: {places}.",)
