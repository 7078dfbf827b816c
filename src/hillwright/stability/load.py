"""What the hill is judged with: its soil, the water in it, shaking, and the cells' weight."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillwright.arrays import Array
from hillwright.job.ground import SoilText
from hillwright.layout.model import CellShape
from hillwright.stability.cellload import CellLoads
from hillwright.stability.hillsoil import soil_of
from hillwright.stability.infinite_limits import layer_surcharge
from hillwright.stability.roots import plant_kinds, roots_of
from hillwright.stability.sliding import GRAVITY
from hillwright.stability.soiltable import Soil

GROWN = 15.0  # years at which the bonus of roots is shown


@dataclass(frozen=True, slots=True)
class HillLoad:
    """Soil, water, shaking and weight for one job; heights and depths are upright."""

    soil: Soil
    known: bool  # somebody said what the soil is
    depth: float  # of the layer that could slide [m]
    depth_known: bool
    water_found: float  # height above that depth on the day of the survey [m]
    groundwater: float | None  # depth of standing water below the ground; None = none met [m]
    soaked_height: float  # of water above that depth when soaked [m]
    kh: float  # horizontal earthquake coefficient [-]
    cells: CellLoads  # what is in each
    fill_depth: float  # in the cell that presses hardest, square to the slope [m]
    mix_dry: float  # of that cell [N/m3]
    mix_soaked: float  # [N/m3]
    cell: float  # weight of the empty cells over their area [Pa]
    root_cohesion: float  # that grown roots add at that depth, the least of the range [Pa]
    root_kind: str  # of the plants that reach so deep; "" where none does

    def head_in_cells(self, slope: Array) -> Array:
        """Give how high water stands over the ground in soaked cells, upright [m].

        Where water fills the layer to the ground, that in the cells above it presses on too.
        """
        full = self.soaked_height >= self.depth * (1 - 1e-12)
        return np.asarray(self.fill_depth / np.cos(slope) * full)

    def surcharges(self, slope: Array) -> tuple[Array, Array]:
        """Give what filled cells add to the ground, dry and soaked, per plan area [Pa]."""
        box = self.cell / np.cos(slope)
        return (
            layer_surcharge(self.mix_dry, self.fill_depth, slope) + box,
            layer_surcharge(self.mix_soaked, self.fill_depth, slope) + box,
        )


def hill_load(text: SoilText, cell: CellShape, cells: CellLoads) -> HillLoad:
    """Gather what a job says of its soil and water, and what its cells weigh.

    Raises
    ------
    OutOfRange
        A soil that no table has, or that cannot be.
    """
    soil, known = soil_of(text)
    some, i = len(cells.depth) > 0, cells.heaviest
    met = text.groundwater
    found = 0.0 if met is None else max(text.depth - met, 0.0)
    cohesion, kind = max((roots_of(k).at(GROWN, text.depth).low, k) for k in plant_kinds())
    return HillLoad(
        soil=soil,
        known=known,
        depth=text.depth,
        depth_known="depth" in text.model_fields_set,
        water_found=found,
        groundwater=met,
        soaked_height=max(text.soaked * text.depth, found),
        kh=text.earthquake,
        cells=cells,
        fill_depth=float(cells.depth[i]) if some else 0.0,
        mix_dry=float(cells.dry[i]) if some else 0.0,
        mix_soaked=float(cells.soaked[i]) if some else 0.0,
        cell=cell.mass * GRAVITY / (cell.width * cell.run),
        root_cohesion=cohesion,
        root_kind=kind if cohesion > 0 else "",
    )
