"""The job file that the service was started with, and writing the page's job back to it.

Only that very file is written, and the files that the job names beside it: no path ever comes
from a request. What was changed on the disk meanwhile is never written over unseen.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
import threading
import tomllib
from collections.abc import Mapping
from pathlib import Path

from hillwright.errors import HillwrightError, Problem
from hillwright.job.read import FILES
from hillwright.store.merge import Change, changes
from hillwright.store.model import JOB_FILE
from hillwright.store.pack import check_name

PLANTING = "job.planting.json"  # as the store calls the planting that is kept beside a job


class ChangedOutside(HillwrightError):
    """The file on the disk is not as it was when it was read or written last."""


class Attached:
    """A job file on the disk and the job of the store that was opened from it.

    Parameters
    ----------
    job : str
        Id of the job in the store.
    path : Path
        The job file.
    files : mapping
        What was read from the disk, by the store's names.
    """

    def __init__(self, job: str, path: Path, files: Mapping[str, bytes]) -> None:
        self.job, self.path = job, path.resolve()
        self._known = {name: _digest(content) for name, content in files.items()}
        self._lock = threading.Lock()

    def place(self, name: str) -> Path:
        """Give where a file of the job lies on the disk."""
        if name == JOB_FILE:
            return self.path
        if name == PLANTING:
            return self.path.with_name(f"{self.path.stem}.planting.json")
        return self.path.with_name(check_name(name))

    def seen(self) -> str:
        """Give a digest of the job file as it is on the disk now; "" where there is none."""
        content = _read(self.path)
        return "" if content is None else _digest(content)

    def differing(self, files: Mapping[str, bytes]) -> list[str]:
        """Give the names of the job's files that are not the same on the disk."""
        return [n for n in self._written(files) if _read(self.place(n)) != files[n]]

    def changed(self, files: Mapping[str, bytes]) -> list[str]:
        """Give the names of files that would be written over and were changed on the disk."""
        found = []
        for name in self.differing(files):
            there = _read(self.place(name))
            now = "" if there is None else _digest(there)
            if now != self._known.get(name, ""):
                found.append(name)
        return found

    def difference(self, files: Mapping[str, bytes]) -> tuple[Change, ...]:
        """Give what is not the same in the job file: on the disk, and here.

        Raises
        ------
        ChangedOutside
            The file on the disk is gone, or cannot be read any more.
        """
        there = _read(self.path)
        try:
            if there is None:
                raise ValueError("it is gone")
            before = tomllib.loads(there.decode("utf-8-sig"))
        except ValueError as error:
            right = "put it right in your editor, or start again without it"
            raise ChangedOutside(self.path.name, f"cannot be read: {error}", right) from None
        return changes(before, tomllib.loads(files[JOB_FILE].decode("utf-8-sig")))

    def write(self, files: Mapping[str, bytes], over: str | None = None) -> list[str]:
        """Write what differs, the job file last; each whole or not at all.

        Parameters
        ----------
        files : mapping
            The job as it stands, by the store's names.
        over : str, optional
            Digest of the job file on the disk that somebody has looked at and gives up.

        Raises
        ------
        ChangedOutside
            A file was changed on the disk since, or stands there and is none of this job's.
        """
        with self._lock:
            theirs = self.changed(files)
            if over is not None and over == self.seen():
                theirs = [n for n in theirs if n != JOB_FILE]
            if theirs:
                what, right = "was changed on the disk since", "look at both, then read the file in"
                named = [self.place(n).name for n in theirs]
                raise ChangedOutside.all([Problem(name, what, right) for name in named])
            names = sorted(self.differing(files), key=lambda n: n == JOB_FILE)
            for name in names:
                _replace(self.place(name), files[name])
                self._known[name] = _digest(files[name])
            return names

    def read_in(self, files: Mapping[str, bytes]) -> None:
        """Take note of what was read from the disk just now."""
        with self._lock:
            self._known = {name: _digest(content) for name, content in files.items()}

    def _written(self, files: Mapping[str, bytes]) -> list[str]:
        """Give the files that belong on the disk: the job file, and those that it names."""
        tables = tomllib.loads(files[JOB_FILE].decode("utf-8-sig"))
        named = {
            table.get(key)
            for section, key in FILES
            if isinstance(table := tables.get(section), dict)
        }
        return [n for n in files if n == JOB_FILE or n in named]


def _digest(content: bytes) -> str:
    return hashlib.blake2b(content, digest_size=16).hexdigest()


def _read(path: Path) -> bytes | None:
    """Give what a plain file holds; None where there is none."""
    return path.read_bytes() if path.is_file() else None


def _replace(path: Path, content: bytes) -> None:
    """Put a file in the place of another at once: whoever reads finds the old or the new one."""
    if path.is_symlink() and path != path.resolve():
        right = "put the file itself there"
        raise ChangedOutside(path.name, "is a link to another place", right)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as into:
                into.write(content)
                into.flush()
                os.fsync(into.fileno())
            mode = path.stat().st_mode & 0o777 if path.exists() else 0o644
            os.chmod(name, mode)
            os.replace(name, path)
        except BaseException:
            with contextlib.suppress(OSError):
                os.unlink(name)
            raise
    except OSError as error:
        why = (error.strerror or "cannot be written").lower()
        raise HillwrightError(path.name, f"was not written: {why}", "free its folder") from None
