"""The stage: from the plants' needs and the supply to valves, tubing, pressures and parts."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.irrigation.bill import bill
from hillwright.irrigation.choose import Emitted, choose_emitters
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.landing import gentle_flow, ground_of, landing
from hillwright.irrigation.laying import Group, lay_all
from hillwright.irrigation.led import Before, Early, Led
from hillwright.irrigation.model import Irrigation, Needs, Valve, Wishes
from hillwright.irrigation.parts import EmitterType, emitter_types, tubing
from hillwright.irrigation.soilrules import wetted_area
from hillwright.irrigation.supply import Loss, Supply, backflow_assembly, flow_at_hand, losses
from hillwright.irrigation.uniformity import allowable_head
from hillwright.irrigation.valve import Starved, lead, make_valve
from hillwright.irrigation.workings import workings
from hillwright.irrigation.zones import bands
from hillwright.layout.model import Layout

_FRICTION = 4.0  # height given up to friction when a compensating valve is cut by height [m]


def irrigate(
    layout: Layout,
    needs: Needs,
    supply: Supply,
    wishes: Wishes,
    shut: tuple[Array, ...] | None = None,
    early: Early | None = None,
) -> Irrigation:
    """Stage: give every plant its share.

    Parameters
    ----------
    layout : Layout
        The cells.
    needs : Needs
        Which of them are planted and what they need on the peak day.
    supply : Supply
        Pressure, flow and place of the tap.
    wishes : Wishes
        Kind of emitter, limits, the person's own parts.
    shut : tuple of (k, 2) array, optional
        Rings of places that no lateral may cross; None: every hole in the cells [m].
    early : Early, optional
        Told a first look along the ways of the run before, where it led to the same plants.

    Returns
    -------
    Irrigation
        Valves with their networks, solved at low and high supply; what is wrong stands in
        ``trouble`` with its remedy.

    Raises
    ------
    OutOfRange
        A plant that no emitter can water in the time, or a row that takes more than the supply
        gives; each with what would do.
    """
    rows = Rows.of_layout(layout, shut)
    types = tuple(
        t for t in (wishes.emitters or emitter_types()) if t.compensating == wishes.compensating
    )
    tubes = tuple(sorted(wishes.tubing or tubing(), key=lambda t: t.bore))
    tap = np.array([*supply.place, supply.elevation])
    hand, why = flow_at_hand(supply)
    if not len(needs.cell):
        return dry(supply, needs.said)
    depth = layout.cell.depth
    highest = float(rows.centre[needs.cell, 2].max()) + depth
    assembly = backflow_assembly(highest, supply.elevation, supply.assembly)

    before = Before(early, layout, tap, shut, wishes, tubes)

    led_to: dict[bytes, Led] = {}

    def led(group: Group) -> Led:
        key = group.cells.tobytes()
        if key not in led_to:  # a booster leads no pipe otherwise
            tubes_to = group.emitted.count
            led_to[key] = lead(layout, rows, group.cells, tubes_to, tubes, tap, wishes)
            before.keep(group.cells, led_to[key])
        return led_to[key]

    def lay(number: int, group: Group, booster: float) -> Valve:
        return laid(number, group, booster, led(group))

    def laid(number: int, group: Group, booster: float, led: Led) -> Valve:
        def available(flow: float) -> tuple[float, float]:
            lost = sum(part.head for part in losses(supply, flow, assembly)) - booster
            return supply.low - lost, supply.high - lost

        return make_valve(
            number,
            group.zone,
            layout,
            rows,
            group.cells,
            group.demand,
            group.emitted,
            types,
            tubes,
            tap,
            available,
            wishes,
            led,
        )

    def told(valves: list[Valve]) -> Irrigation:
        largest = max(v.flow for v in valves)
        lost = losses(supply, largest, assembly)
        landings = tuple(landing(v, layout, needs, types, wishes) for v in valves)
        left = sum(part.head for part in lost)
        return Irrigation(
            valves=tuple(valves),
            tap=frozen(tap),
            assembly=assembly,
            losses=lost,
            available=(supply.low - left, supply.high - left),
            at_hand=hand,
            at_hand_why=why,
            said=needs.said,
            parts=bill(valves, assembly),
            landings=landings,
            measured=(),
            assumed=supply.assumed,
            refused=(),
            workings=workings(valves, supply, assembly, needs, layout, landings),
            warnings=_warnings(valves),
        )

    groups: list[Group] = []
    ground = ground_of(layout, needs)
    for zone, mine in _hydrozones(needs):
        cells, demand = needs.cell[mine], needs.demand[mine]
        emitted = _emitted(layout, cells, demand, ground[mine], types, wishes)
        whole = Group(zone, cells, demand, emitted)
        groups += [
            whole.part(part) for part in _parted(layout, rows, cells, emitted, types, hand, wishes)
        ]
    if early is not None and all(before.knows(g.cells) for g in groups):
        try:
            look = [
                laid(k, g, 0.0, before.led(g.cells, g.emitted.count))
                for k, g in enumerate(groups, 1)
            ]
        except (Starved, OutOfRange):
            pass  # what is wrong is found out, and told, below
        else:
            early(told(look))
    valves, refused = lay_all(groups, layout, lay)
    if refused:
        # half a network is none: nothing of it is to be bought or punched
        return dry(
            supply, needs.said, refused, losses(supply, _least_flow(groups, types), assembly)
        )
    return told(valves)


def dry(
    supply: Supply,
    said: str,
    refused: tuple[tuple[str, str, str], ...] = (),
    lost: tuple[Loss, ...] = (),
) -> Irrigation:
    """Give the network of a hill that has none: nothing is planted, or nothing can be watered."""
    left = sum(part.head for part in lost)
    try:
        hand, why = flow_at_hand(supply)
    except OutOfRange:
        hand, why = 0.0, "not known"
    return Irrigation(
        valves=(),
        tap=frozen(np.array([*supply.place, supply.elevation])),
        assembly="",
        losses=lost,
        available=(supply.low - left, supply.high - left),
        at_hand=hand,
        at_hand_why=why,
        said=said,
        parts=(),
        landings=(),
        measured=(),
        assumed=supply.assumed,
        refused=refused,
        workings=(),
        warnings=tuple(f"No drip network: {what}: {right}." for _, what, right in refused),
    )


def _least_flow(groups: list[Group], types: tuple[EmitterType, ...]) -> float:
    """Give the flow of the smallest valve: with it the parts before the tubing take least."""
    nominal = np.array([t.nominal for t in types])
    return min(float((nominal[g.emitted.kind] * g.emitted.count).sum()) for g in groups)


def _hydrozones(needs: Needs) -> list[tuple[str, Index]]:
    names = np.array(needs.zone)
    return [(str(z), np.flatnonzero(names == z)) for z in dict.fromkeys(needs.zone)]


def _emitted(
    layout: Layout,
    cells: Index,
    demand: Array,
    ground: Array,
    types: tuple[EmitterType, ...],
    wishes: Wishes,
) -> Emitted:
    # a plant that spreads roots under its whole canopy: one wet spot in its cell is not enough
    area = np.maximum(layout.cell.width * layout.cell.run, ground)
    gentle, most = None, np.inf
    if wishes.gentle:
        slow, gentle = gentle_flow(layout, cells, ground, types)
        if not slow:
            raise OutOfRange(
                "irrigation.gentle",
                "every emitter offered gives more than the rule for this slope lets one give",
                "offer emitters of less flow, or leave gentle out",
            )
        most = max(t.nominal for t in slow)
    wetted = wetted_area(wishes.texture)
    return choose_emitters(
        demand, area, types, wishes.longest_run, wetted, wishes.wetted, gentle, most
    )


def _parted(
    layout: Layout,
    rows: Rows,
    cells: Index,
    emitted: Emitted,
    types: tuple[EmitterType, ...],
    hand: float,
    wishes: Wishes,
) -> list[Index]:
    """Cut a hydrozone into valves by the flow at hand and the height that its emitters bear."""
    nominal = np.array([t.nominal for t in types])
    flow = nominal[emitted.kind] * emitted.count
    numbers = np.unique(layout.row[cells])
    by_row = np.array([flow[layout.row[cells] == r].sum() for r in numbers])
    height = np.array([float(rows.centre[rows.of[int(r)], 2].mean()) for r in numbers])
    kinds = [types[k] for k in np.unique(emitted.kind)]
    if wishes.compensating:
        most = min(t.highest - t.lowest for t in kinds) - _FRICTION
    else:
        many = float(np.mean(emitted.count))
        # half of what the uniformity allows is left for friction
        most = min(
            float(
                allowable_head(
                    t.nominal,
                    t.nominal / t.at**t.exponent,
                    t.exponent,
                    wishes.target,
                    t.variation,
                    many,
                ).lateral
            )
            for t in kinds
        )
    zone = bands(by_row, height, hand, max(most, 1e-3))
    where = zone[np.searchsorted(numbers, layout.row[cells])]
    return [np.flatnonzero(where == k) for k in range(int(zone.max()) + 1)]


def _warnings(valves: list[Valve]) -> tuple[str, ...]:
    return tuple(
        f"Valve {v.number}: {what}: {right}." for v in valves for _, what, right in v.trouble
    )
