"""Commands to begin with: a new job, and the page."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from hillwright.cli.common import CommandError, Json, app


class Units(StrEnum):
    """Units that a job is written in."""

    us = "us"
    metric = "metric"


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to write it in.")],
    units: Annotated[Units, typer.Option(help="Units that the job is written in.")] = Units.us,
    json: Json = False,
) -> None:
    """Write a job to start from: commented, and it works as it stands."""
    from hillwright.console import print_files, print_json
    from hillwright.job.new import write_job

    files = write_job(folder, units.value)
    if json:
        print_json({"files": files})
    else:
        print_files(files)


@app.command()
def serve(
    job: Annotated[
        Path | None, typer.Argument(metavar="[JOB]", help="A job to open; left out, the list.")
    ] = None,
    store: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="File that jobs are kept in; else the user's own."),
    ] = None,
    host: Annotated[
        str, typer.Option(help="Address to listen on; any but this machine's own lets others in.")
    ] = "127.0.0.1",
    port: Annotated[
        int | None, typer.Option(min=0, max=65535, help="Port; else the first free one.")
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open the browser.")] = True,
    longest: Annotated[
        float, typer.Option(min=1, max=36000, help="Seconds that a plan may take.")
    ] = 300.0,
    memory: Annotated[
        float, typer.Option(min=1, max=1000, help="Gigabytes that a plan may take.")
    ] = 6.0,
    certificate: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="PEM file; with --key, what is sent is encrypted."),
    ] = None,
    key: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Key of the certificate.")
    ] = None,
) -> None:
    """Open the page: see the hill, change anything, watch everything follow."""
    from hillwright.web import serve as web
    from hillwright.web.planner import Limits

    limits = Limits(longest=longest, memory=int(memory * 1e9))
    if (certificate is None) != (key is None):
        missing = "--key" if key is None else "--certificate"
        raise CommandError(missing, "is missing", "give --certificate and --key together")
    sealed = (certificate, key) if certificate and key else None
    web.serve(job, store or web.default_store(), host, port, browser, limits, sealed)
