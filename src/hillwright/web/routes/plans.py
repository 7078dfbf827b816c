"""Plans: what stands, its parts, what is told while it is worked out, why, and sections."""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import APIRouter, Header, Path, Query
from fastapi.responses import Response, StreamingResponse
from starlette.concurrency import run_in_threadpool

from hillwright.errors import HillwrightError
from hillwright.store.errors import NoSuchJob
from hillwright.web import models as m
from hillwright.web.routes.base import REFUSALS, JobId, TheService
from hillwright.web.service import checked

router = APIRouter(prefix="/api", responses=REFUSALS, tags=["plans"])
FOR_EVER = "private, max-age=31536000, immutable"


@router.get("/jobs/{job}/plan")
def get_plan(service: TheService, job: JobId) -> m.PlanHead:
    """Give the newest plan as far as it stands, and have it worked out if it is not."""
    units = checked(service.store.files(job)).units
    hub = service.hub(job)
    at = hub.id()
    state = service.plan(job).head()
    parts = {
        name: m.PartHead(digest=digest, url=f"/api/jobs/{job}/parts/{digest}")
        for name, digest in state.parts.items()
    }
    problems = [m.ProblemOut(**p) for p in state.problems]
    return m.PlanHead(
        revision=state.revision, units=units, state=state.state, stages=state.stages,
        parts=parts, problems=problems, ms=state.ms, at=at,
    )  # fmt: skip


@router.get("/jobs/{job}/parts/{digest}", response_class=Response)
def get_part(
    service: TheService, job: JobId, digest: Annotated[str, Path(pattern="^[0-9a-f]{32}$")]
) -> Response:
    """Give one part of a plan: JSON, or packed arrays ("HWA1"). It never changes."""
    service.store.job(job)
    found = service.planner(job).part(digest)
    if found is None:
        raise NoSuchJob(f"part {digest}", "is not kept any more", "ask for the plan again")
    return Response(found.body, media_type=found.media, headers={"cache-control": FOR_EVER})


@router.get("/jobs/{job}/events", response_class=StreamingResponse)
async def listen(
    service: TheService,
    job: JobId,
    after: Annotated[str, Query(max_length=40)] = "",
    last_event_id: Annotated[str, Header(max_length=40)] = "",
) -> StreamingResponse:
    """Tell what happens to a job, as server-sent events, until the page goes.

    Kinds: `revision` {number, by, summary}; `stage` {revision, stage, share, parts}; `plan`
    {revision, parts, ms}; `problems` {revision, problems}; `cancelled`; `slow` {revision, seconds};
    `ticks`; `sheets` {share, file}; `again` {}: some were missed, ask for the plan anew.
    """
    hub = await run_in_threadpool(service.hub, job)
    await run_in_threadpool(service.plan, job)
    events: AsyncIterator[str] = hub.listen(last_event_id or after)
    return StreamingResponse(events, media_type="text/event-stream")


@router.post("/jobs/{job}/cancel")
def cancel(service: TheService, job: JobId) -> m.Cancelled:
    """Stop the plan that is being worked out."""
    service.store.job(job)
    return m.Cancelled(cancelled=service.planner(job).cancel())


@router.get("/jobs/{job}/why/{figure}")
def why(service: TheService, job: JobId, figure: Annotated[str, Path(max_length=120)]) -> m.Why:
    """Say how a figure came about: equation, numbers, result, source, and what drives it."""
    return m.Why(**service.ask(job, "why", figure=figure))


@router.get("/jobs/{job}/section")
def section(
    service: TheService,
    job: JobId,
    start: Annotated[str, Query(alias="from", max_length=60, examples=["0,0"])],
    end: Annotated[str, Query(alias="to", max_length=60, examples=["5,8"])],
) -> m.Section:
    """Cut the hill along a line, from x,y to x,y in metres of the plan's frame."""
    a, b = _place("from", start), _place("to", end)
    return m.Section(**service.ask(job, "section", start=a, end=b))


def _place(name: str, text: str) -> tuple[float, float]:
    import math

    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        x = y = math.nan
    if not (math.isfinite(x) and math.isfinite(y) and max(abs(x), abs(y)) < 1e6):
        raise HillwrightError(name, f"{text!r} is not a place", 'write x,y in metres, as "3.5,12"')
    return x, y
