"""The tables of the SQLite store, and how an older file becomes one of today."""

from __future__ import annotations

import sqlite3

from hillwright.store.errors import StoreError

APPLICATION = 0x48494C57  # marks the file as one of ours
VERSION = 1

TABLES = """
CREATE TABLE blob (
  digest TEXT PRIMARY KEY,
  size INTEGER NOT NULL,
  body BLOB NOT NULL            -- compressed
) STRICT;
CREATE TABLE job (
  id TEXT PRIMARY KEY,
  made TEXT NOT NULL,
  changed TEXT NOT NULL,
  head INTEGER NOT NULL,        -- the revision that the job stands at
  tip INTEGER NOT NULL,         -- as far forward as redo goes
  archived INTEGER NOT NULL DEFAULT 0,
  origin TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE TABLE revision (
  job TEXT NOT NULL REFERENCES job (id) DEFERRABLE INITIALLY DEFERRED,
  number INTEGER NOT NULL,
  parent INTEGER,
  made TEXT NOT NULL,
  title TEXT NOT NULL,          -- of the job, as it then was
  by TEXT NOT NULL,
  summary TEXT NOT NULL,
  name TEXT NOT NULL DEFAULT '',
  aside INTEGER NOT NULL DEFAULT 0,
  edit TEXT NOT NULL DEFAULT '',  -- the sender's own name of the edit: sent twice, kept once
  PRIMARY KEY (job, number)
) STRICT, WITHOUT ROWID;
CREATE TABLE file (
  job TEXT NOT NULL,
  number INTEGER NOT NULL,
  name TEXT NOT NULL,
  digest TEXT NOT NULL REFERENCES blob (digest),
  PRIMARY KEY (job, number, name),
  FOREIGN KEY (job, number) REFERENCES revision (job, number) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE TABLE answer (             -- what a revision's plan answered, to compare by
  job TEXT NOT NULL,
  number INTEGER NOT NULL,
  digest TEXT NOT NULL REFERENCES blob (digest),
  PRIMARY KEY (job, number),
  FOREIGN KEY (job, number) REFERENCES revision (job, number)
) STRICT, WITHOUT ROWID;
CREATE TABLE tick (
  job TEXT NOT NULL REFERENCES job (id),
  uuid TEXT NOT NULL,
  key TEXT NOT NULL,
  done INTEGER NOT NULL,
  at TEXT NOT NULL,
  device TEXT NOT NULL,
  PRIMARY KEY (job, uuid)
) STRICT, WITHOUT ROWID;
"""


def prepare(connection: sqlite3.Connection, where: str) -> None:
    """Make the tables of a new file; refuse a file that is not ours or is newer than we are.

    Raises
    ------
    StoreError
        Names the file.
    """
    with transaction(connection):
        (application,) = connection.execute("PRAGMA application_id").fetchone()
        (version,) = connection.execute("PRAGMA user_version").fetchone()
        (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        if application == APPLICATION and version > VERSION:
            what = f"was written by a newer Hillwright (version {version} of the store)"
            raise StoreError(where, what, "use that one, or name another file with --store")
        if application != APPLICATION and tables:
            what = "is a database of another program"
            raise StoreError(where, what, "name another file with --store")
        if not version:
            for statement in TABLES.split(";"):
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION}")
            connection.execute(f"PRAGMA user_version = {VERSION}")


class transaction:  # noqa: N801 - reads as a word of the language: with transaction(...)
    """One transaction: all of it is kept, or nothing; opened for writing from its start."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self.connection = connection

    def __enter__(self) -> sqlite3.Connection:
        self.connection.execute("BEGIN IMMEDIATE")
        return self.connection

    def __exit__(self, kind: object, error: object, trace: object) -> None:
        if kind is None:
            self.connection.execute("COMMIT")
        elif self.connection.in_transaction:
            self.connection.execute("ROLLBACK")
