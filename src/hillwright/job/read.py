"""Open a job file: find it, read it, check it, and tell everything that is wrong at once."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any

from hillwright.errors import JobError, Problem, SurveyError
from hillwright.job.check import check
from hillwright.job.model import OpenJob

LARGEST = 4_000_000  # bytes; a job is a few thousand
FILES = (  # keys that name a file beside the job
    ("survey", "file"),
    ("outline", "file"),
    ("rain", "table"),
    ("rain", "event"),
    ("rain", "map"),
    ("planting", "palette"),
    ("climate", "weather"),
    ("irrigation", "readings"),
    ("built", "record"),
    ("estimate", "prices"),
)


def open_job(path: Path) -> OpenJob:
    """Open a job file, or the one job file of a folder.

    Parameters
    ----------
    path : Path
        The TOML file, or a folder that holds "job.toml" or just one TOML file.

    Raises
    ------
    JobError
        The file cannot be found or read, or does not describe a job: every problem in it, each
        with its line, its key, what is wrong and what would be right.
    """
    file = _locate(Path(path))
    return read_job(_text(file), file)


def read_job(text: str, file: Path, beside: Collection[str] | None = None) -> OpenJob:
    """Read the text of a job file and check it.

    Parameters
    ----------
    text : str
        TOML.
    file : Path
        Where it lies, or would: its name is what messages call it.
    beside : collection of str, optional
        Names of the files that go with it, and the only ones that it may name; else whatever lies
        on the disk.

    Raises
    ------
    JobError
        As :func:`open_job`.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        from hillwright.job.syntax import explain

        raise JobError.all([explain(error, text, file.name)]) from None
    except (RecursionError, ValueError) as error:
        what = "lists within lists, too deep to read"
        if isinstance(error, ValueError):
            what = "holds a number too long to read"
        raise JobError(file.name, what, "see the manual for the form of a job file") from None
    missing = tuple(_missing_files(data, file, beside))
    job, wrong = check(data)
    if job is None or missing:
        raise JobError.all(_problems(wrong, missing, data, text, file))
    return OpenJob(job=job, path=file)


def _locate(path: Path) -> Path:
    """Give the job file that a path means."""
    try:
        if path.is_file():
            return path
        if path.is_dir():
            return _inside(path)
        there = sorted(p.name for p in path.parent.iterdir() if p.suffix == ".toml")
    except (OSError, ValueError):
        there = []
    if f"{path.name}.toml" in there:
        near = [f"{path.name}.toml"]
    else:
        near = difflib.get_close_matches(path.name, there, 1, 0.5)
    right = f'did you mean "{near[0]}"?' if near else 'start one with "hillwright new FOLDER"'
    raise JobError(str(path), "there is no such file", right)


def _inside(folder: Path) -> Path:
    # a folder of code has a TOML file too, which is no job
    there = sorted(
        p
        for p in folder.iterdir()
        if p.suffix == ".toml" and p.name != "pyproject.toml" and p.is_file()
    )
    if (job := folder / "job.toml") in there:
        return job
    if len(there) == 1:
        return there[0]
    if there:
        names = ", ".join(p.name for p in there[:6]) + (", ..." if len(there) > 6 else "")
        raise JobError(str(folder), "is a folder with several job files", f"name one of {names}")
    raise JobError(
        str(folder), "is a folder without a job file", 'start one with "hillwright new FOLDER"'
    )


def _text(file: Path) -> str:
    try:
        if file.stat().st_size > LARGEST:
            raise JobError(file.name, "is larger than 4 MB", "a job file is a page or two of text")
        raw = file.read_bytes()
    except OSError as error:
        why = (error.strerror or "it cannot be opened").lower()
        raise JobError(str(file), f"cannot be read: {why}", "check the file") from None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        right = 'save it again as plain text, encoding "UTF-8"'
        raise JobError(f"{file.name} line {line}", "is not UTF-8 text", right) from None


def _missing_files(
    data: dict[str, Any], file: Path, beside: Collection[str] | None
) -> Iterator[tuple[tuple[str, str], Problem]]:
    """Give each file that the job names and that is not there."""
    from hillwright.job.files import find, not_there

    for section, key in FILES:
        table = data.get(section)
        name = table.get(key) if isinstance(table, dict) else None
        if not (isinstance(name, str) and name.strip()) or (beside and name in beside):
            continue
        if beside is not None:
            yield (section, key), not_there(name, f"{section}.{key}", beside)
        else:
            try:
                find(file, name, f"{section}.{key}")
            except SurveyError as error:
                yield (section, key), error.problems[0]


def _problems(
    errors: list[Any],
    missing: tuple[tuple[tuple[str, str], Problem], ...],
    data: dict[str, Any],
    text: str,
    file: Path,
) -> list[Problem]:
    """Put every problem of the file in the order of its lines, each once."""
    from hillwright.job.explain import Explainer
    from hillwright.job.lines import Lines

    system = data.get("units")
    lines = Lines(text)
    explainer = Explainer(file.name, lines, "metric" if system == "metric" else "us")
    found = [pair for error in errors for pair in explainer.problems(error)]
    for keys, problem in missing:
        where = explainer.where(keys)
        found.append((lines.line(keys) or 0, Problem(where, problem.what, problem.right)))
    found.sort(key=lambda pair: pair[0])
    return list(dict.fromkeys(problem for _, problem in found))
