"""The hill in its four states under one storm and through one year."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.given import one_of
from hillwright.job.water import Rain
from hillwright.runoff.concentration import sheet_limit, travel_times
from hillwright.runoff.cover import grass_cover
from hillwright.runoff.curvenumber import number_range, runoff_depth, tabled_number, weighted_runoff
from hillwright.runoff.designrain import DesignRain, intensity_of
from hillwright.runoff.hillsoil import HillSoil
from hillwright.runoff.lsfactor import ls_range
from hillwright.runoff.model import HillState, Range
from hillwright.runoff.peak import graphical_peak
from hillwright.runoff.rational import farm_coefficient, rational_peak
from hillwright.runoff.states import CoverState, cover_states, state_loss, state_numbers
from hillwright.runoff.tables import FOOT, rows, words

KEYS = ("bare", "built", "season", "grown")
LEAST_TIME = 300.0  # of the rain in the rational method; common practice, no source [s]
_SHEET = 100 * FOOT  # NRCS takes no longer sheet [m]
_FARM_SOIL = {
    "A": "sandy loam",
    "B": "clay and silt loam",
    "C": "clay and silt loam",
    "D": "tight clay",
}


@dataclass(frozen=True, slots=True, eq=False)
class HillShape:
    """What of a hill's shape its runoff and soil loss depend on. n cells."""

    area: float  # in plan [m2]
    slope: float  # [rad]
    length: float  # down the slope, in plan [m]
    cell_area: Array  # (n,) in plan [m2]
    cell_slope: Array  # (n,) [rad]
    pitch: Array  # (n,) length of each cell down the slope, in plan [m]

    @property
    def beside(self) -> float:
        """Plan area that no cell covers [m2]."""
        return max(self.area - float(self.cell_area.sum()), 0.0)


def today(rain: Rain, group: str) -> tuple[CoverState, Range]:
    """Give the hill as it lies, and its curve numbers: bare, or covered as the job says.

    Raises
    ------
    OutOfRange
        A cover that the table does not have, or not for this soil group.
    """
    bare = cover_states()[0]
    cover = rain.ground_cover
    if cover > 0:
        least, most = min(cover + 0.1, 1.0), max(cover - 0.1, 0.0)
        c = tuple(float(grass_cover(g)) for g in (least, cover, most))
        words_ = f"as it lies today, {100 * cover:.0f} % of the ground covered"
        bare = replace(bare, words=words_, ground_cover=(least, cover, most), c=(c[0], c[1], c[2]))
    if not rain.cover_now.strip():
        return bare, state_numbers(bare, group)
    name = one_of("rain.cover_now", rain.cover_now, words("curve_numbers", "cover", "cover"))
    numbered = [r for r in rows("curve_numbers", "cover") if r["cover"] == name and r[group] != ""]
    if not numbered:
        what = f"{name!r} has no number for soil group {group}"
        raise OutOfRange("rain.cover_now", what, "take another cover for this soil")
    worst = max(numbered, key=lambda r: float(r[group]))
    treatment, condition = worst["treatment"], worst["hydrologic_condition"]
    best = tabled_number(name, group, condition, treatment)
    ends = number_range(best)
    said = bare.words if cover > 0 else "as it lies today"
    state = replace(
        bare,
        words=f"{said}, {name}",
        cover=name,
        treatment=treatment,
        conditions=(condition,) * 3,
        sheet="range (natural)",
        farm=_farm(name),
    )
    return state, (max(float(ends.dry), 30.0), best, float(ends.wet))


def _farm(cover: str) -> str:
    """Give the nearest row of the farm table of coefficients; what it has not is cultivated."""
    for word, row in (("wood", "woodland, hilly 10-30 %"), ("pasture", "pasture, hilly"),
                      ("meadow", "pasture, hilly"), ("lawn", "pasture, hilly"),
                      ("brush", "woodland, hilly 10-30 %")):  # fmt: skip
        if word in cover:
            return row
    return "cultivated, hilly"


def four_states(
    rain: DesignRain, asked: Rain, soil: HillSoil, hill: HillShape
) -> tuple[HillState, ...]:
    """Work out the hill in each of its four states.

    Parameters
    ----------
    rain : DesignRain
        The storm.
    asked : Rain
        What the job says of cover and erosivity.
    soil : HillSoil
        The ground.
    hill : HillShape
        Its shape.
    """
    now, numbers = today(asked, soil.group)
    found = [_state(KEYS[0], now, numbers, (now, numbers), rain, asked, soil, hill)]
    for key, state in zip(KEYS[1:], cover_states()[1:], strict=True):
        own = state_numbers(state, soil.group)
        found.append(_state(key, state, own, (now, numbers), rain, asked, soil, hill))
    return tuple(found)


def _state(
    key: str,
    state: CoverState,
    numbers: Range,
    now: tuple[CoverState, Range],
    rain: DesignRain,
    asked: Rain,
    soil: HillSoil,
    hill: HillShape,
) -> HillState:
    """Work out one state; the ground beside the cells stays as it is ``now``."""
    under = hill.area - hill.beside if state.rows else 0.0
    # areas with the cover of the state and of today; a part of nothing would be refused
    parts = [(under, state, numbers), (hill.area - under, *now)]
    parts = [p for p in parts if p[0] > 0]
    area = np.array([a for a, _, _ in parts])
    depth = [
        float(weighted_runoff(rain.depth, area, np.array([n[k] for _, _, n in parts])).runoff)
        for k in range(3)
    ]
    covered = bool(asked.cover_now.strip()) or asked.ground_cover > 0
    time, sheet = concentration(state, rain.two_year, hill)
    peak = float("nan")
    if rain.peak_shape:
        best = np.array([n[1] for _, _, n in parts])
        peak = float(graphical_peak(area, best, time, rain.depth, rain.peak_shape).peak.sum())
    soil_word = _FARM_SOIL[soil.group]
    c = sum(a * farm_coefficient(s.farm, soil_word) for a, s, _ in parts) / hill.area
    intensity = intensity_of(rain, max(time, LEAST_TIME))
    loss, ls, beside = _loss(state, now[0], asked, soil, hill)
    return HillState(
        name="today" if key == "bare" and covered else state.name,
        key=key,
        words=state.words,
        rows=state.rows,
        curve_number=numbers,
        runoff=(depth[0], depth[1], depth[2]),
        volume=depth[1] * hill.area,
        time=time,
        sheet=sheet,
        peak=peak,
        coefficient=float(c),
        intensity=intensity,
        rational=float(rational_peak(c, intensity, hill.area)),
        length=float(hill.pitch.mean()) if state.rows and len(hill.pitch) else hill.length,
        ls=ls,
        cover=state.c,
        practice=state.p,
        loss=loss,
        loss_beside=beside if state.rows else 0.0,
    )


def concentration(
    state: CoverState, two_year: float, hill: HillShape
) -> tuple[float, tuple[float, float, float]]:
    """Give the time of concentration down the hill [s]: a sheet first, then shallow flow.

    The sheet comes beside it: Manning's n, length [m], fall over run.
    """
    gradient = min(max(float(np.tan(hill.slope)), 1e-3), 2.0)
    n = roughness(state)
    sheet = min(hill.length, _SHEET, float(sheet_limit(n, gradient)))
    rest = hill.length - sheet
    shallow = {"shallow_length": np.array([rest]), "shallow_gradient": np.array([gradient]),
               "shallow_coefficient": np.array([16.1345 * FOOT])} if rest > 0 else {}  # fmt: skip
    time = float(
        travel_times(
            two_year,
            np.array([n]),
            np.array([sheet]),
            np.array([gradient]),
            **shallow,
        ).time
    )
    return time, (n, sheet, gradient)


def roughness(state: CoverState) -> float:
    """Give Manning's n of sheet flow over a state's cover."""
    return next(float(r["n"]) for r in rows("sheet_flow", "sheet") if r["surface"] == state.sheet)


def _loss(
    state: CoverState, now: CoverState, asked: Rain, soil: HillSoil, hill: HillShape
) -> tuple[Range, Range, float]:
    """Give the yearly loss of the hill [kg], its LS, and the loss beside the cells [kg].

    R counts as 1 where it is not known.
    """
    r = 1.0 if asked.erosivity is None else asked.erosivity
    whole = (np.array([hill.length]), np.array([hill.slope]))
    bare = state_loss(now, r, soil.erodibility, *whole)
    of_hill = ls_range(*whole, now.rill_ratio)
    if not state.rows or not len(hill.pitch):
        loss = [float(v[0]) * hill.area for v in bare]
        ls = [float(v[0]) for v in of_hill]
    else:
        cells = state_loss(state, r, soil.erodibility, hill.pitch, hill.cell_slope)
        loss = [
            float(v @ hill.cell_area) + float(b[0]) * hill.beside
            for v, b in zip(cells, bare, strict=True)
        ]
        of_cells = ls_range(hill.pitch, hill.cell_slope, state.rill_ratio)
        ls = [float(v @ hill.cell_area / hill.cell_area.sum()) for v in of_cells]
    beside = float(bare.best[0]) * hill.beside
    return (loss[0], loss[1], loss[2]), (ls[0], ls[1], ls[2]), beside


def excess_of(rain: Array, curve_number: float) -> Array:
    """Give the runoff depth (t,) of each step of a storm (t,) by curve number [m]."""
    total = runoff_depth(np.cumsum(rain), curve_number).runoff
    return np.asarray(np.diff(total, prepend=0.0))
