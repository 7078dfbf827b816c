"""What each room found for one job: what answers and sheets are made from."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.after.model import Built, Upkeep
from hillwright.crew.handmodel import Carry
from hillwright.crew.workplan import WorkPlan
from hillwright.estimate.costmodel import Estimate
from hillwright.estimate.model import Takeoff
from hillwright.fill.model import Fill
from hillwright.irrigation.model import Irrigation
from hillwright.job.model import Job, OpenJob
from hillwright.job.site import Site
from hillwright.layout.model import Layout, SetOut
from hillwright.planting.model import Planting
from hillwright.runoff.drainmodel import Drainage
from hillwright.runoff.model import Runoff
from hillwright.stability.model import Stability
from hillwright.terrain.model import Surface
from hillwright.watering.model import Watering


@dataclass(frozen=True, slots=True, eq=False)
class Rooms:
    """The results of all rooms, in the order of the stages."""

    opened: OpenJob
    site: Site
    surface: Surface
    layout: Layout
    setout: SetOut
    planting: Planting
    fill: Fill
    stability: Stability
    runoff: Runoff
    drainage: Drainage
    carry: Carry
    watering: Watering
    irrigation: Irrigation
    work: WorkPlan
    takeoff: Takeoff
    upkeep: Upkeep
    built: Built
    estimate: Estimate

    @property
    def job(self) -> Job:
        """The job that they answer."""
        return self.opened.job
