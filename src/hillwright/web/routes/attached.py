"""The job file that the service was started with: how it differs, and writing it."""

from __future__ import annotations

from fastapi import APIRouter

from hillwright.errors import HillwrightError
from hillwright.store.errors import Stale
from hillwright.store.pointer import pointer
from hillwright.web import models as m
from hillwright.web.attached import Attached
from hillwright.web.routes.base import REFUSALS, JobId, TheService
from hillwright.web.service import Service, as_written

router = APIRouter(prefix="/api/jobs/{job}/file", responses=REFUSALS, tags=["jobs"])


@router.get("")
def file_state(service: TheService, job: JobId) -> m.FileState:
    """Tell how the job differs from the file that the service was started with."""
    return _state(service, _attached(service, job))


@router.post("/save")
def save_file(service: TheService, job: JobId, asked: m.SaveFile) -> m.FileState:
    """Write the job to that very file, and the files that it names beside it.

    Refused where the file was changed on the disk since, unless `over` names the version that
    somebody has seen.
    """
    attached = _attached(service, job)
    _fresh(service, job, asked.base)
    attached.write(service.store.files(job), asked.over)
    return _state(service, attached)


@router.post("/read")
def read_file(service: TheService, job: JobId, asked: m.SaveFile) -> m.Saved:
    """Take the file as it is on the disk for the newest revision; undo goes back."""
    from hillwright.web.serve import beside

    attached = _attached(service, job)
    _fresh(service, job, asked.base)
    files = beside(attached.path)
    saved = service.replace_all(job, asked.base, files, "read again")
    attached.read_in(files)
    return m.Saved(revision=saved.number)


def _attached(service: Service, job: str) -> Attached:
    if service.attached is None or service.attached.job != job:
        service.store.job(job)
        right = "start with the file: hillwright serve my-hill/job.toml"
        raise HillwrightError("file", "the service was not started with a file of this job", right)
    return service.attached


def _fresh(service: Service, job: str, base: int) -> None:
    head = service.store.job(job).head
    if head != base:
        what = f"revision {base} is not the newest any more, {head} is"
        raise Stale(f"job {job}", what, "look at what changed, then do it again")


def _state(service: Service, attached: Attached) -> m.FileState:
    files = service.store.files(attached.job)
    differing = attached.differing(files)
    told = [
        m.KeyChange(path=pointer(c.path), before=as_written(c.before), after=as_written(c.after))
        for c in (attached.difference(files) if differing else ())
    ]
    return m.FileState(
        name=attached.path.name,
        folder=str(attached.path.parent),
        differs=[attached.place(n).name for n in differing],
        changed=[attached.place(n).name for n in attached.changed(files)],
        changes=told,
        seen=attached.seen(),
    )
