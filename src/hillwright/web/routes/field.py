"""In the field: what is ticked off, and the papers."""

from __future__ import annotations

import io
import mimetypes
import zipfile
from typing import Annotated

from fastapi import APIRouter, Path
from fastapi.responses import Response

from hillwright.store.model import Tick, standing
from hillwright.web import models as m
from hillwright.web.routes.base import REFUSALS, JobId, TheService, kept_as

router = APIRouter(prefix="/api", responses=REFUSALS, tags=["field"])


@router.get("/jobs/{job}/ticks")
def get_ticks(service: TheService, job: JobId) -> m.Ticks:
    """Give every mark of every device."""
    ticks = service.store.ticks(job)
    return m.Ticks(
        ticks=[
            m.TickOut(uuid=t.uuid, key=t.key, done=t.done, at=t.at, device=t.device) for t in ticks
        ],
        done=standing(ticks),
    )


@router.post("/jobs/{job}/ticks")
def add_ticks(service: TheService, job: JobId, sent: m.TicksIn) -> m.Ticks:
    """Keep marks; each is kept once, however often it is sent. Neither side's are lost."""
    new = service.store.tick(job, [Tick(**t.model_dump()) for t in sent.ticks])
    if new:
        service.hub(job).tell("ticks", {"new": new})
    return get_ticks(service, job)


@router.post("/jobs/{job}/sheets", status_code=202)
def make_sheets(service: TheService, job: JobId) -> m.SheetSet:
    """Make the set of papers of the plan as it stands; how far it is, is told by events."""
    return _set(service.sheets(job).make())


@router.get("/jobs/{job}/sheets")
def get_sheets(service: TheService, job: JobId) -> m.SheetSet:
    """List the set of papers that was made last."""
    return _set(service.sheets(job).state())


@router.get("/jobs/{job}/sheets.zip", response_class=Response)
def get_sheets_zip(service: TheService, job: JobId) -> Response:
    """Give the whole set as one zip."""
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, body in service.sheets(job).every():
            archive.writestr(name, body)
    named = kept_as(service, job, "papers")
    return Response(into.getvalue(), media_type="application/zip", headers=named)


@router.get("/jobs/{job}/sheets/{number}", response_class=Response)
def get_sheet(
    service: TheService, job: JobId, number: Annotated[int, Path(ge=1, le=100_000)]
) -> Response:
    """Give one file of the set, by its number in the list."""
    name, body = service.sheets(job).one(number)
    last = name.rsplit("/", 1)[-1]
    kind = mimetypes.guess_type(last)[0] or "application/octet-stream"
    plain = "".join(c if c.isascii() and c not in '"\\' else "_" for c in last)
    named = {"content-disposition": f'inline; filename="{plain}"'}
    return Response(body, media_type=kind, headers=named)


def _set(state: tuple[int, list[str], bool]) -> m.SheetSet:
    revision, names, making = state
    files = [m.SheetFile(number=k, name=name) for k, name in enumerate(names, 1)]
    return m.SheetSet(revision=revision, files=files, making=making)
