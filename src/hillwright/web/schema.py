"""The JSON Schema of a job file, for forms: what each key takes, and within which limits."""

from __future__ import annotations

from functools import cache
from typing import Any

from hillwright.job.model import Job


@cache
def schema() -> dict[str, Any]:
    """Give the schema, made from the job's own types."""
    return Job.model_json_schema()
