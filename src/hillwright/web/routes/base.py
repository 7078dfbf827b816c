"""What every route has: the service, the id of a job, and problems in one shape."""

from __future__ import annotations

import re
import unicodedata
from typing import Annotated, Any

from fastapi import Depends, Path, Request

from hillwright.web.models import Problems
from hillwright.web.service import Service


def _service(request: Request) -> Service:
    found: Service = request.app.state.service
    return found


TheService = Annotated[Service, Depends(_service)]
JobId = Annotated[str, Path(pattern="^[0-9a-f]{12}$", description="Of the job.")]


def kept_as(service: Service, job: str, what: str) -> dict[str, str]:
    """Give the header that has a browser keep a zip under the name of its hill.

    Letters beyond ASCII lose their marks; what is left of none is called by the job's id.
    """
    plain = unicodedata.normalize("NFKD", service.store.job(job).title).encode("ascii", "ignore")
    name = re.sub(r"[^a-z0-9]+", "-", plain.decode().lower()).strip("-")[:60] or job
    return {"content-disposition": f'attachment; filename="{name}-{what}.zip"'}


# what any route may answer besides what it is for
REFUSALS: dict[int | str, dict[str, Any]] = {
    code: {"model": Problems, "description": about}
    for code, about in {
        400: "The request cannot be read.",
        401: "The token is missing.",
        403: "It came from a page of another site.",
        404: "It is not there.",
        409: "The job has gone on since.",
        413: "It is too large.",
        415: "Its kind of content is not taken here.",
        422: "What is wrong, and what would be right.",
        503: "The store cannot be written or read now.",
    }.items()
}
