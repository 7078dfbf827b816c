"""The sheets of the planting: plan, list, rows, calendar, sun; readable in black and white."""

from __future__ import annotations

import csv
import io
import math
from typing import TYPE_CHECKING

import numpy as np

from hillwright import units
from hillwright.arrays import Array, Index
from hillwright.planting.model import OPEN, USE_WORDS, WALKING, Planting
from hillwright.planting.palette import HOUR, Plant, water_class
from hillwright.planting.season import month_of, said
from hillwright.sheets.blocks import Block, Picture, RoomSheet, Table, Text
from hillwright.sheets.marks import Circle, Fill, Hatch, Line, Mark, Pen, Words
from hillwright.sheets.scale import MARGIN, paper_of
from hillwright.sheets.svg import svg
from hillwright.sheets.tables import number_ranges
from hillwright.units import System
from hillwright.wording import in_units

if TYPE_CHECKING:
    from hillwright.plan import Plan

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_FINE, _THIN = Pen(0.1), Pen(0.2)
_CROWN = Pen(0.35, (2.0, 1.0))
_BAND = 2.0  # hours of sun between two tones


def planting_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give the sheets of the planting; none where there is no cell."""
    planting = plan.planting
    if not len(planting.use):
        return ()
    codes = plant_codes(planting)
    answer = next(a for a in plan.answers if a.number == 6)
    whole: list[Block] = [
        _plan_picture(plan, codes),
        _legend(planting, codes),
        Text("In short", (answer.short, *answer.lines), listed=True),
        Text("Before you buy and plant", (answer.caution,), strong=True),
    ]
    listed: list[Block] = [_list(plan, codes), _rows(plan, codes)]
    year: list[Block] = [_calendar(planting, codes), _sun_picture(plan), _sun_table(planting)]
    if planting.unmet:
        system = plan.opened.job.units
        lines = tuple(in_units(f"{u.what}: {u.why}.", system) for u in planting.unmet)
        year.append(Text("Wished for and not met", lines, listed=True))
    return (
        RoomSheet("Planting plan", tuple(whole)),
        RoomSheet("Plant list and rows", tuple(listed)),
        RoomSheet("Planting calendar and sun", tuple(year)),
    )


def plant_codes(planting: Planting) -> tuple[str, ...]:
    """Give each plant two letters of its own, from its name."""
    taken: set[str] = set()
    found: list[str] = []
    for plant in planting.plants:
        word = "".join(c for c in plant.common if c.isalpha())
        tries = [word[0].upper() + c.lower() for c in word[1:]]
        tries += [word[0].upper() + c for c in "abcdefghijklmnopqrstuvwxyz0123456789"]
        code = next((t for t in tries if t not in taken), f"{len(found)}")
        taken.add(code)
        found.append(code)
    return tuple(found)


class _View:
    """The cells on paper: rows level, uphill at the top."""

    def __init__(self, plan: Plan) -> None:
        layout, paper = plan.layout, paper_of(plan.opened.job)
        top = layout.top_string[np.isfinite(layout.top_string[:, 0])]
        run = top[-1, :2] - top[0, :2] if len(top) > 1 else np.array([1.0, 0.0])
        turn = -math.atan2(run[1], run[0])
        c, s = math.cos(turn), math.sin(turn)
        self._turn = np.array([[c, s], [-s, c]])
        placed = layout.corners[..., :2] @ self._turn
        low, high = placed.min(axis=(0, 1)), placed.max(axis=(0, 1))
        for group in plan.planting.groups:
            plant = plan.planting.plants[group.plant]
            if plant.canopy:  # its crown may reach over the edge of the cells
                at = group.centre[:2] @ self._turn
                low = np.minimum(low, at - plant.width / 2)
                high = np.maximum(high, at + plant.width / 2)
        wide = paper.width - 2 * MARGIN - 8
        tall = paper.height * 0.55
        size = np.maximum(high - low, 1e-6)
        self.factor = float(min(wide / size[0], tall / size[1], 40.0))
        self.width, self.height = (float(v) for v in size * self.factor + 8)
        self._low = low
        self.corners = self.place(layout.corners[..., :2])

    def place(self, xy: Array) -> Array:
        """Place ground points (..., 2) [m] on paper [mm]."""
        return np.asarray((xy @ self._turn - self._low) * self.factor + 4)


def _letter(view: _View) -> float:
    wide = np.linalg.norm(view.corners[:, 1] - view.corners[:, 0], axis=1)
    tall = np.linalg.norm(view.corners[:, 3] - view.corners[:, 0], axis=1)
    return float(min(0.42 * np.median(wide), 0.62 * np.median(tall), 3.2))


def _plan_picture(plan: Plan, codes: tuple[str, ...]) -> Picture:
    view, planting = _View(plan), plan.planting
    marks: list[Mark] = []
    size = _letter(view)
    for i, quad in enumerate(view.corners):
        if planting.use[i] == WALKING:
            marks.append(Hatch("cells", quad, 1.1, math.pi / 4, _FINE))
        elif planting.use[i] == OPEN:
            marks.append(Line("cells", quad[[0, 2]], _FINE))
            marks.append(Line("cells", quad[[1, 3]], _FINE))
        marks.append(Line("cells", quad, _FINE, closed=True))
        if planting.plant[i] >= 0:
            at = quad.mean(axis=0)
            marks.append(
                Words("cell-numbers", (float(at[0]), float(at[1])), codes[planting.plant[i]], size)
            )
    for group in planting.groups:
        if len(group.cells) > 1:
            marks += [Line("cells", edge, _THIN) for edge in _border(view, group.cells)]
        plant = planting.plants[group.plant]
        if plant.canopy:
            x, y = view.place(group.centre[:2])
            radius = plant.width / 2 * view.factor
            marks.append(Circle("spots", (float(x), float(y)), radius, _CROWN))
    marks += _row_names(plan, view)
    notes = (
        "Letters: plants (see the list). Hatched: walking cells. Crossed: open cells. "
        "Dashed rings: crowns grown up. Uphill is at the top of the paper; not to a scale.",
    )
    return Picture(
        "What grows in which cell",
        svg(marks, view.width, view.height).encode(),
        view.width,
        view.height,
        "Cells with the letters of their plants, walking cells hatched, crowns as dashed rings",
        notes,
    )


def _border(view: _View, cells: Index) -> list[Array]:
    """Give the edges of a block of cells that no two of them share."""
    edges: dict[tuple[int, int], list[Array]] = {}
    for i in cells:
        quad = view.corners[i]
        for k in range(4):
            a, b = quad[k], quad[(k + 1) % 4]
            middle = (a + b) / 2
            edges.setdefault((round(middle[0] * 2), round(middle[1] * 2)), []).append(
                np.array([a, b])
            )
    return [e[0] for e in edges.values() if len(e) == 1]


def _row_names(plan: Plan, view: _View) -> list[Mark]:
    layout, found = plan.layout, []
    for row in np.unique(layout.row):
        first = np.flatnonzero(layout.row == row)[0]
        at = view.corners[first, [0, 3]].mean(axis=0)
        name = Words("row-labels", (float(at[0]) - 0.8, float(at[1])), f"R{row}", 2.0, 0.0, "right")
        found.append(name)
    return list(found)


def _legend(planting: Planting, codes: tuple[str, ...]) -> Table:
    rows = []
    for p in _by_kind(planting):
        cells = int((planting.plant == p).sum())
        rows.append(
            (codes[p], planting.plants[p].common, f"{planting.count[p]:,}", f"{cells:,}",
             planting.plants[p].caution)
        )  # fmt: skip
    return Table(
        "Letters",
        ("", "plant", "plants", "cells", "caution"),
        tuple(rows),
        (2, 3),
        (0, 2, 0, 0, 5),
    )


def _by_kind(planting: Planting) -> list[int]:
    """List the plants that are used, by kind and name."""
    used = [p for p in range(len(planting.plants)) if planting.count[p]]
    return sorted(used, key=lambda p: (planting.plants[p].kind, planting.plants[p].common))


def _list(plan: Plan, codes: tuple[str, ...]) -> Table:
    planting, system = plan.planting, plan.opened.job.units
    rows = []
    for p in _by_kind(planting):
        plant = planting.plants[p]
        rows.append(
            (
                codes[p],
                f"{plant.common} ({plant.botanical})" if plant.botanical else plant.common,
                plant.kind,
                f"{planting.count[p]:,}",
                _pair(plant.spacing, system),
                f"{_pair(plant.height, system)} / {_pair(plant.spread, system)}",
                planting.hydrozones[water_class(plant.factor)],
                plant.mix,
                _window(planting, p),
                f"{plant.source} [{plant.status}]",
            )
        )
    return Table(
        "Plant list",
        ("", "plant", "kind", "plants", "spacing", "height / spread, mature", "water", "mix",
         "sow or set out", "source"),
        tuple(rows),
        (3,),
        (0, 2.4, 0, 0, 0, 1.6, 0, 1, 1, 2.6),
        (
            "Kinds, frost classes, harvest months, mixes and cautions are from memory: confirm "
            "them against a local extension list before anything is sold or planted by them.",
        ),
    )  # fmt: skip


def _pair(pair: tuple[float, float], system: System) -> str:
    low, label, _ = units.shown(pair[0], "m.small", system)
    high = units.shown(pair[1], "m.small", system)[0]
    text = f"{low:,.0f}" if round(low) == round(high) else f"{low:,.0f} to {high:,.0f}"
    return f"{text} {label}"


def _window(planting: Planting, p: int) -> str:
    first, last = planting.windows[p]
    return f"{said(first)} to {said(last)}"


def _rows(plan: Plan, codes: tuple[str, ...]) -> Table:
    planting, layout = plan.planting, plan.layout
    rows = []
    for row in np.unique(layout.row):
        mine = np.flatnonzero(layout.row == row)
        held: dict[str, list[int]] = {}
        for i in mine:
            p = planting.plant[i]
            word = codes[p] if p >= 0 else "walk" if planting.use[i] == WALKING else "open"
            held.setdefault(word, []).append(int(layout.number[i]))
        text = "; ".join(f"{word} {number_ranges(cells)}" for word, cells in held.items())
        zones = sorted({int(z) for z in planting.hydrozone[mine] if z >= 0})
        water = ", ".join(planting.hydrozones[z] for z in zones)
        rows.append((f"R{row}", text, water))
    return Table(
        "Row by row: letters and cells, counted from the left looking uphill",
        ("row", "what goes where", "water"),
        tuple(rows),
        (),
        (0, 6, 1),
    )


def _calendar(planting: Planting, codes: tuple[str, ...]) -> Table:
    rows = []
    for p in _by_kind(planting):
        plant = planting.plants[p]
        months = [_month(planting, p, m) for m in range(1, 13)]
        rows.append((codes[p], plant.common, *months))
    total = [
        "".join(("B" if planting.bloom[m] else "", "H" if planting.harvest[m] else ""))
        for m in range(12)
    ]
    rows.append(("", "the whole", *total))
    return Table(
        "Month by month",
        ("", "plant", *MONTHS),
        tuple(rows),
        (),
        (0, 3, *([1.0] * 12)),
        ("P: sow or set out. B: in bloom. H: to pick.",),
    )


def _month(planting: Planting, p: int, month: int) -> str:
    first, last = planting.windows[p]
    span = (last - first) % 365
    plants = {month_of(first + d) for d in range(0, span + 1, 5)}
    return "".join(
        letter
        for letter, months in (
            ("P", plants),
            ("B", planting.bloom_months[p]),
            ("H", planting.harvest_months[p]),
        )
        if month in months
    )


def _sun_picture(plan: Plan) -> Picture:
    view, planting = _View(plan), plan.planting
    hours = planting.season / HOUR
    marks: list[Mark] = []
    size = 0.9 * _letter(view)
    for i, quad in enumerate(view.corners):
        tone = min(1.0, 0.35 + 0.65 * math.floor(hours[i] / _BAND) * _BAND / 12.0)
        marks.append(Fill("cells", quad, tone))
        marks.append(Line("cells", quad, _FINE, closed=True))
        at = quad.mean(axis=0)
        marks.append(Words("cell-numbers", (float(at[0]), float(at[1])), f"{hours[i]:.0f}", size))
    marks += _row_names(plan, view)
    return Picture(
        "Hours of direct sun in a mean clear day of the growing season",
        svg(marks, view.width, view.height).encode(),
        view.width,
        view.height,
        "Cells in tones of grey with their hours of sun",
        ("Lighter is sunnier. Planned trees are grown up.",),
    )


def _sun_table(planting: Planting) -> Table:
    rows = []
    for m in range(12):
        hours = planting.sun[m] / HOUR
        share = 100 * planting.energy[m].mean() / planting.level[m] if planting.level[m] else 0.0
        rows.append(
            (MONTHS[m], f"{hours.min():.1f}", f"{hours.mean():.1f}", f"{hours.max():.1f}",
             f"{share:.0f}")
        )  # fmt: skip
    return Table(
        "Sun by month",
        ("month", "least [h]", "mean [h]", "most [h]", "radiation, % of level ground"),
        tuple(rows),
        (1, 2, 3, 4),
    )


def planting_csv(plan: Plan) -> str:
    """Give every cell: use, plant, water, mix, and its sun by month in hours a day."""
    planting, layout = plan.planting, plan.layout
    head = ["row", "number", "use", "plant", "common", "water", "mix", "sun_season_h"]
    head += [f"sun_{m.lower()}_h" for m in MONTHS]
    rows = []
    for i in range(len(planting.use)):
        p = planting.plant[i]
        plant: Plant | None = planting.plants[p] if p >= 0 else None
        rows.append(
            [
                int(layout.row[i]),
                int(layout.number[i]),
                USE_WORDS[planting.use[i]],
                plant.id if plant else "",
                plant.common if plant else "",
                planting.hydrozones[planting.hydrozone[i]] if plant else "",
                planting.mixes[planting.mix[i]] if plant else "",
                f"{planting.season[i] / HOUR:.2f}",
                *(f"{planting.sun[m, i] / HOUR:.2f}" for m in range(12)),
            ]
        )
    return _csv(head, rows)


def plants_csv(plan: Plan) -> str:
    """Give the plant list: how many of each, sizes in the job's units, months, source."""
    planting, system = plan.planting, plan.opened.job.units
    factor, label, _ = units.shown(1.0, "m.small", system)
    head = ["plant", "common", "botanical", "kind", "plants", "cells"]
    sized = ("spacing", "height", "spread")
    head += [f"{what}_{end}_{label}" for what in sized for end in ("least", "most")]
    head += ["water", "mix", "plant_from", "plant_to", "bloom", "harvest"]
    head += ["caution", "source", "status"]
    rows = []
    for p in _by_kind(planting):
        plant = planting.plants[p]
        first, last = planting.windows[p]
        pairs = (plant.spacing, plant.height, plant.spread)
        sizes = [f"{v * factor:.1f}" for pair in pairs for v in pair]
        rows.append(
            [
                plant.id,
                plant.common,
                plant.botanical,
                plant.kind,
                int(planting.count[p]),
                int((planting.plant == p).sum()),
                *sizes,
                planting.hydrozones[water_class(plant.factor)],
                plant.mix,
                said(first),
                said(last),
                " ".join(map(str, planting.bloom_months[p])),
                " ".join(map(str, planting.harvest_months[p])),
                plant.caution,
                plant.source,
                plant.status,
            ]
        )
    return _csv(head, rows)


def _csv(head: list[str], rows: list[list[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue()
