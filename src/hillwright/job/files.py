"""Find and read the files that a job names, and gather what is wrong in one of them."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path

from hillwright.errors import Problem, SurveyError

LARGEST = 64_000_000  # bytes of text; a hillside's shots come to a thousandth of it
_SHOWN = 25  # more problems than anyone reads at once


class Problems:
    """What is wrong in one file, line by line, so that all of it is told at once."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.found: list[Problem] = []

    def add(self, line: int | str | None, what: str, right: str) -> None:
        """Note one problem; ``line`` is a line number or a place in words."""
        where = self.at(line) if isinstance(line, int) else f"{self.file}: {line}"
        self.found.append(Problem(self.file if line is None else where, what, right))

    def at(self, line: int) -> str:
        """Name a line of the file."""
        return f"{self.file} line {line}"

    def raise_any(self) -> None:
        """Raise every problem found so far as one error.

        Raises
        ------
        SurveyError
            There is at least one problem.
        """
        if len(self.found) > _SHOWN:
            more = Problem(self.file, f"{len(self.found) - _SHOWN} more problems like these", "")
            raise SurveyError.all([*self.found[:_SHOWN], more])
        if self.found:
            raise SurveyError.all(self.found)


def find(job: Path, name: str, key: str) -> Path:
    """Give the path of a file that the job names, looked for beside the job file.

    Raises
    ------
    SurveyError
        There is no such file; names the nearest that is there.
    """
    where = f"{job.name}: {key}"
    if not name.strip():
        raise SurveyError(where, "no file is named", "write the name of the file, beside the job")
    path = job.parent / name
    try:
        if path.is_file():
            return path
        kind = "is a folder" if path.is_dir() else "is not there"
        there = [p.name for p in path.parent.iterdir() if p.is_file() and p != job]
    except (OSError, ValueError):  # no such folder, or a name that no file can have
        kind, there = "is not there", []
    raise SurveyError.all([not_there(path.name, where, there, kind, name)])


def not_there(
    name: str, where: str, there: Iterable[str], kind: str = "is not there", written: str = ""
) -> Problem:
    """Say that a file that the job names is not there, and the nearest that is."""
    near = difflib.get_close_matches(name, list(there), 1, 0.5)
    right = f"the nearest name there is {near[0]!r}" if near else "put the file beside the job"
    return Problem(where, f"the file {(written or name)!r} {kind}", right)


def read_text(path: Path) -> str:
    """Read a text file: UTF-8 with or without its mark, UTF-16 with it, else Latin-1.

    Raises
    ------
    SurveyError
        The file cannot be read, is too large, empty, or not text.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise SurveyError(path.name, "is larger than 64 MB", "cut it down to the hillside")
        data = path.read_bytes()
    except OSError as error:
        raise SurveyError(
            path.name, f"cannot be read ({error.strerror})", "check the file"
        ) from error
    try:
        utf16 = data[:2] in (b"\xff\xfe", b"\xfe\xff")
        text = data.decode("utf-16" if utf16 else "utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")  # old field books: only descriptions hold such letters
    if "\0" in text:
        raise SurveyError(path.name, "is not a text file", "export the survey as text")
    if not text.strip():
        raise SurveyError(path.name, "is empty", "export the survey again")
    return text
