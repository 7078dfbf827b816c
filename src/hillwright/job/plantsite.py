"""What the planting room needs beside the ground: latitude, own plants, a kept planting."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from hillwright.errors import SurveyError
from hillwright.job.earth import by_survey
from hillwright.job.files import find, read_text
from hillwright.job.model import OpenJob
from hillwright.job.plantlist import read_plants
from hillwright.job.site import Frame, KeptPlanting, Site

FORM = 1  # of the file that a planting is kept in


def for_planting(opened: OpenJob, site: Site) -> Site:
    """Add to a site what the planting room needs."""
    latitude, said = _latitude(opened, site.frame)
    plants: tuple[dict[str, Any], ...] = ()
    if name := opened.job.planting.palette:
        path = find(opened.path, name, "planting.palette")
        plants = read_plants(read_text(path), path.name)
    kept = read_kept(kept_path(opened.path))
    return replace(site, latitude=latitude, latitude_from=said, plants=plants, kept=kept)


def _latitude(opened: OpenJob, frame: Frame) -> tuple[float | None, str]:
    """Give the site's latitude [rad], and who says so."""
    if opened.job.site.latitude is not None:
        return opened.job.site.latitude, "site.latitude"
    if not frame.crs:
        return None, ""
    return by_survey(frame)[0], "the survey's coordinate system"


def kept_path(job: Path) -> Path:
    """Give the file beside a job that its planting is kept in."""
    return job.with_name(f"{job.stem}.planting.json")


def read_kept(path: Path) -> KeptPlanting | None:
    """Read a kept planting; None where there is none.

    Raises
    ------
    SurveyError
        The file is there and is no planting.
    """
    if not path.is_file():
        return None
    right = "delete it, or run `hillwright planting` again"
    try:
        data = json.loads(read_text(path))
        if data["form"] != FORM:
            raise SurveyError(path.name, "was written by another version", right)
        cells = tuple((int(r), int(n), str(use)) for r, n, use in data["cells"])
        starts = tuple((int(r), int(n)) for r, n in data["starts"])
        worth, on_path, anywhere = (float(b) for b in data["bounds"])
        bounds = (worth, on_path, anywhere)
        return KeptPlanting(str(data["key"]), str(data["found"]), bounds, cells, starts)
    except (ValueError, KeyError, TypeError, RecursionError):
        raise SurveyError(path.name, "is not a planting that was kept", right) from None


def write_kept(path: Path, kept: KeptPlanting) -> None:
    """Keep a planting beside its job."""
    data = {
        "form": FORM,
        "key": kept.key,
        "found": kept.found,
        "bounds": list(kept.bounds),
        "starts": [list(s) for s in kept.start],
        "cells": [list(c) for c in kept.use],
    }
    lines = json.dumps(data, ensure_ascii=False).replace("], [", "],\n  [")
    aside = path.with_name(f".{path.name}.new")
    try:
        aside.write_text(lines + "\n", encoding="utf-8", newline="\n")
        aside.replace(path)
    except OSError as error:
        raise SurveyError(
            str(path), f"cannot be written ({error.strerror or error})", "make room beside the job"
        ) from error
