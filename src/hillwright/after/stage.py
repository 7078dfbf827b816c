"""Stage: what is to be done in the years after, month by month."""

from __future__ import annotations

from hillwright.after import chores
from hillwright.after.model import Chore, Upkeep
from hillwright.after.months import frost_months, rainy_months
from hillwright.fill.model import Fill
from hillwright.irrigation.model import Irrigation
from hillwright.layout.model import Layout
from hillwright.method import Number, Working
from hillwright.planting.model import Planting
from hillwright.planting.season import said
from hillwright.runoff.drainmodel import Drainage
from hillwright.stability.model import Anchoring
from hillwright.watering.model import Watering

_NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
Frosts = tuple[int | None, int | None]  # last of spring, first of autumn; days of the year


def years_after(
    layout: Layout,
    fill: Fill,
    bars: Anchoring,
    storm: float,
    drainage: Drainage,
    planting: Planting,
    watering: Watering,
    irrigation: Irrigation,
    frosts: Frosts,
) -> Upkeep:
    """Stage: list the chores of the years after, each from what the plan has of it.

    Parameters
    ----------
    layout, fill, bars, drainage, planting, watering, irrigation
        What the rooms above found.
    storm : float
        Rain of a day once in two years, 0 where it is not known [m].
    frosts : (last, first)
        Days of the year that the job gives.
    """
    climate, south = watering.climate, planting.latitude < 0
    rainy = rainy_months(climate.rain, climate.reference, chores.share("wet"))
    frost = frost_months(*frosts, south)
    spring = frost[-1]
    found: list[Chore] = [
        *([] if irrigation.refused else chores.water_chores(watering)),
        *chores.holding_chores(bars, layout, rainy, frost),
        *chores.drain_chores(drainage, rainy),
        *chores.soil_chores(fill, rainy, spring),
        *chores.pipe_chores(irrigation, watering, frost, spring),
        *chores.plant_chores(planting, frost, spring),
    ]
    notes = [
        f"Rainy months: {_list(rainy)} ({climate.name}).",
        f"Frost may come in {_list(frost)} ("
        + (
            f"the job: last {said(frosts[0])}, first {said(frosts[1])}"
            if frosts[0] is not None and frosts[1] is not None
            else "frost dates of the program: give planting.last_frost and first_frost"
        )
        + ").",
    ]
    return Upkeep(tuple(found), rainy, frost, storm, tuple(notes), _workings(fill, bars))


def _list(months: tuple[int, ...]) -> str:
    return ", ".join(_NAMES[m - 1] for m in months)


def _workings(fill: Fill, bars: Anchoring) -> tuple[Working, ...]:
    more = fill.total_loose - fill.total_settled
    lying, part = float(fill.mulch.sum()), chores.share("mulch_renewed")
    found = [
        Working(
            "after.top_up",
            "Loose mix to top up once the soil has settled",
            "top-up = loose - in place",
            (
                Number("loose", fill.total_loose, "m3"),
                Number("in place", fill.total_settled, "m3"),
            ),
            Number("top-up", more, "m3"),
            chores.source("settling"),
            "where cells were first filled to their line and no higher",
        )
    ]
    if lying:
        found.append(
            Working(
                "after.mulch",
                "Mulch to renew in a year",
                "mulch = share * mulch in place",
                (Number("share", part, "%"), Number("mulch in place", lying, "m3")),
                Number("mulch", part * lying, "m3"),
                chores.source("practice"),
            )
        )
    return tuple(found)
