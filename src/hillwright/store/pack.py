"""A job as one file to take along: a zip of the job file and the files beside it."""

from __future__ import annotations

import io
import re
import unicodedata
import zipfile
from collections.abc import Iterable

from hillwright.errors import JobError, Problem
from hillwright.store.model import JOB_FILE, Files

LARGEST = 64_000_000  # bytes of all files together
MOST = 40  # files
_NAME = re.compile(r"[^\W_][\w .()+-]{0,79}")
_KEPT_BY_SYSTEMS = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?")


def check_name(name: str) -> str:
    """Give the name of a file beside a job, or refuse one that is more than a name.

    Raises
    ------
    JobError
        A folder in it, a sign that some system cannot hold, or too long.
    """
    found = unicodedata.normalize("NFC", name)
    kept = _KEPT_BY_SYSTEMS.fullmatch(found)
    if kept or not _NAME.fullmatch(found) or found[-1] in " .":
        shown = name if len(name) < 60 else name[:60] + "…"
        right = "name it in letters, digits, spaces, - and _ without a folder"
        raise JobError(f"file {shown!r}", "is not a name that a file can have here", right)
    return found


def check_files(files: Files) -> None:
    """Refuse more than a job is: too many files, too large, or names that are no names."""
    wrong: list[Problem] = []
    for name in files:
        try:
            check_name(name)
        except JobError as error:
            wrong += error.problems
    if len(files) > MOST:
        wrong.append(Problem("job", f"has {len(files)} files", f"a job has {MOST} at most"))
    if sum(map(len, files.values())) > LARGEST:
        wrong.append(Problem("job", "is larger than 64 MB", "cut its survey down to the hillside"))
    if wrong:
        raise JobError.all(wrong)


def pack(files: Files) -> bytes:
    """Give the zip of a job; the same job gives the same bytes."""
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files, key=lambda n: (n != JOB_FILE, n)):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, files[name])
    return into.getvalue()


def unpack(content: bytes, name: str = "the zip file") -> dict[str, bytes]:
    """Give the files of a job's zip; a job in one folder of its own is taken out of it.

    Raises
    ------
    JobError
        No zip, damaged, locked, too large once unpacked, or without a job file.
    """
    right = "make it again with Export, or choose the job file itself"
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = [e for e in archive.infolist() if not e.is_dir() and not _of_system(e)]
            if len(entries) > MOST:
                raise JobError(name, f"holds {len(entries)} files", f"a job has {MOST} at most")
            top = _folder(e.filename for e in entries)
            found: dict[str, bytes] = {}
            left = LARGEST
            for entry in entries:
                if entry.flag_bits & 1:
                    raise JobError(name, "is locked with a password", "unlock it first")
                with archive.open(entry) as file:
                    body = file.read(left + 1)  # what it says of its size may be untrue
                if (left := left - len(body)) < 0:
                    what = "is larger than 64 MB once unpacked"
                    raise JobError(name, what, "cut the survey down")
                found[check_name(entry.filename.removeprefix(top))] = body
    except (zipfile.BadZipFile, NotImplementedError, EOFError, ValueError, OSError) as error:
        raise JobError(name, f"cannot be unpacked ({error})", right) from None
    except Exception as error:
        if isinstance(error, JobError):
            raise
        raise JobError(name, "cannot be unpacked: it is damaged", right) from None
    return with_job_file(found, name)


def with_job_file(found: dict[str, bytes], name: str) -> dict[str, bytes]:
    """Give the files of a job with its job file under the name that the store keeps it by.

    Raises
    ------
    JobError
        No job file, or several.
    """
    if JOB_FILE in found:
        return found
    jobs = [n for n in found if n.lower().endswith(".toml")]
    if len(jobs) != 1:
        what = f"holds {len(jobs)} job files" if jobs else "holds no job file"
        raise JobError(name, what, f"add one called {JOB_FILE}")
    stem = jobs[0].rsplit(".", 1)[0]
    kept = f"{stem}.planting.json"  # a planting that was worked out goes by its job's name
    names = {jobs[0]: JOB_FILE, kept: "job.planting.json"}
    return {names.get(n, n): body for n, body in found.items()}


def _of_system(entry: zipfile.ZipInfo) -> bool:
    return entry.filename.startswith("__MACOSX/") or entry.filename.endswith("/.DS_Store")


def _folder(names: Iterable[str]) -> str:
    heads = {n.split("/", 1)[0] if "/" in n else "" for n in names}
    head = heads.pop() if len(heads) == 1 else ""
    return f"{head}/" if head else ""
