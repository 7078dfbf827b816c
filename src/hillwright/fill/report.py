"""What the fill room says of its work: where each figure comes from, and what to mind."""

from __future__ import annotations

import math

import numpy as np

from hillwright.arrays import Array
from hillwright.fill.cellvolume import cell_soil
from hillwright.fill.components import components, steepest_top
from hillwright.fill.mixes import blend
from hillwright.fill.model import Fill, Mix
from hillwright.fill.quantities import loose_and_ordered
from hillwright.fill.weights import cell_mass
from hillwright.job.planting_soil import FillText
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.wording import plural

_SUM = "sum over the cells of this plan"


def workings(fill: Fill, layout: Layout, text: FillText) -> tuple[Working, ...]:
    """Give the working of every figure that soil is ordered and weighed by."""
    if not fill.totals:
        return ()
    k = int(np.argmax(fill.saturated))
    mix = fill.mixes[int(fill.mix[k])]
    name = f"row {layout.row[k]} cell {layout.number[k]}"
    found = [
        Working.of(
            "fill.cell",
            cell_soil,
            {
                "corners": f"base of {name}",
                "lip": float(fill.lip[k]),
                "levelled": float(fill.levelled[k]),
            },
            float(fill.boxed[k]),
            output="volume",
            unit="m3.small",
            note="The heaviest cell. "
            f"The top falls {math.degrees(float(fill.top_slope[k])):.0f} deg.",
        ),
        _sum(
            "fill.settled",
            "Soil in place, settled",
            "sum(boxed + dips - humps)",
            (
                Number("boxed", float(fill.boxed.sum()), "m3"),
                Number("dips", float(fill.dips.sum()), "m3"),
                Number("humps", float(fill.humps.sum()), "m3"),
            ),
            fill.total_settled,
        ),
        _sum(
            "fill.loose",
            "Soil to carry up, loose",
            "sum over mixes of settled/(1 - settlement)",
            tuple(Number(t.mix.name, t.loose, "m3") for t in fill.totals),
            fill.total_loose,
        ),
        _sum(
            "fill.ordered",
            "Soil to order, blended",
            "sum over mixes of loose (1 + waste)",
            tuple(Number(t.mix.name, t.ordered, "m3") for t in fill.totals),
            fill.total_ordered,
        ),
        Working.of(
            "fill.cell.saturated",
            cell_mass,
            {
                "soil": float(fill.settled[k]),
                "soil_density": f"saturated {mix.saturated:.0f} kg/m3",
                "mulch": float(fill.mulch[k]),
                "mulch_density": f"{fill.mulch_kind}, saturated",
                "box": 0.0,
            },
            float(fill.saturated[k]),
            output="saturated",
            note=f"{name}; the empty box comes on top.",
        ).tagged(soil="m3.small", mulch="m3.small"),
    ]
    for t in fill.totals:
        found += _mix_workings(t.mix, t.settled, t.ordered, fill.waste)
    return tuple(found)


def _mix_workings(mix: Mix, settled: float, ordered: float, waste: float) -> list[Working]:
    slug = mix.name.replace(" ", "-")
    parts = ", ".join(f"{100 * share:.4g} % {name}" for name, share in mix.parts)
    known = components()
    listed: dict[str, float | int | str] = {
        "shares": parts,
        "dry": ", ".join(f"{known[n].dry:.0f} kg/m3" for n, _ in mix.parts),
        "moisture": ", ".join(f"{known[n].moisture:g}" for n, _ in mix.parts),
        "settlement": ", ".join(f"{known[n].settlement:g}" for n, _ in mix.parts),
        "solids": ", ".join(f"{known[n].solids:.0f} kg/m3" for n, _ in mix.parts),
        "mixing_loss": mix.mixing_loss,
    }
    source = f"recipe: {mix.source} ({mix.status}); what the parts weigh: common practice"
    weighed = mix.weighed
    found = []
    for output, value in (
        ("loose_moist", mix.loose_moist),
        ("settled_moist", mix.settled_moist),
        ("saturated", mix.saturated),
    ):
        figure = f"fill.mix.{slug}.{output}"
        if weighed:
            found.append(
                Working(
                    figure,
                    f"Density of {mix.name}",
                    "as weighed for the job, settled by 1/(1 - settlement)",
                    (Number("settlement", mix.settlement, "%"),),
                    Number(output, value, "kg/m3"),
                    "the job",
                )
            )
        else:
            found.append(Working.of(figure, blend, listed, value, output=output, note=source))
    found.append(
        Working.of(
            f"fill.mix.{slug}.ordered",
            loose_and_ordered,
            {"settled": settled, "settlement": mix.settlement, "waste": waste},
            ordered,
            output="ordered",
        )
    )
    return found


def _sum(
    figure: str, title: str, equation: str, given: tuple[Number, ...], result: float
) -> Working:
    return Working(figure, title, equation, given, Number("volume", result, "m3"), _SUM)


def warnings(fill: Fill, layout: Layout, text: FillText, unknown: Array) -> tuple[str, ...]:
    """Say what the person must know before soil is ordered and put in."""
    said = []
    some = fill.settled > 0
    steep = some & (fill.top_slope > steepest_top() + 1e-9)
    if steep.any():
        most = math.degrees(float(fill.top_slope[steep].max()))
        said.append(
            f"The soil of {plural(int(steep.sum()), 'cell')} would lie up to {most:.0f} deg steep, "
            f"more than loose soil keeps ({math.degrees(steepest_top()):.0f} deg): it creeps over "
            "the lip until mulch and roots hold it. Use deeper cells, less mulch or a smaller "
            "fill.least_depth."
        )
    bare = some & (fill.covered < 1 - 1e-9)
    if bare.any():
        least = float(fill.covered[bare].min())
        said.append(
            f"A level top leaves the uphill part of {plural(int(bare.sum()), 'cell')} bare "
            f"(as little as {100 * least:.0f} % of the base is covered): the ground is too steep "
            'for walls so low. Write fill.top = "covering", or use deeper cells.'
        )
    lost = some & (fill.settled < 0.5 * fill.boxed)
    if lost.any():
        said.append(
            f"The ground stands into {plural(int(lost.sum()), 'cell')} and leaves less than half "
            "of the room for soil: trim it there before filling."
        )
    if (unknown[some] > 0).any():
        count = int((unknown[some] > 0).sum())
        said.append(f"Under {plural(count, 'cell')} the ground is not known and taken as flat.")
    return tuple(said)
