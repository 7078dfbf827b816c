"""A folder that holds one whole set: made aside, then moved in, or nothing is changed at all."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import Any

from hillwright.errors import HillwrightError
from hillwright.sheets.hands import Hand, Makers, make_all

RECORD = "set.json"  # what was written here, so that the next set can clear it away
KEPT = "kept"  # what a person changed in the folder goes here before it is replaced

Progress = Callable[[str, float], None]  # what is being done, and the share done so far


def put(
    folder: Path,
    makers: Makers,
    about: Mapping[str, Any],
    progress: Progress | None = None,
    first: str = "",
    after: Makers = MappingProxyType({}),
    slow: Sequence[tuple[str, ...]] = (),
    others: Sequence[Hand] = (),
) -> tuple[Path, ...]:
    """Write a set of files; all of them, or nothing.

    Everything is made aside inside the folder. Only when all stand are they moved in; if a move
    fails (a file is open elsewhere, a folder is in the way) every move is taken back.
    What the earlier set wrote and this one does not is removed. What a person put there is
    left alone, and what a person changed is moved to the folder ``kept`` before it is replaced.

    Parameters
    ----------
    folder : Path
        Made if it is not there, and removed again if nothing could be written.
    makers : mapping
        By place in the folder, what writes the file at the path that it is given. They are made
        side by side, so none may wait for another.
    about : mapping
        What the record says of the set besides its files.
    progress : callable, optional
        Told the name of each file as it is started, and the share done.
    first : str
        A file that must be there before any other comes in and until every other is replaced.
    after : mapping
        Like ``makers``, of files that are made when all of those stand.
    slow : sequence
        Places that are begun first, and which of them are made one after the other.
    others : sequence of callable
        Who else makes files of ``makers``, given place and path, beside this process.

    Raises
    ------
    HillwrightError
        The folder cannot be written, the disk is full, or its record cannot be read.
    """
    try:
        with _made(folder), tempfile.TemporaryDirectory(prefix=".set-", dir=folder) as name:
            earlier = _earlier(folder)
            new, old = Path(name) / "new", Path(name) / "old"
            tell = _counted(progress, len(makers) + len(after))
            for place in (*makers, *after):
                (new / place).parent.mkdir(parents=True, exist_ok=True)
            make_all(new, makers, tell, slow, others)
            make_all(new, after, tell)
            files = {place: _digest(new / place) for place in (*makers, *after)}
            record = json.dumps({**about, "files": files}, ensure_ascii=False, indent=1)
            (new / RECORD).write_text(record + "\n", encoding="utf-8", newline="")
            order = sorted(files, key=lambda place: place != first)
            gone = sorted(earlier.keys() - files.keys(), key=lambda place: place == first)
            with _taken_back() as move:
                for place in [*order, RECORD, *gone]:
                    target = folder / place
                    if target.is_file() or target.is_symlink():
                        own = place == RECORD or _digest(target) in (
                            earlier.get(place),
                            files.get(place),
                        )
                        move(target, old / place if own else _free(folder / KEPT / place))
                    if place not in gone:
                        move(new / place, target)
            _clear(folder, earlier)
    except OSError as error:
        raise HillwrightError(
            str(folder),
            f"the sheets cannot be written here ({error.strerror or error}); nothing was changed",
            "name a folder that you may write to, on a disk with room, and close its files in "
            "other programs",
        ) from error
    if progress:
        progress("done", 1.0)
    return tuple(folder / place for place in (*makers, *after))


def _counted(progress: Progress | None, count: int) -> Callable[[str], None]:
    """Give who is told of each file that is begun; it tells the share that was begun before."""
    begun = iter(range(count))

    def tell(place: str) -> None:
        if progress:
            progress(place, next(begun) / count)

    return tell


@contextmanager
def _made(folder: Path) -> Iterator[None]:
    """Make the folder, and unmake what was made if the rest fails."""
    missing = [p for p in (folder, *folder.parents) if not p.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    try:
        yield
    except BaseException:
        for made in missing:
            shutil.rmtree(made, ignore_errors=True)
        raise


@contextmanager
def _taken_back() -> Iterator[Callable[[Path, Path], None]]:
    """Move files; on a failure move all of them back, the last one first."""
    done: list[tuple[Path, Path]] = []

    def move(source: Path, target: Path) -> None:
        target.parent.mkdir(parents=True, exist_ok=True)
        os.replace(source, target)
        done.append((source, target))

    try:
        yield move
    except BaseException:
        for source, target in reversed(done):
            os.replace(target, source)
        raise


def _earlier(folder: Path) -> dict[str, str]:
    """Read what the set before this one wrote, by place with its digest."""
    path = folder / RECORD
    if not path.exists():
        return {}
    try:
        files = json.loads(path.read_text(encoding="utf-8"))["files"]
        found = {str(place): str(digest) for place, digest in files.items()}
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise HillwrightError(
            str(path),
            "is not the record of a set, so what the earlier set left cannot be told apart",
            "name another folder, or look through this one and delete the record",
        ) from error
    # a record is a file that anybody may edit: it must not reach out of its folder
    inside = folder.resolve()
    return {p: d for p, d in found.items() if (folder / p).resolve().is_relative_to(inside)}


def _clear(folder: Path, earlier: Mapping[str, str]) -> None:
    """Remove the folders that the earlier set leaves empty."""
    for parent in sorted({(folder / place).parent for place in earlier}, reverse=True):
        if parent != folder and parent.is_dir() and not any(parent.iterdir()):
            parent.rmdir()


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _free(path: Path) -> Path:
    """Give a name that is not taken: ``rows.csv``, ``rows (2).csv`` and on."""
    k, found = 1, path
    while found.exists():
        k += 1
        found = path.with_name(f"{path.stem} ({k}){path.suffix}")
    return found
