"""Sentences on the year's water, its allowance and the cells that dry out: answer and sheets."""

from __future__ import annotations

from collections.abc import Sequence

from hillwright import units
from hillwright.layout.model import Layout
from hillwright.units import System
from hillwright.watering.bridge import Short, short_cells
from hillwright.watering.model import Watering
from hillwright.watering.waste import year_use
from hillwright.watering.words import month_name
from hillwright.wording import plural

_WORTH = 0.03  # of the year's water: a saving that is told


def clock_text(seconds: float) -> str:
    """Write a time of day as "04:30"."""
    minutes = round(seconds / 60) % 1440
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def where_it_goes(found: Watering, system: System) -> list[str]:
    """Say what becomes of a mean year's water, why it is more than plants use, and what saves."""
    use = year_use(found)
    if use.given < use.plants:  # the days' own rain does more than a month's mean tells
        wanted, had = (units.show(v, "m3.garden", system) for v in (use.plants, use.given))
        return [
            f"Of the {wanted} a year that the plants use beyond a mean month's effective rain, the "
            f"program gives {had}: rain as it falls on the days of this weather does the rest."
        ]
    given, plants, way, shared, held = (
        units.show(v, "m3.garden", system)
        for v in (use.given, use.plants, use.way, use.shared, abs(use.held))
    )
    part = f"{100 * found.rules.efficiency:.0f} %"
    last = (
        f"{held} since minutes are whole and hold through days hotter and drier than the month's "
        "mean"
        if use.held >= 0
        else f"less {held} that the days' own rain saves"
    )
    lines = [
        f"Of {given} a year the plants use {plants} beyond the rain. {way} is lost on the way "
        f"({part} reaches the roots), {shared} is given since all on a valve run as long as its "
        f"neediest cell, {last}."
    ]
    saves = []
    best = max(use.splits, key=lambda s: s.saved, default=None)
    if best is not None and best.saved > _WORTH * use.given:
        kind = found.planted.kinds[best.kind].lower()
        name = found.valves.names[best.valve].split(":")[0]
        saved = units.show(best.saved, "m3.garden", system)
        saves.append(f"a valve of its own for {kind} (now on {name}): {saved}")
    if use.idle > _WORTH * use.given:
        saved = units.show(use.idle, "m3.garden", system)
        saves.append(f"closing the emitters of cells in which nothing grows: {saved}")
    if use.held > _WORTH * use.given:
        saves.append(f"a controller that follows the weather, or deeper soil: up to {held}")
    if saves:
        lines.append(f"What would save water, a year: {'; '.join(saves)}.")
    return lines


def against_allowance(found: Watering, system: System) -> list[str]:
    """Say how estimate and program stand to the allowance, and what would bring them below."""
    use, most, given = (
        units.show(v, "m3.garden", system)
        for v in (found.estimated, found.allowance, float(found.season[0].given.sum()))
    )
    cells = plural(int((found.planted.kind >= 0).sum()), "watered cell")
    verdict = "within" if found.complies else "ABOVE"
    lines = [
        f"Water budget of a model landscape ordinance, {cells}: estimated use {use} a year, "
        f"{verdict} the allowance of {most}. Ask which ordinance is in force."
    ]
    if not found.complies:
        lines.append(_remedy(found, system))
    ratio = float(found.season[0].given.sum()) / max(found.allowance, 1e-12)
    if ratio > 1:
        lines.append(
            f"The program gives {given} a year, {ratio:.2f} times the allowance: OVER THE "
            f"ALLOWANCE. {_why_over(found, system)}"
        )
    return lines


def _why_over(found: Watering, system: System) -> str:
    area, canopy = float(found.worksheet_area.sum()), float(found.planted.canopy.sum())
    why = "The allowance counts one plant factor over the cells' area and no shared valve"
    if canopy > 1.02 * area:
        shaded, cells = (units.show(v, "m2", system) for v in (canopy, area))
        why += f"; the plants shade {shaded} and the cells have {cells}"
    return f"{why}. See where the water goes; fewer thirsty plants save most."


def _remedy(found: Watering, system: System) -> str:
    """Say what would bring the estimate within: thirsty plants that are not food, changed."""
    regular = ~found.worksheet_special
    if not regular.any():
        return "Every area is counted as food already: water less area."
    worst = max(
        (k for k in range(len(found.worksheet_zone)) if regular[k]),
        key=lambda k: float(found.worksheet_etaf[k]),
    )
    over = found.estimated - found.allowance
    area, use = float(found.worksheet_area[worst]), float(found.worksheet_use[worst])
    low = 0.3 / found.rules.efficiency
    saved = use / area * (1 - low / max(float(found.worksheet_etaf[worst]), low))
    name = found.worksheet_zone[worst]
    if saved <= 0 or over / saved > area:
        return (
            f'To comply: change the plants of "{name}" (factor '
            f"{found.worksheet_factor[worst]:.2f}) for low ones (0.30), and water less area."
        )
    return (
        f"To comply: on {units.show(over / saved, 'm2', system)} of the "
        f'{units.show(area, "m2", system)} of "{name}" (factor '
        f"{found.worksheet_factor[worst]:.2f}) grow plants of factor 0.30 or food."
    )


def named_cells(layout: Layout, cells: Sequence[int]) -> str:
    """Write cells as "row 2: 3 to 5, 9; row 4: 1"."""
    rows: dict[int, list[int]] = {}
    for i in cells:
        if i >= len(layout.row):  # a layout that was cut since
            continue
        rows.setdefault(int(layout.row[i]), []).append(int(layout.number[i]))
    return "; ".join(f"row {r}: {_runs(sorted(rows[r]))}" for r in sorted(rows))


def _runs(numbers: list[int]) -> str:
    said, first = [], numbers[0]
    for a, b in zip(numbers, [*numbers[1:], -9], strict=True):
        if b != a + 1:
            said.append(f"{first} to {a}" if a > first + 1 else f"{first}" if a == first
                        else f"{first}, {a}")  # fmt: skip
            first = b
    return ", ".join(said)


def remedy_of(found: Watering, short: Short, system: System) -> str:
    """Say what would let cells last: a window, deeper soil, or a plant of less thirst."""
    ways = []
    if short.windows:
        more = " and ".join(f"{clock_text(a)} to {clock_text(b)}" for a, b in short.windows)
        ways.append(f"a further window {more}")
    if short.depth:
        ways.append(f"mix {units.show(short.depth, 'm.small', system)} deep")
    ways.append(f"a plant of factor {short.factor:.2f} or less")
    return f"{', '.join(ways)}; mulch helps a little"


def dry_cells(found: Watering, layout: Layout, system: System) -> list[str]:
    """Say which cells cannot bridge the wait between waterings, worst first."""
    said = []
    for s in short_cells(found):
        kind = found.planted.kinds[s.kind]
        kind = kind[:1].upper() + kind[1:]
        said.append(
            f"{kind}, {plural(len(s.cells), 'cell')} ({named_cells(layout, s.cells.tolist())}): on "
            f"a hot day of {month_name(s.month)} uses {s.strain:.2f} times what the soil may lose "
            f"between two waterings; {s.days:.0f} days of stress a year. Would do: "
            f"{remedy_of(found, s, system)}."
        )
    return said
