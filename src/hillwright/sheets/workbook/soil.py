"""Soil by row and mix, what to order of each component, bags and loads; mulch."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from hillwright import units
from hillwright.fill.components import component
from hillwright.sheets.workbook.page import Formula, Given, Page, whole_up

if TYPE_CHECKING:
    from hillwright.plan import Plan


class Unit(NamedTuple):
    """A unit of the job: how many of it are one of SI, and its name."""

    factor: float
    label: str


def unit_of(tag: str, system: units.System) -> Unit:
    """Give the unit in which the job shows large amounts of a kind."""
    factor, label, _ = units.shown(1.0, tag, system)
    return Unit(factor, label)


def soil_page(plan: Plan) -> Page:
    """Give the page of soil and mulch."""
    fill, layout, system = plan.fill, plan.layout, plan.opened.job.units
    vol, mass = unit_of("m3", system), unit_of("kg", system)
    per = mass.factor / vol.factor  # of a density in SI
    page = Page("Soil", "Soil and mulch", (30, 22, 14, 14, 14, 14, 16, 14, 14))
    page.add("Soil and mulch", style="title")
    page.notes(
        [
            "Shaded numbers are yours to change; the others follow. In place: once settled. Loose: "
            "to carry up. To order: with waste, blended.",
        ]
    )
    page.block("Supply", ("setting", "value", "unit"))
    waste = page.at("B", page.add("waste", Given(fill.waste, 1, percent=True), "of loose volume"))
    bag = page.at("B", page.add("a bag holds", Given(fill.bag * vol.factor, 4), vol.label))
    truck = page.at("B", page.add("a load holds", Given(fill.truck * vol.factor), vol.label))
    payload = page.at("B", page.add("a load may weigh", Given(fill.payload * mass.factor, 0),
                                    mass.label))  # fmt: skip
    mixes = page.block("Mixes", ("mix", "settles", "mixing loses"))
    loss_at: dict[str, str] = {}
    for t in fill.totals:
        row = page.add(
            t.mix.name,
            Given(t.mix.settlement, 1, percent=True),
            Given(t.mix.mixing_loss, 1, percent=True),
        )
        loss_at[t.mix.name] = page.at("C", row)
    table = (page.span("A", mixes, page.next - 1), page.span("B", mixes, page.next - 1))
    head = ("row", "mix", "cells", f"in place [{vol.label}]", f"loose [{vol.label}]",
            f"to order [{vol.label}]")  # fmt: skip
    first = page.block("By row and mix", head)
    for r in fill.row.tolist():
        for i, mix in enumerate(fill.mixes):
            here = (layout.row == r) & (fill.mix == i) & (fill.settled > 0)
            if not here.any():
                continue
            n = page.next
            settled = float(fill.settled[here].sum()) * vol.factor
            loose = float(fill.loose[here].sum()) * vol.factor
            settles = f"SUMIF({table[0]},B{n},{table[1]})"
            page.add(
                int(r),
                mix.name,
                int(here.sum()),
                Given(settled),
                Formula(f"D{n}/(1-{settles})", loose),
                Formula(f"E{n}*(1+{waste})", loose * (1 + fill.waste)),
            )
    last = page.next - 1
    if last >= first:
        sums = (fill.total_settled, fill.total_loose, fill.total_ordered)
        page.add(
            "all", "", Formula(f"SUM(C{first}:C{last})", int((fill.settled > 0).sum()), 0,
                               total=True),
            *(Formula(f"SUM({c}{first}:{c}{last})", v * vol.factor, total=True)
              for c, v in zip("DEF", sums, strict=True)),
            style="total",
        )  # fmt: skip
    by_mix = (page.span("B", first, last), page.span("F", first, last))
    _components(page, plan, by_mix, loss_at, (bag, truck, payload), vol, mass, per)
    _mulch(page, plan, vol, waste, bag)
    return page


def _components(
    page: Page,
    plan: Plan,
    by_mix: tuple[str, str],
    loss_at: dict[str, str],
    packs: tuple[str, str, str],
    vol: Unit,
    mass: Unit,
    per: float,
) -> None:
    fill = plan.fill
    bag, truck, payload = packs
    head = ("component", "mix", "share of mix", f"to put in, loose [{vol.label}]")
    first = page.block("What the mixes are blended from", head)
    for t in fill.totals:
        for (name, share), (_, volume) in zip(
            [p for p in t.mix.parts if p[1] > 0], t.parts, strict=True
        ):
            n = page.next
            ordered = f"SUMIF({by_mix[0]},B{n},{by_mix[1]})"
            page.add(
                name,
                t.mix.name,
                Given(share, 1, percent=True),
                Formula(f"{ordered}*C{n}/(1-{loss_at[t.mix.name]})", volume * vol.factor),
            )
    last = page.next - 1
    parts, amounts = page.span("A", first, last), page.span("D", first, last)
    heads = ("component", "", f"loose [{vol.label}]", f"weighs [{mass.label}/{vol.label}]",
            f"all of it [{mass.label}]", "bags", "loads", "swells from the ground",
            f"to dig [{vol.label}]")  # fmt: skip
    page.block("To order or to dig", heads)
    for p in fill.parts:
        c, n = component(p.name), page.next
        dug = c.swell > 0
        exact = p.loose / fill.truck, p.mass / fill.payload
        page.add(
            p.name,
            "dug on the site" if dug else fill.supply,
            Formula(f"SUMIF({parts},A{n},{amounts})", p.loose * vol.factor),
            Given(c.moist * per, 1),
            Formula(f"C{n}*D{n}", p.mass * mass.factor, 0),
            "" if dug else Formula(whole_up(f"C{n}/{bag}"), p.bags, 0),
            "" if dug else Formula(
                whole_up(f"MAX(C{n}/{truck},E{n}/{payload})"), int(np.ceil(max(exact) - 1e-9)), 0
            ),
            Given(c.swell, 1, percent=True) if dug else "",
            Formula(f"C{n}/(1+H{n})", p.bank * vol.factor) if dug else "",
        )  # fmt: skip


def _mulch(page: Page, plan: Plan, vol: Unit, waste: str, bag: str) -> None:
    fill, layout = plan.fill, plan.layout
    if fill.mulch_ordered <= 0:
        return
    settles = 1 - float(fill.mulch.sum()) * (1 + fill.waste) / fill.mulch_ordered
    page.add()
    page.add(f"Mulch: {fill.mulch_kind}", style="title")
    at = page.at("B", page.add("settles", Given(round(settles, 6), 1, percent=True)))
    page.add("row", "", "cells", f"in place [{vol.label}]", f"to order [{vol.label}]", style="head")
    first = page.next
    for r, spread in zip(fill.row.tolist(), fill.row_mulch.tolist(), strict=True):
        n, cells = page.next, int(((layout.row == r) & (fill.mulch > 0)).sum())
        order = spread / (1 - settles) * (1 + fill.waste)
        page.add(
            int(r),
            "",
            cells,
            Given(spread * vol.factor),
            Formula(f"D{n}/(1-{at})*(1+{waste})", order * vol.factor),
        )
    last = page.next - 1
    page.add(
        "all", "", Formula(f"SUM(C{first}:C{last})", int((fill.mulch > 0).sum()), 0, total=True),
        Formula(f"SUM(D{first}:D{last})", float(fill.mulch.sum()) * vol.factor, total=True),
        Formula(f"SUM(E{first}:E{last})", fill.mulch_ordered * vol.factor, total=True),
        style="total",
    )  # fmt: skip
    page.add("bags", "", "", "", Formula(whole_up(f"E{last + 1}/{bag}"), fill.mulch_bags, 0))
