"""The store in one SQLite file: safe against a killed process from the moment a call returns.

WAL with ``synchronous=FULL``: a commit is on the disk before a call returns. Files are kept once
by their digest, compressed. Nothing is ever deleted: undo moves the job's head, and a change
that lost against another is a revision aside.
"""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
import threading
import uuid
import zlib
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path

from hillwright.store.errors import NoSuchJob, NothingToDo, Stale, StoreError
from hillwright.store.model import JOB_FILE, Files, Filter, JobEntry, Revision, Tick
from hillwright.store.tables import prepare, transaction

WAIT = 10.0  # for another process that writes [s]
_JOB = (
    "SELECT j.id, r.title, j.made, j.changed, j.head, j.archived, j.origin, "
    "r.parent IS NOT NULL, j.tip != j.head FROM job j "
    "JOIN revision r ON r.job = j.id AND r.number = j.head "
)
_REVISION = (
    "SELECT number, parent, made, title, by, summary, name, aside, edit "
    "FROM revision WHERE job = ? "
)


def now() -> str:
    """Give the time as it is kept: UTC to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def digest_of(content: bytes) -> str:
    """Give the name that a file's content is kept under."""
    return hashlib.blake2b(content, digest_size=20).hexdigest()


class SqliteStore:
    """Jobs in one file; safe to use from several threads and from several processes.

    Parameters
    ----------
    path : Path
        The file; made if it is not there.

    Raises
    ------
    StoreError
        The file cannot be opened, is no store, or is newer than this program.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = threading.RLock()
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._db = _opened(path)
        except OSError as error:
            why = error.strerror or "it cannot be made"
            raise StoreError(str(path), why.lower(), "name another file with --store") from None
        except sqlite3.Error as error:
            right = "name another file with --store, or put a copy of it in its place"
            raise StoreError(str(path), f"cannot be opened: {error}", right) from None

    # jobs

    def jobs(self, which: Filter = "open") -> tuple[JobEntry, ...]:
        """List jobs, the one changed last first."""
        only = {"open": "WHERE j.archived = 0 ", "archived": "WHERE j.archived = 1 ", "all": ""}
        with self._reading() as db:
            rows = db.execute(f"{_JOB}{only[which]}ORDER BY j.changed DESC, j.id").fetchall()
        return tuple(_entry(row) for row in rows)

    def job(self, job: str) -> JobEntry:
        """Give one job."""
        with self._reading() as db:
            row = db.execute(f"{_JOB}WHERE j.id = ?", (job,)).fetchone()
        if row is None:
            raise NoSuchJob(f"job {job}", "is not in this store", "look at the list of jobs")
        return _entry(row)

    def opened_from(self, origin: str) -> JobEntry | None:
        """Give the job that was opened from a file, if there is one that is not archived."""
        with self._reading() as db:
            where = "WHERE j.origin = ? AND j.archived = 0 ORDER BY j.changed DESC"
            row = db.execute(_JOB + where, (origin,)).fetchone()
        return None if row is None else _entry(row)

    def create(
        self, title: str, files: Files, by: str = "", summary: str = "", origin: str = ""
    ) -> Revision:
        """Keep a new job and give its first revision."""
        _check_files(files)
        job, at = uuid.uuid4().hex[:12], now()
        with self._writing() as db:
            db.execute(
                "INSERT INTO job (id, made, changed, head, tip, origin) VALUES (?, ?, ?, 1, 1, ?)",
                (job, at, at, origin),
            )
            self._insert(db, job, 1, None, at, title, by, summary, False, files)
            return self._revision(db, job, 1)

    def archive(self, job: str, archived: bool = True) -> None:
        """Take a job out of the list, or put it back; nothing of it is lost."""
        with self._writing() as db:
            self._head(db, job)
            db.execute("UPDATE job SET archived = ? WHERE id = ?", (int(archived), job))

    # revisions

    def save(
        self,
        job: str,
        base: int,
        files: Files,
        by: str = "",
        summary: str = "",
        title: str | None = None,
        aside: bool = False,
        edit: str = "",
    ) -> Revision:
        """Keep a new revision on top of ``base``; raises Stale where the job has gone on since.

        With ``aside`` it is kept beside the job's line, which does not move. An ``edit`` that is
        kept already gives the revision that it became.
        """
        _check_files(files)
        at = now()
        with self._writing() as db:
            head, _ = self._head(db, job)
            if known := self.kept(job, edit):
                return known
            if title is None:
                title = self._revision(db, job, base).title
            if head != base and not aside:
                raise _stale(job, base, head)
            last = db.execute("SELECT max(number) FROM revision WHERE job = ?", (job,))
            number = int(last.fetchone()[0]) + 1
            self._insert(db, job, number, base, at, title, by, summary, aside, files, edit)
            return self._revision(db, job, number) if aside else self._move(db, job, number, number)

    def kept(self, job: str, edit: str) -> Revision | None:
        """Give the revision that an edit became, by the sender's own name of it."""
        with self._reading() as db:
            self._head(db, job)
            again = "SELECT number FROM revision WHERE job = ? AND edit = ? AND edit != ''"
            row = db.execute(again, (job, edit)).fetchone()
            return None if row is None else self._revision(db, job, row[0])

    def revision(self, job: str, number: int | None = None) -> Revision:
        """Give a revision; the one that the job stands at where no number is given."""
        with self._reading() as db:
            return self._revision(db, job, self._head(db, job)[0] if number is None else number)

    def revisions(self, job: str) -> tuple[Revision, ...]:
        """List every revision of a job, the newest first."""
        with self._reading() as db:
            self._head(db, job)
            rows = db.execute(_REVISION + "ORDER BY number DESC", (job,)).fetchall()
            listed: dict[int, list[tuple[str, str]]] = {}
            every = "SELECT number, name, digest FROM file WHERE job = ? ORDER BY name"
            for number, name, digest in db.execute(every, (job,)):
                listed.setdefault(number, []).append((name, digest))
        return tuple(_made(job, row, tuple(listed[row[0]])) for row in rows)

    def files(self, job: str, number: int | None = None) -> dict[str, bytes]:
        """Give every file of a revision."""
        with self._reading():
            return {name: self.blob(key) for name, key in self.revision(job, number).files}

    def blob(self, digest: str) -> bytes:
        """Give a file by its digest."""
        with self._reading() as db:
            row = db.execute("SELECT body FROM blob WHERE digest = ?", (digest,)).fetchone()
        if row is None:
            raise NoSuchJob(f"file {digest}", "is not in this store", "ask for the job again")
        return zlib.decompress(row[0])

    def undo(self, job: str, base: int | None = None) -> Revision:
        """Go back by one revision; raises NothingToDo at the first, Stale off ``base``."""
        with self._writing() as db:
            head, tip = self._head(db, job)
            if base not in (None, head):
                raise _stale(job, base, head)
            parent = self._revision(db, job, head).parent
            if parent is None:
                raise NothingToDo("undo", "this is the job as it came", "there is nothing before")
            return self._move(db, job, parent, tip)

    def redo(self, job: str, base: int | None = None) -> Revision:
        """Go forward again by one revision that was undone."""
        with self._writing() as db:
            head, tip = self._head(db, job)
            if base not in (None, head):
                raise _stale(job, base, head)
            if head == tip:
                raise NothingToDo("redo", "nothing was undone", "there is nothing to bring back")
            # walk back from as far as redo goes to the one just after where the job stands
            step = tip
            while (before := self._revision(db, job, step).parent) != head:
                if before is None:
                    raise StoreError(f"job {job}", "its revisions do not join", "open a copy of it")
                step = before
            return self._move(db, job, step, tip)

    def name(self, job: str, number: int, name: str) -> Revision:
        """Name a revision; "" takes the name away."""
        with self._writing() as db:
            self._revision(db, job, number)
            db.execute(
                "UPDATE revision SET name = ? WHERE job = ? AND number = ?", (name, job, number)
            )
            return self._revision(db, job, number)

    def keep_answers(self, job: str, number: int, answers: bytes) -> None:
        """Keep what the plan of a revision answered, in place of what it answered before."""
        with self._writing() as db:
            self._revision(db, job, number)
            row = (job, number, self._put(db, answers))
            db.execute("INSERT OR REPLACE INTO answer VALUES (?, ?, ?)", row)

    def answers(self, job: str, number: int) -> bytes | None:
        """Give what the plan of a revision answered; None where it was never worked out."""
        with self._reading() as db:
            self._revision(db, job, number)
            where = "SELECT digest FROM answer WHERE job = ? AND number = ?"
            row = db.execute(where, (job, number)).fetchone()
            return None if row is None else self.blob(row[0])

    # what was ticked off on the hill

    def tick(self, job: str, ticks: Iterable[Tick]) -> int:
        """Keep marks; one that is known by its uuid is kept once. Gives how many were new."""
        rows = [(job, t.uuid, t.key, int(t.done), t.at, t.device) for t in ticks]
        with self._writing() as db:
            self._head(db, job)
            before = db.total_changes
            db.executemany("INSERT OR IGNORE INTO tick VALUES (?, ?, ?, ?, ?, ?)", rows)
            return db.total_changes - before

    def ticks(self, job: str) -> tuple[Tick, ...]:
        """Give every mark, in the order of their time."""
        with self._reading() as db:
            self._head(db, job)
            every = "SELECT uuid, key, done, at, device FROM tick WHERE job = ? ORDER BY at, uuid"
            rows = db.execute(every, (job,)).fetchall()
        return tuple(Tick(u, key, bool(done), at, device) for u, key, done, at, device in rows)

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._db.close()

    # inside

    @contextlib.contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with self._lock, _told(self.path):
            yield self._db

    @contextlib.contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        with self._lock, _told(self.path), transaction(self._db) as db:
            yield db

    def _head(self, db: sqlite3.Connection, job: str) -> tuple[int, int]:
        row = db.execute("SELECT head, tip FROM job WHERE id = ?", (job,)).fetchone()
        if row is None:
            raise NoSuchJob(f"job {job}", "is not in this store", "look at the list of jobs")
        return int(row[0]), int(row[1])

    def _move(self, db: sqlite3.Connection, job: str, head: int, tip: int) -> Revision:
        db.execute(
            "UPDATE job SET head = ?, tip = ?, changed = ? WHERE id = ?", (head, tip, now(), job)
        )
        return self._revision(db, job, head)

    def _revision(self, db: sqlite3.Connection, job: str, number: int) -> Revision:
        row = db.execute(_REVISION + "AND number = ?", (job, number)).fetchone()
        if row is None:
            self._head(db, job)
            what = f"has no revision {number}"
            raise NoSuchJob(f"job {job}", what, "look at the list of its revisions")
        files = db.execute(
            "SELECT name, digest FROM file WHERE job = ? AND number = ? ORDER BY name",
            (job, number),
        ).fetchall()
        return _made(job, row, tuple(files))

    def _insert(
        self, db: sqlite3.Connection, job: str, number: int, parent: int | None, at: str,
        title: str, by: str, summary: str, aside: bool, files: Files, edit: str = "",
    ) -> None:  # fmt: skip
        db.execute(
            "INSERT INTO revision (job, number, parent, made, title, by, summary, aside, edit) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (job, number, parent, at, title, by, summary, int(aside), edit),
        )
        for name, content in files.items():
            digest = self._put(db, content)
            db.execute("INSERT INTO file VALUES (?, ?, ?, ?)", (job, number, name, digest))

    def _put(self, db: sqlite3.Connection, content: bytes) -> str:
        """Keep a file, once; give its digest."""
        digest = digest_of(content)
        if db.execute("SELECT 1 FROM blob WHERE digest = ?", (digest,)).fetchone() is None:
            body = zlib.compress(content, 6)
            db.execute("INSERT INTO blob VALUES (?, ?, ?)", (digest, len(content), body))
        return digest


def _opened(path: Path) -> sqlite3.Connection:
    db = sqlite3.connect(path, timeout=WAIT, isolation_level=None, check_same_thread=False)
    try:
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        db.execute("PRAGMA foreign_keys = ON")
        prepare(db, str(path))
    except BaseException:
        db.close()
        raise
    return db


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Say in plain words what the database says in its own."""
    try:
        yield
    except sqlite3.OperationalError as error:
        if "locked" in str(error):
            what, right = "is being written by another program", "try again in a moment"
        elif "full" in str(error):
            what, right = "cannot grow: the disk is full", "make room; nothing was saved"
        else:
            what, right = f"cannot be written or read: {error}", "nothing was saved"
        raise StoreError(str(path), what, right) from error
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.IntegrityError | sqlite3.ProgrammingError):
            raise
        raise StoreError(str(path), f"is damaged: {error}", "put a copy in its place") from error


def _check_files(files: Files) -> None:
    if JOB_FILE not in files:
        raise StoreError("job", f"there is no {JOB_FILE} among its files", "add the job file")


def _entry(row: tuple[str, str, str, str, int, int, str, int, int]) -> JobEntry:
    job, title, made, changed, head, archived, origin, undo, redo = row
    return JobEntry(job, title, made, changed, head, bool(archived), origin, bool(undo), bool(redo))


def _made(
    job: str,
    row: tuple[int, int | None, str, str, str, str, str, int, str],
    files: tuple[tuple[str, str], ...],
) -> Revision:
    number, parent, made, title, by, summary, name, aside, edit = row
    return Revision(job, number, parent, made, title, by, summary, name, bool(aside), edit, files)


def _stale(job: str, base: int | None, head: int) -> Stale:
    what = f"has gone on to revision {head} since revision {base}"
    return Stale(f"job {job}", what, "look at what changed, then make the change again")
