"""Start a job: a commented job file and a survey to go with it, both of them invented."""

from __future__ import annotations

import contextlib
import os
import tempfile
from importlib import resources
from pathlib import Path

from hillwright.errors import JobError, Problem
from hillwright.units import System


def write_job(folder: Path, system: System) -> tuple[Path, ...]:
    """Write a job to start from, one that works at once; all of it or nothing.

    Parameters
    ----------
    folder : Path
        Where to; made when it is not there.
    system : {"us", "metric"}
        Units that the job is written in.

    Returns
    -------
    tuple of Path
        The job file, then its survey file.

    Raises
    ------
    JobError
        A file of that name is there already, or the folder cannot be written to.
    """
    folder = Path(folder)
    data = resources.files("hillwright.data")
    files = {
        folder / "job.toml": data / f"job_template_{system}.toml",
        folder / "sections.csv": data / f"sections_template_{system}.csv",
    }
    _refuse_what_is_there(folder, tuple(files))
    new = [p for p in (folder, *folder.parents) if not p.exists()]  # deepest first
    placed: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".new-", dir=folder) as waiting:
            # written in full before the first gets its name: a full disk leaves nothing behind
            for target, source in files.items():
                (Path(waiting) / target.name).write_bytes(source.read_bytes())
            for target in files:
                _place(Path(waiting) / target.name, target)
                placed.append(target)
    except BaseException as error:
        for path in placed:
            path.unlink(missing_ok=True)
        for path in new:
            with contextlib.suppress(OSError):  # somebody else has put a file there since
                path.rmdir()
        if isinstance(error, FileExistsError):
            _refuse_what_is_there(folder, tuple(files))
        if isinstance(error, OSError):
            why = (error.strerror or "it cannot be written to").lower()
            raise JobError(str(folder), why, "name a folder that you may write to") from None
        raise
    return tuple(files)


def _place(ready: Path, target: Path) -> None:
    """Give a finished file its name, never in place of another."""
    try:
        os.link(ready, target)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):  # a disk without links, such as a memory stick
        with target.open("xb") as file:
            try:
                file.write(ready.read_bytes())
            except BaseException:
                file.close()
                target.unlink()
                raise


def _refuse_what_is_there(folder: Path, targets: tuple[Path, ...]) -> None:
    right = "name another folder; nothing was written"
    if folder.exists() and not folder.is_dir():
        raise JobError(str(folder), "is a file, not a folder", right)
    there = [t for t in targets if os.path.lexists(t)]
    if there:
        raise JobError.all(Problem(str(t), "is there already", right) for t in there)
