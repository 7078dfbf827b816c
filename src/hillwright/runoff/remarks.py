"""What the runoff room took where the job is silent, where its methods end, and what to mind."""

from __future__ import annotations

import math

from hillwright.job.rainread import RainFiles
from hillwright.job.water import Rain
from hillwright.runoff import lsfactor
from hillwright.runoff.beforeafter import HillShape
from hillwright.runoff.designrain import DAY, HOUR, DesignRain
from hillwright.runoff.hillsoil import FILL, HillSoil
from hillwright.runoff.model import FromAbove

COMPARISON = (
    "No rain was given: the figures compare the hill before and after, and are for no design. "
    "Type the rain of the place in, or name its table."
)


def storm_words(rain: DesignRain) -> str:
    """Say which storm it is, as in "10-year storm of 0.107 m in 24 h"."""
    hours = rain.duration / HOUR
    span = f"{hours:g} h" if hours >= 1 else f"{rain.duration / 60:g} min"
    return f"{rain.period:g}-year storm of {1e3 * rain.depth:.1f} mm in {span}"


_BURST = 300.0  # a hillside answers to rain of five minutes [s]


def assumptions(
    asked: Rain, rain: DesignRain, soil: HillSoil, files: RainFiles, above: FromAbove
) -> tuple[str, ...]:
    """Say what the job does not, and what was taken for it."""
    said = []
    spread = "each duration nested round one peak" if rain.shape == "nested" else (
        f"spread over the day as type {rain.shape}"
    )  # fmt: skip
    if not rain.given:
        said.append(
            f"Rain: invented, {1e3 * rain.depth:.1f} mm in 24 h, {spread}, the same for every job "
            "without rain of its own."
        )
    else:
        said.append(f"Rain: {rain.source}, {spread}.")
    if rain.shape != "nested":
        said.append(
            f"The table of type {rain.shape} has half hours around its peak: no burst is harder "
            "than their mean, and peaks off the rows and by the rational method come out low. Rain "
            "of 5 to 60 minutes would mend that."
        )
    elif rain.durations[0] > _BURST * (1 + 1e-9):
        said.append(
            f"The shortest rain given is {rain.durations[0] / 60:.0f} minutes: no burst is harder "
            "than its mean, and peaks off so small an area come out low. Rain of 5 minutes would "
            "mend that."
        )
    if rain.two_year_note and rain.given:
        said.append(f"No rain of 2 years: {rain.two_year_note}.")
    if rain.shape == "nested" and rain.peak_shape:
        said.append(
            f"The TR-55 peak takes type {rain.peak_shape}, the sharpest of its storms: it has no "
            "nested one."
        )
    elif not rain.peak_shape:
        said.append("No rain of 24 h is known: TR-55 gives no peak.")
    if soil.known:
        said.append(f"Ground: {soil.texture} ({soil.how}), hydrologic group {soil.group}.")
    else:
        said.append(
            f"No soil is named: taken as {soil.texture}, hydrologic group {soil.group}, which "
            "sheds most."
        )
    said.append(
        f"The fill drinks as {FILL} does, and is moist as after earlier rain (common practice)."
    )
    if not asked.cover_now.strip() and asked.ground_cover == 0:
        said.append("Today's cover is not told: taken as bare soil.")
    if above.area > 0:
        said.append("Ground above is taken as bare soil; a roof or a drive sheds yet more.")
    if files.event is not None and not files.event.sure:
        said.append(
            f"{files.event.where} does not say whether its depths are totals or steps: read as "
            f"{files.event.kind}s."
        )
    if files.table is not None:
        said += [f"{files.table.where}: {note}." for note in files.table.notes]
    return tuple(said)


def doubts(hill: HillShape, rain: DesignRain, run: float) -> tuple[str, ...]:
    """Say where the methods end on this hill."""
    said = [f"Soil loss, today: {d}" for d in lsfactor.doubts(hill.length, hill.slope)]
    if len(hill.pitch):
        pitch = float(hill.pitch.mean())
        new = lsfactor.doubts(pitch, float(hill.cell_slope.mean()))
        old = {d.removeprefix("Soil loss, today: ") for d in said}
        said += [f"Soil loss, with rows: {d}" for d in new if d not in old]
    steep = 100 * math.tan(hill.slope)
    if steep > 30:
        said.append(
            "Rational method: no coefficient is published for ground above 30 %; the steepest "
            "class stands for it."
        )
    said.append(
        "Curve numbers know no slope and no intensity; TR-55 takes no time of concentration under "
        "6 minutes, and any hillside is below it."
    )
    if rain.duration < DAY * (1 - 1e-9):
        said.append("The storm is shorter than a day: curve numbers belong to rain of 24 h.")
    said.append(
        "Soil loss is the mean of many years of sheets and rills, before anything is caught on "
        "the way: no gullies, no slips, no single storm."
    )
    return tuple(said)


def cautioned(crest: str, above: FromAbove) -> tuple[str, ...]:
    """Say what somebody must look at before going on."""
    said = []
    if not above.whole:
        said.append(
            "The survey ends below the divide: more ground than was measured may drain onto row 1. "
            "Walk up it in the rain, and give rain.water_from_above, or a height map in rain.map."
        )
    if above.needed and crest == "never":
        said.append(
            "Water from above is enough to need a crest drain, and drains.crest is never: it runs "
            "onto row 1."
        )
    return tuple(said)
