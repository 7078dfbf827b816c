"""Every part that the page gets, by name, in the order in which they are looked at."""

from __future__ import annotations

from collections.abc import Callable

from hillwright.web.packed import Made
from hillwright.web.parts import building, cells, ground
from hillwright.web.standing import Standing

PARTS: dict[str, Callable[[Standing], Made]] = {
    "ground": ground.ground,
    "cells": cells.cells,
    "overlays.fit": cells.fit,
    "setout": cells.setout,
    "plants": cells.plants,
    "overlays.sun": cells.sun,
    "overlays.soil": cells.soil,
    "bars": building.bars,
    "overlays.hold": cells.hold,
    "overlays.storm": cells.storm,
    "drains": building.drains,
    "overlays.water": cells.water,
    "drip": building.drip,
    "overlays.drip": cells.emitters,
    "schedule": building.schedule,
    "overlays.work": cells.work_day,
    "takeoff": building.takeoff,
    "cost": building.cost,
    "answers": cells.answers,
    "figures": building.figures,
}
LAST = ("figures",)  # made once the plan stands: they would be made again with every stage
