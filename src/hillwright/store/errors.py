"""What can go wrong with a store."""

from __future__ import annotations

from hillwright.errors import HillwrightError


class StoreError(HillwrightError):
    """The store cannot be opened, read or written."""


class NoSuchJob(StoreError):
    """A job or revision that is not there."""


class NothingToDo(StoreError):
    """There is nothing to undo, or nothing to redo."""


class Stale(StoreError):
    """The job has gone on since the revision that a change was made from."""
