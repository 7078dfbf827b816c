"""Jobs: list, start, open, change, undo, name, compare, take along."""

from __future__ import annotations

import json
import tempfile
import tomllib
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, File, Form, Query, Response, UploadFile
from fastapi.responses import Response as Plain

from hillwright.errors import HillwrightError
from hillwright.store.merge import changes
from hillwright.store.model import JOB_FILE, Revision
from hillwright.store.pack import check_name, pack
from hillwright.store.pointer import operations, pointer
from hillwright.units import System
from hillwright.web import models as m
from hillwright.web import reading, starts
from hillwright.web.routes.base import REFUSALS, JobId, TheService, kept_as
from hillwright.web.service import Service, as_written

router = APIRouter(prefix="/api", responses=REFUSALS, tags=["jobs"])


@router.get("/jobs")
def list_jobs(service: TheService, archived: bool = False) -> m.Jobs:
    """List jobs, the one changed last first, and the examples to start from."""
    jobs = [
        m.JobHead(id=j.id, name=j.title, revision=j.head, saved=j.changed, archived=j.archived)
        for j in service.store.jobs("archived" if archived else "open")
    ]
    return m.Jobs(jobs=jobs, examples=starts.examples())


@router.post("/jobs", status_code=201)
def start_job(service: TheService, new: m.NewJob) -> m.Made:
    """Start a job from an example, a copy of another, or tape sections as typed."""
    given = [k for k in ("example", "copy_of", "sections") if getattr(new, k) is not None]
    if len(given) != 1:
        what = "nothing to start from" if not given else f"{' and '.join(given)} at once"
        raise HillwrightError("job", what, "give one of example, copy_of, sections")
    if new.example is not None:
        return _made(service.create(starts.example(new.example), new.name, summary="example"))
    if new.copy_of is not None:
        entry = service.store.job(new.copy_of)
        name = new.name or f"{entry.title} (copy)"
        return _made(service.create(service.store.files(entry.id), name, summary="copied"))
    files = starts.typed(new.sections or [], new.name, new.units, new.outline)
    return _made(service.create(*_read_apart(files, new.units), summary="typed"))


@router.post("/jobs/upload", status_code=201)
def upload_job(
    service: TheService,
    files: Annotated[list[UploadFile], File(description="A job's zip, its files, or a survey.")],
    units: Annotated[System, Form()] = "us",
    name: Annotated[str, Form(max_length=200)] = "",
) -> m.Made:
    """Start a job from files: a zip that was exported, a job file with others, or a survey."""
    found, read = _read_uploads(files, units)
    return _made(service.create(read, name or found, summary="uploaded"))


@router.get("/jobs/{job}")
def get_job(service: TheService, job: JobId) -> m.JobState:
    """Give a job as it stands."""
    entry, revision = service.store.job(job), service.store.revision(job)
    tables = tomllib.loads(service.store.files(job)[JOB_FILE].decode("utf-8-sig"))
    redo = _next(service, revision) if entry.redo else None
    return m.JobState(
        id=job,
        name=entry.title,
        units=tables.get("units", "us"),
        revision=revision.number,
        saved=entry.changed,
        archived=entry.archived,
        undo=(revision.summary or "the last change") if entry.undo else None,
        redo=redo,
        job=as_written(tables),
        files=[name for name, _ in revision.files],
        file=service.attached.path.name
        if service.attached and service.attached.job == job
        else None,
        problems=[m.ProblemOut(**p) for p in service.problems(job)],
    )


@router.delete("/jobs/{job}", status_code=204)
def archive_job(service: TheService, job: JobId) -> Response:
    """Take a job out of the list; nothing of it is lost."""
    service.store.archive(job)
    return Response(status_code=204)


@router.post("/jobs/{job}/restore", status_code=204)
def restore_job(service: TheService, job: JobId) -> Response:
    """Put an archived job back into the list."""
    service.store.archive(job, False)
    return Response(status_code=204)


@router.post("/jobs/{job}/edits", responses={409: {"model": m.Clashes}})
def edit_job(service: TheService, job: JobId, edit: m.Edit) -> m.Saved:
    """Change the job file; saved once this answers.

    Changes of others since `base` are kept too where they touch other keys. Where they touch the
    same, this one is kept aside and the answer is 409.
    """
    patch = operations([c.model_dump(exclude_unset=True) for c in edit.patch])
    saved, others = service.edit(job, edit.base, patch, edit.summary, edit.by, edit.id)
    told = [m.Other(number=r.number, summary=r.summary, by=r.by) for r in others]
    return m.Saved(revision=saved.number, others=told)


@router.post("/jobs/{job}/files")
def replace_file(
    service: TheService,
    job: JobId,
    file: Annotated[UploadFile, File(description="A survey, outline, weather or the like.")],
    base: Annotated[int, Form(ge=1, le=2**31 - 1)],
) -> m.Saved:
    """Put a file beside the job file, or another in its place."""
    name = check_name(file.filename or "")
    saved = service.replace_file(job, base, name, file.file.read(), "")
    return m.Saved(revision=saved.number)


@router.post("/jobs/{job}/undo")
def undo(service: TheService, job: JobId, at: m.Base) -> m.Saved:
    """Go back by one revision."""
    return m.Saved(revision=service.undo(job, at.base).number)


@router.post("/jobs/{job}/redo")
def redo(service: TheService, job: JobId, at: m.Base) -> m.Saved:
    """Go forward again by one revision that was undone."""
    return m.Saved(revision=service.redo(job, at.base).number)


@router.post("/jobs/{job}/open")
def open_revision(service: TheService, job: JobId, which: m.Which) -> m.Saved:
    """Go on from a revision, also from one that lost: its files become the newest revision."""
    return m.Saved(revision=service.open_revision(job, which.revision).number)


@router.post("/jobs/{job}/name")
def name_revision(service: TheService, job: JobId, named: m.Named) -> m.RevisionOut:
    """Name a revision, so that it is found again."""
    return _revision(service.store.name(job, named.revision, named.name))


@router.get("/jobs/{job}/revisions")
def list_revisions(service: TheService, job: JobId) -> m.Revisions:
    """List every revision, the newest first."""
    head = service.store.job(job).head
    return m.Revisions(head=head, revisions=[_revision(r) for r in service.store.revisions(job)])


@router.get("/jobs/{job}/compare")
def compare(
    service: TheService,
    job: JobId,
    a: Annotated[int, Query(ge=1, le=2**31 - 1)],
    b: Annotated[int, Query(ge=1, le=2**31 - 1)],
) -> m.Compared:
    """Tell what is not the same in two revisions."""
    old, new = service.store.files(job, a), service.store.files(job, b)
    before, after = (tomllib.loads(f[JOB_FILE].decode("utf-8-sig")) for f in (old, new))
    told = [
        m.KeyChange(path=pointer(c.path), before=as_written(c.before), after=as_written(c.after))
        for c in changes(before, after)
    ]
    others = sorted(n for n in {*old, *new} - {JOB_FILE} if old.get(n) != new.get(n))
    answers = _answers(service, job, a, b)
    return m.Compared(a=a, b=b, changes=told, files=others, answers=answers)


@router.get("/jobs/{job}/export", response_class=Plain)
def export(
    service: TheService,
    job: JobId,
    revision: Annotated[int | None, Query(ge=1, le=2**31 - 1)] = None,
) -> Plain:
    """Give the job file and those beside it as one zip."""
    body = pack(service.store.files(job, revision))
    return Plain(body, media_type="application/zip", headers=kept_as(service, job, "job"))


def _answers(service: Service, job: str, a: int, b: int) -> list[m.AnswerChange]:
    """Give the answers that are not the same in two revisions, as far as they were worked out."""
    sides: list[dict[int, dict[str, str]]] = []
    for number in (a, b):
        body = service.store.answers(job, number)
        listed = json.loads(body)["answers"] if body else []
        sides.append({each["number"]: each for each in listed})
    found = []
    for number in sorted({*sides[0], *sides[1]}):
        old, new = (side.get(number) for side in sides)
        known: dict[str, str] = new or old or {}
        if old and new and (old["short"], old["verdict"]) == (new["short"], new["verdict"]):
            continue
        found.append(
            m.AnswerChange(
                number=number,
                question=known["question"],
                before=old["short"] if old else None,
                verdict_before=old["verdict"] if old else None,
                after=new["short"] if new else None,
                verdict_after=new["verdict"] if new else None,
            )
        )
    return found


def _made(revision: Revision) -> m.Made:
    return m.Made(id=revision.job, revision=revision.number)


def _revision(r: Revision) -> m.RevisionOut:
    return m.RevisionOut(
        number=r.number, parent=r.parent, saved=r.made, by=r.by, summary=r.summary,
        name=r.name or None, aside=r.aside,
    )  # fmt: skip


def _next(service: Service, at: Revision) -> str:
    """Give what redo would bring back: the newest revision that stands on this one."""
    after = [r for r in service.store.revisions(at.job) if r.parent == at.number and not r.aside]
    return (after[0].summary if after else "") or "the next change"


def _read_uploads(files: list[UploadFile], units: System) -> tuple[str, dict[str, bytes]]:
    """Read uploads in a process of their own."""
    with tempfile.TemporaryDirectory(prefix="hillwright-") as place:
        uploads: list[tuple[str, Path]] = []
        for k, each in enumerate(files):
            path = Path(place) / str(k)  # never by the name that it was sent with
            with path.open("wb") as into:
                while piece := each.file.read(1 << 20):
                    into.write(piece)
            uploads.append((each.filename or f"file {k + 1}", path))
        return reading.read(uploads, units)


def _read_apart(files: dict[str, bytes], units: System) -> tuple[dict[str, bytes], str]:
    with tempfile.TemporaryDirectory(prefix="hillwright-") as place:
        uploads: list[tuple[str, Path]] = []
        for k, (name, content) in enumerate(files.items()):
            path = Path(place) / str(k)
            path.write_bytes(content)
            uploads.append((name, path))
        name, read = reading.read(uploads, units)
    return read, name
