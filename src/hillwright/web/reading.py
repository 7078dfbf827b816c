"""Read what somebody uploads, in a process of its own with limits of time and memory.

A file from elsewhere may be broken, or made to do harm: whatever it does to its reader, the service
goes on.
"""

from __future__ import annotations

import multiprocessing
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from hillwright.errors import HillwrightError, JobError, Problem, SurveyError
from hillwright.store.model import JOB_FILE
from hillwright.units import System
from hillwright.web import worker

TIME = 60.0  # [s]
MEMORY = 4_000_000_000  # [bytes]


class UploadError(HillwrightError):
    """What was uploaded is no job and no survey."""


def read(
    uploads: list[tuple[str, Path]], units: System, time: float = TIME, memory: int = MEMORY
) -> tuple[str, dict[str, bytes]]:
    """Make a job of uploaded files: a zip of one, a job file with those beside it, or a survey.

    Parameters
    ----------
    uploads : list of (str, Path)
        Name as it was sent, and where it lies.
    units : {"us", "metric"}
        For a survey that comes alone.
    time, memory : float, int
        What the reader may take. [s], [bytes]

    Returns
    -------
    name : str
        What the job is called.
    files : dict
        Its files.

    Raises
    ------
    UploadError
        Everything that is wrong, or that reading took too long or too much memory.
    """
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    given = (theirs, [(n, str(p)) for n, p in uploads], units, memory)
    process = context.Process(target=_main, args=given, daemon=True)
    process.start()
    theirs.close()
    names = ", ".join(n for n, _ in uploads)
    try:
        if not ours.poll(time):
            what = f"takes longer than {time:.0f} s to read"
            raise UploadError(names, what, "cut the survey down to the hillside")
        word, found = ours.recv()
    except (EOFError, OSError):
        what = "cannot be read: its reader was ended, most likely for want of memory"
        raise UploadError(names, what, "cut the survey down to the hillside") from None
    finally:
        process.kill()
        process.join()
        ours.close()
    if word == "problems":
        raise UploadError.all(Problem(p["where"], p["what"], p["right"]) for p in found)
    name, files = found
    return name, files


def _main(connection: Connection, uploads: list[tuple[str, str]], units: System, most: int) -> None:
    worker.limit_memory(most)
    names = ", ".join(n for n, _ in uploads)
    try:
        answer: tuple[str, Any] = ("job", job_of(uploads, units))
    except HillwrightError as error:
        answer = ("problems", worker.told(error))
    except MemoryError:
        what = "needs more memory to read than it may have"
        told = UploadError(names, what, "cut the survey down to the hillside")
        answer = ("problems", worker.told(told))
    except Exception as error:
        answer = ("problems", worker.told(UploadError(names, f"cannot be read ({error})", RIGHT)))
    connection.send(answer)


RIGHT = "give a job (.toml or .zip), or a survey: CSV of points or tape sections, LandXML, GeoTIFF"


def job_of(uploads: list[tuple[str, str]], units: System) -> tuple[str, dict[str, bytes]]:
    """Make a job of uploaded files, and read its survey to see whether it is one."""
    import tempfile

    from hillwright.job.read import open_job
    from hillwright.job.sidecar import read_site

    files = _files(uploads, units)
    with tempfile.TemporaryDirectory(prefix="hillwright-") as place:
        folder = Path(place)
        for name, content in files.items():
            (folder / name).write_bytes(content)
        worker.check_text(folder)
        opened = open_job(folder / JOB_FILE)
        worker.check_beside(folder)
        read_site(opened)
    return opened.job.site.name, files


def _files(uploads: list[tuple[str, str]], units: System) -> dict[str, bytes]:
    from hillwright.store.pack import check_files, check_name, unpack, with_job_file
    from hillwright.web.starts import around

    named = [(check_name(name), Path(path).read_bytes()) for name, path in uploads]
    if len(named) == 1 and named[0][1][:4] == b"PK\x03\x04":
        return unpack(named[0][1], named[0][0])
    files = dict(named)
    if len(files) < len(named):
        raise JobError("files", "two have the same name", "give each its own name")
    if any(name.lower().endswith(".toml") for name in files):
        files = with_job_file(files, "the upload")
    elif len(files) == 1:
        name, content = named[0]
        _refuse_what_is_none(name, content)
        files = around(name, content, units)
    else:
        raise JobError("files", "there is no job file among them", RIGHT)
    check_files(files)
    return files


def _refuse_what_is_none(name: str, content: bytes) -> None:
    """Refuse at once what cannot be a survey, in words about what it is."""
    if not content:
        raise SurveyError(name, "is empty", RIGHT)
    kinds = {
        b"%PDF": "is a PDF",
        b"\x89PNG": "is a picture",
        b"\xff\xd8\xff": "is a photograph",
        b"GIF8": "is a picture",
        b"\x7fELF": "is a program",
        b"MZ": "is a program",
        b"\xd0\xcf\x11\xe0": "is an old spreadsheet or document",
    }
    for magic, what in kinds.items():
        if content.startswith(magic):
            raise SurveyError(name, f"{what}, and no survey", RIGHT)
