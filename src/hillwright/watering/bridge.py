"""Cells whose soil cannot bridge the wait between two waterings, and what would help."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Index, frozen
from hillwright.watering.daycourse import best_starts, day_parts, longest_wait
from hillwright.watering.given import DAY
from hillwright.watering.model import Watering

_NOON = ((43200.0, 45000.0),)
_TWICE = ((39600.0, 41400.0), (52200.0, 54000.0))
_TIGHT = 1.005  # from here on a cell is short: figures are not so sharp


@dataclass(frozen=True, slots=True, eq=False)
class Short:
    """Cells of one planting that cannot last, told by the worst of them."""

    kind: int  # of planting
    cells: Index  # of the layout
    month: int  # 0 = January
    strain: float  # used in its longest wait, over what may be used [-]
    days: float  # of stress in a mean year of the simulation
    windows: tuple[tuple[float, float], ...]  # that would do beside those allowed; () = none tried
    depth: float  # of mix that would do; 0 = its roots do not go so deep [m]
    factor: float  # plant factor that this soil would bear [-]


def short_cells(found: Watering) -> tuple[Short, ...]:
    """Find what dries out between its waterings on its hottest days, planting by planting."""
    worst = found.strain.max(axis=1, initial=0.0)
    stress = found.season[0].stress_days if found.season else np.zeros(len(worst))
    short = (worst > _TIGHT) & (found.valves.valve >= 0)
    said = []
    for kind in np.unique(found.planted.kind[short]):
        cells = np.flatnonzero(short & (found.planted.kind == kind))
        i = int(cells[np.argmax(worst[cells])])
        m = int(np.argmax(found.strain[i]))
        strain = float(found.strain[i, m])
        roots, deep = float(found.planted.roots[kind]), float(found.soil.depth[i])
        enough = deep * strain
        said.append(
            Short(
                kind=int(kind),
                cells=frozen(cells),
                month=m,
                strain=strain,
                days=float(stress[cells].max()),
                windows=_more_windows(found, i, m, strain),
                depth=enough if roots >= enough else 0.0,
                factor=float(found.planted.factor[kind, m]) / strain,
            )
        )
    return tuple(sorted(said, key=lambda s: -s.strain))


def _more_windows(
    found: Watering, cell: int, month: int, strain: float
) -> tuple[tuple[float, float], ...]:
    """Give the windows that would shorten the wait enough, as few as will do."""
    valve = int(found.valves.valve[cell])
    if found.program.interval[valve, month] != 1:
        return ()
    own = found.rules.windows
    latitude = found.climate.latitude
    now = _wait_now(found, valve, month)
    for tried in (_NOON, _TWICE):
        more = tuple(w for w in tried if not any(_holds(o, w) for o in own))
        if not more:
            continue
        least = min(s.gap for s in best_starts((*own, *more), latitude, month))
        if strain * least / now <= _TIGHT:
            return more
    return ()


def _holds(own: tuple[float, float], other: tuple[float, float]) -> bool:
    """Tell whether a window begins inside another, past midnight too."""
    return (other[0] - own[0]) % DAY < ((own[1] - own[0]) % DAY or DAY)


def _wait_now(found: Watering, valve: int, month: int) -> float:
    parts = day_parts([found.program.arrives[valve]], found.climate.latitude)
    return float(longest_wait(parts)[0, month])
