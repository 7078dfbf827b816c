"""One valve from its plants to its pressures: emitters, routes, regulator, sizes, flows, shares."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillwright.arrays import Array, Index, frozen
from hillwright.errors import OutOfRange
from hillwright.irrigation.build import CROSSED, Plan, plan_pipes
from hillwright.irrigation.chains import Chains
from hillwright.irrigation.choose import Emitted
from hillwright.irrigation.fitted import Problem, sizes_chosen, sizes_open
from hillwright.irrigation.ground import Rows
from hillwright.irrigation.headerways import shut_by
from hillwright.irrigation.led import Led
from hillwright.irrigation.losses import PowerLaw
from hillwright.irrigation.model import Valve, Wishes
from hillwright.irrigation.network import Network, Solution
from hillwright.irrigation.parts import EmitterType, Tubing, prices
from hillwright.irrigation.rounds import holes_of
from hillwright.irrigation.routes import Field, best_routes
from hillwright.irrigation.solve import prepare, solve
from hillwright.irrigation.supply import presets
from hillwright.irrigation.uniformity import (
    allowable_head,
    emission_uniformity,
    low_quarter,
    statistical_uniformity,
)
from hillwright.irrigation.water import drained_volume
from hillwright.layout.model import Layout

MARGIN = 0.3  # pressure kept over an emitter's lowest, since flows run a little over nominal [m]
ASIDE = 0.2  # kept of the longest tube for that [m]
_STATIONS = 40  # places tried for the header


class Starved(Exception):
    """No regulator gives every emitter of a valve a pressure within its range."""

    def __init__(self, need: float, low: float, most: float, height: float) -> None:
        super().__init__(f"needs {need:.1f} m, has {low:.1f} m, may have {most:.1f} m")
        self.need = need  # pressure head that the valve must have at its outlet [m]
        self.low = low  # that is left there at low supply [m]
        self.most = most  # that its lowest emitters and its tubing bear [m]
        self.height = height  # between its highest and its lowest emitter [m]

    @property
    def too_tall(self) -> bool:
        """Whether there is pressure enough, and the lowest emitters get too much of it."""
        return self.need <= self.low


def field_of(
    layout: Layout,
    rows: Rows,
    cells: Index,
    tubes: Index,
    tap: Array,
    wishes: Wishes,
    small: Tubing,
    line: Tubing,
) -> tuple[Field, int]:
    """Give a valve's plants as the router sees them, and the number of their first row."""
    row = layout.row[cells]
    first, last = int(row.min()), int(row.max())
    cell = layout.cell
    station = rows.station[cells]
    stations = np.unique(station)
    if len(stations) > _STATIONS:
        pick = np.linspace(0, len(stations) - 1, _STATIONS).round().astype(int)
        stations = stations[pick]
    side = cell.width
    if wishes.beside:
        stations = np.concatenate([[station.min() - side], stations, [station.max() + side]])
    numbers = range(first, last + 1)
    down, along, free = shut_by(layout.row, rows.station, side, numbers, stations, wishes.beside)
    known = [
        r if r in rows.of else min(rows.of, key=lambda k: abs(k - r))
        for r in range(first, last + 1)
    ]
    middle = np.array([float(np.median(station))])
    points = np.array([rows.point(r, middle, wishes.pass_height)[0] for r in known])
    gap = np.linalg.norm(np.diff(points, axis=0), axis=1)
    off = np.linalg.norm(points - tap, axis=1)
    off[[r - first for r in range(first, last + 1) if r not in rows.of]] = np.inf
    foot = int(np.argmin(off))
    feet = rows.point(known[foot], stations, wishes.pass_height)
    reached = np.linalg.norm(feet - tap, axis=1)
    reached[~free[foot]] = np.inf
    # straight from the tap to where nothing to keep off lies between; if there is no such
    # station the header crosses it, and that is told
    clear = np.array([rows.within(np.array([tap, f])) <= CROSSED for f in feet])
    if (clear & np.isfinite(reached)).any():
        reached[~clear] = np.inf
    whip = cell.run / 2 + max(cell.depth - wishes.pass_height, 0.0)
    if whip > wishes.longest_tube:
        raise OutOfRange(
            "irrigation.longest_tube",
            f"a tube from a lateral to a stake in its own row takes {whip:.2f} m, and "
            f"{wishes.longest_tube:.2f} m are allowed",
            f"allow {whip:.2f} m, or lead the laterals closer under the stakes",
        )
    p = prices()
    return (
        Field(
            row=row - first,
            station=station,
            weight=tubes.astype(float),
            gap=np.maximum(gap, 1e-6),
            whip=whip,
            crossing=cell.run,
            # holes that would fall on one place step aside: their tubes are a little longer
            longest=max(wishes.longest_tube - ASIDE, whip),
            lateral=line.price + p.lateral,
            header=line.price + p.header,
            small=small.price + p.small,
            fixed=p.take_off,
            foot=foot,
            reached=(line.price + p.header) * reached,
            stations=stations,
            strip=cell.width,
            down=down,
            bare=frozenset(r - first for r in numbers if r not in rows.of),
            along=along,
            holes=tuple(holes_of(rows, r, first, side) for r in numbers),
            tees=free,
        ),
        first,
    )


def floors(plan: Plan, types: tuple[EmitterType, ...], target: float, many: float) -> Array:
    """Give the pressure head that each emitter must have, its class and the target in mind [m]."""
    least = []
    for t in types:
        low = t.lowest + MARGIN
        if not t.compensating:
            # what the wanted uniformity leaves of pressure, about the nominal flow as the mean
            k = t.nominal / t.at**t.exponent
            low = max(
                low, float(allowable_head(t.nominal, k, t.exponent, target, t.variation, many).h_n)
            )
        least.append(low)
    return np.array(least)[plan.punches.kind]


def lead(
    layout: Layout,
    rows: Rows,
    cells: Index,
    tubes: Index,
    sizes: tuple[Tubing, ...],
    tap: Array,
    wishes: Wishes,
) -> Led:
    """Find the ways to plants with so many tubes each."""
    small = next(t for t in sizes if t.small)
    line = next(t for t in sizes if not t.small)
    field, first = field_of(layout, rows, cells, tubes, tap, wishes, small, line)
    return Led(field, first, best_routes(field))


def make_valve(
    number: int,
    zone: str,
    layout: Layout,
    rows: Rows,
    cells: Index,
    demand: Array,
    emitted: Emitted,
    types: tuple[EmitterType, ...],
    tubes: tuple[Tubing, ...],
    tap: Array,
    available: Callable[[float], tuple[float, float]],
    wishes: Wishes,
    led: Led,
) -> Valve:
    """Size and solve one valve along its ways.

    ``available`` gives the pressure head that is left at the valve's outlet for its flow, at low
    and at high supply.

    Raises
    ------
    Starved
        No regulator gives every emitter its pressure.
    """
    field, first, routes = led.field, led.first, led.routes
    plan = plan_pipes(
        layout,
        rows,
        cells,
        emitted,
        types,
        field,
        first,
        routes,
        tap,
        wishes.pass_height,
        layout.cell.depth,
    )
    many = float(np.mean(emitted.count))
    floor = floors(plan, types, wishes.target, many)
    low, high = available(float(plan.outlets.nominal.sum()))
    problem = sizes_open(plan, tubes, floor, wishes.fastest, wishes.viscosity)
    preset, size, paid, bound = _regulated(problem, plan, tubes, types, float(tap[2]), low, high)
    source = (min(preset, low), min(preset, high))
    network = plan.network(np.array([t.bore for t in tubes])[size])
    made = prepare(network, viscosity=wishes.viscosity)
    solved = (
        solve(made, float(tap[2]) + source[0]),
        solve(made, float(tap[2]) + source[1]),
    )
    trouble = _look(plan, types, solved, wishes)
    shares = [_shares(plan, types, s, cells, wishes, many) for s in solved]
    return Valve(
        number=number,
        zone=zone,
        rows=(first, first + field.rows - 1),
        plants=frozen(cells),
        types=types,
        tubes=tubes,
        punches=plan.punches,
        network=network,
        at=frozen(plan.at),
        walked=frozen(plan.length),
        size=frozen(size),
        part=plan.part,
        row=frozen(plan.row),
        carriers=tuple(int(first + c) for c in np.unique(routes.carrier[field.row])),
        run=emitted.run,
        flow=float(plan.outlets.nominal.sum()),
        demand=float(demand.sum()),
        regulator=preset,
        source=source,
        low=solved[0],
        high=solved[1],
        uniformity=shares[0][0],
        low_quarter=shares[0][1],
        statistical=shares[0][2],
        at_high=shares[1],
        beside=_beside(network, wishes, float(tap[2]) + source[0]),
        drained=_drained(plan, network.bore),
        cost=_laid_cost(plan, field, len(np.unique(routes.carrier[field.row]))),
        bound=routes.bound,
        pipe_cost=paid,
        pipe_bound=bound,
        trouble=trouble,
    )


def _laid_cost(plan: Plan, field: Field, laterals: int) -> float:
    """Give what the routes cost as they are measured, holes that step aside of others counted."""
    price = {"tap": 0.0, "header": field.header, "lateral": field.lateral, "small": field.small}
    metres = float(np.array([price[p] for p in plan.part]) @ plan.length)
    return metres + laterals * field.fixed


def _regulated(
    problem: Problem,
    plan: Plan,
    tubes: tuple[Tubing, ...],
    types: tuple[EmitterType, ...],
    tap: float,
    low: float,
    high: float,
) -> tuple[float, Index, float, float]:
    """Choose the regulator's preset and the sizes together: least cost, then least pressure."""
    kinds = [types[k] for k in np.unique(plan.punches.kind)]
    lowest = float(plan.at[plan.outlets.node, 2].min())
    most = min(min(t.highest for t in kinds), min(t.highest for t in tubes))
    best: tuple[float, float, Index, float] | None = None
    last = np.nan
    for preset in presets():
        if min(preset, high) + tap - lowest > most + 1e-9:
            break
        if min(preset, low) == last:
            continue  # what is left at low supply is less: the same sizes again
        last = min(preset, low)
        try:
            size, paid, bound = sizes_chosen(problem, plan, tubes, tap + min(preset, low))
        except OutOfRange:
            continue
        if best is None or paid < best[1] * 0.99:
            best = preset, paid, size, bound
    if best is not None:
        return best[0], best[2], best[1], best[3]
    height = float(np.ptp(plan.at[plan.outlets.node, 2]))
    raise Starved(problem.least - tap, low, most + lowest - tap, height)


def _look(
    plan: Plan,
    types: tuple[EmitterType, ...],
    solved: tuple[Solution, Solution],
    wishes: Wishes,
) -> tuple[tuple[str, str, str], ...]:
    """Say which emitters stand outside their working range, what runs too fast or too far."""
    trouble: list[tuple[str, str, str]] = []
    long = float(plan.punches.tube.max())
    if long > wishes.longest_tube + 1e-9:
        trouble.append(
            (
                "tubing",
                f"a tube of {long:.2f} m is longer than the {wishes.longest_tube:.2f} m allowed",
                f"allow {long:.2f} m, or punch its hole closer to its cell",
            )
        )
    if plan.crossed:
        named = ", ".join(str(r) for r in plan.crossed)
        laterals = "laterals of rows" if len(plan.crossed) > 1 else "lateral of row"
        runs = "they run" if len(plan.crossed) > 1 else "it runs"
        trouble.append(
            (
                "exclusion",
                f"no way was found for the {laterals} {named} round what to keep off, and "
                f"{runs} straight across it",
                "lay that part in a sleeve there if the place may be crossed, or give the plants "
                "on its two sides hydrozones of their own",
            )
        )
    if plan.header_crosses > 0:
        trouble.append(
            (
                "exclusion",
                f"no straight way clear of what to keep off leads the header from the tap to its "
                f"rows and on: {plan.header_crosses:.1f} m of it lie across",
                "move the tap, or lay that part in a sleeve if the place may be crossed",
            )
        )
    fast = max(float(s.velocity.max()) for s in solved)
    if fast > wishes.fastest * 1.02:
        trouble.append(
            (
                "velocity",
                f"water runs up to {fast:.2f} m/s, over the {wishes.fastest:.2f} m/s allowed",
                "offer wider tubing, or part the plants over more valves",
            )
        )
    lowest = np.array([t.lowest for t in types])[plan.punches.kind]
    highest = np.array([t.highest for t in types])[plan.punches.kind]
    under = int((solved[0].outlet_pressure < lowest - 1e-6).sum())
    over = int((solved[1].outlet_pressure > highest + 1e-6).sum())
    if under:
        worst = float((lowest - solved[0].outlet_pressure).max())
        trouble.append(
            (
                "emitters",
                f"{under} emitters are up to {worst:.1f} m of water under their range at "
                "low supply",
                "raise the pressure, widen the pipe, or put them on a valve of their own",
            )
        )
    if over:
        worst = float((solved[1].outlet_pressure - highest).max())
        trouble.append(
            (
                "emitters",
                f"{over} emitters are up to {worst:.1f} m of water over their range at high supply",
                "fit a regulator of a lower preset, or split the valve by height",
            )
        )
    return tuple(trouble)


def _shares(
    plan: Plan,
    types: tuple[EmitterType, ...],
    solution: Solution,
    cells: Index,
    wishes: Wishes,
    many: float,
) -> tuple[float, float, float]:
    """Give EU, DUlq and Us of the shares, each emitter against its own nominal flow."""
    share = solution.outlet_flow / plan.outlets.nominal
    variation = max(types[k].variation for k in np.unique(plan.punches.kind))
    # what a plant gets over what its emitters are made for
    got = np.bincount(plan.punches.cell, solution.outlet_flow, int(cells.max()) + 1)[cells]
    due = np.bincount(plan.punches.cell, plan.outlets.nominal, int(cells.max()) + 1)[cells]
    return (
        float(emission_uniformity(variation, max(many, 1.0), share.min(), share.mean())),
        low_quarter(got / due),
        statistical_uniformity(share, variation, many, wishes.plugged).uniformity,
    )


def _beside(network: Network, wishes: Wishes, head: float) -> float:
    """Give the least pressure of the emitters by Hazen-Williams, as waterworks would reckon it."""
    chains = Chains.of(network.parent)
    put = chains.gathered
    loss = PowerLaw.hazen_williams(
        put(network.length), put(network.bore), 150.0, put(network.minor)
    )
    made = prepare(network, loss, wishes.viscosity)
    return float(solve(made, head).outlet_pressure.min())


def _drained(plan: Plan, bore: Array) -> float:
    """Give the water in all pipe above the lowest emitter."""
    lowest = plan.at[plan.outlets.node, 2].min()
    above = plan.at[1:, 2] > lowest
    return float(drained_volume(plan.length[1:][above], bore[1:][above]).sum())
