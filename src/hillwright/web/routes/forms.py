"""What forms need: the schema of a job file, and what may be chosen."""

from __future__ import annotations

import tomllib
from typing import Any

from fastapi import APIRouter

from hillwright.store.model import JOB_FILE
from hillwright.web import models as m
from hillwright.web.routes.base import REFUSALS, JobId, TheService

router = APIRouter(prefix="/api", responses=REFUSALS, tags=["forms"])
LARGEST = 1_000_000  # bytes of a list of plants that is read while somebody waits


@router.get("/schema/job")
def job_schema() -> dict[str, Any]:
    """Give the JSON Schema of a job file: sections, keys, defaults, limits.

    A quantity is a string with its unit; `quantity` says of what kind. `least`, `most` and
    `default` are SI, to be shown as `unit` says. `form` says how else a value is written or
    chosen, `known` which words the program's tables hold.
    """
    from hillwright.web.schema import schema

    return schema()


@router.get("/jobs/{job}/palette")
def palette(service: TheService, job: JobId) -> m.Palette:
    """List the plants that the job can name: the program's, and those of the job's own list."""
    from hillwright.job.plantlist import read_plants
    from hillwright.planting.palette import KINDS, USES, palette

    files = service.store.files(job)
    tables = tomllib.loads(files[JOB_FILE].decode("utf-8-sig"))
    name = tables.get("planting", {}).get("palette", "")
    listed = files.get(name, b"") if isinstance(name, str) else b""
    own = (
        read_plants(listed.decode("utf-8-sig", "replace"), name)
        if 0 < len(listed) < LARGEST
        else ()
    )
    plants = [
        m.PlantOut(id=p.id, common=p.common, botanical=p.botanical, kind=p.kind)
        for p in palette(own)
    ]
    return m.Palette(plants=plants, kinds=list(KINDS), uses=list(USES))
