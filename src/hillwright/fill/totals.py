"""What to order of each mix: its components loose, in bags or loads, or dug on the site."""

from __future__ import annotations

from hillwright.arrays import Array, Index
from hillwright.fill.components import component
from hillwright.fill.model import Mix, MixTotal, PartTotal
from hillwright.fill.quantities import bank_volume, truck_loads, whole_packs
from hillwright.job.planting_soil import FillText


def mix_totals(
    mixes: tuple[Mix, ...], mix: Index, settled: Array, loose: Array, ordered: Array
) -> tuple[MixTotal, ...]:
    """Sum the cells of each mix that some cell takes."""
    found = []
    for i, each in enumerate(mixes):
        mine = (mix == i) & (settled > 0)
        if not mine.any():
            continue
        carried, order = float(loose[mine].sum()), float(ordered[mine].sum())
        # blended, the parts take less room than apart
        parts = tuple((n, order * x / (1 - each.mixing_loss)) for n, x in each.parts if x > 0)
        found.append(
            MixTotal(
                each,
                int(mine.sum()),
                float(settled[mine].sum()),
                carried,
                order,
                carried * each.loose_moist,
                parts,
            )
        )
    return tuple(found)


def part_totals(totals: tuple[MixTotal, ...], text: FillText) -> tuple[PartTotal, ...]:
    """Sum each component over the mixes: a bag or a load that is begun serves them all."""
    names = dict.fromkeys(name for t in totals for name, _ in t.parts)
    return tuple(_part(name, totals, text) for name in names)


def _part(name: str, totals: tuple[MixTotal, ...], text: FillText) -> PartTotal:
    c = component(name)
    uses = [(t.mix.name, v) for t in totals for n, v in t.parts if n == name]
    mixes, loose = tuple(m for m, _ in uses), sum(v for _, v in uses)
    mass = loose * c.moist
    if c.swell:
        bank = float(bank_volume(loose, c.swell))
        return PartTotal(c.name, mixes, loose, bank, mass, 0, 0, "")
    bags = int(whole_packs(loose, text.bag))
    trucks = truck_loads(loose, c.moist, text.truck, text.payload)
    return PartTotal(c.name, mixes, loose, 0.0, mass, bags, int(trucks.loads), str(trucks.by))
