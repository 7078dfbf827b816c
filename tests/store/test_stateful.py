"""Any order of saving, undoing, redoing and opening again is as a plain list would have it."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from hillwright.store.errors import NothingToDo, Stale
from hillwright.store.sqlite import SqliteStore


class Revisions(RuleBasedStateMachine):
    """The store against a list of texts, a stack of those undone, and a dict of names."""

    @initialize(text=st.text(max_size=5))
    def start(self, text):
        self.folder = tempfile.TemporaryDirectory()
        self.store = SqliteStore(Path(self.folder.name) / "jobs.sqlite")
        self.job = self.store.create("Hill", {"job.toml": text.encode()}).job
        self.every = {1: text}  # text of each revision
        self.names = {1: ""}
        self.line, self.undone = [1], []

    @rule(text=st.text(max_size=5))
    def save(self, text):
        made = self.store.save(self.job, self.line[-1], {"job.toml": text.encode()})
        self.every[made.number], self.names[made.number] = text, ""
        self.line.append(made.number)
        self.undone.clear()

    @rule(text=st.text(max_size=5), pick=st.integers(0, 99))
    def save_beside(self, text, pick):
        base = sorted(self.every)[pick % len(self.every)]
        made = self.store.save(self.job, base, {"job.toml": text.encode()}, aside=True)
        assert made.aside
        assert made.parent == base
        self.every[made.number], self.names[made.number] = text, ""

    @precondition(lambda self: len(self.every) > 1)
    @rule(pick=st.integers(0, 99))
    def save_late(self, pick):
        others = [n for n in sorted(self.every) if n != self.line[-1]]
        with pytest.raises(Stale):
            self.store.save(self.job, others[pick % len(others)], {"job.toml": b"late"})

    @rule()
    def undo(self):
        if len(self.line) == 1:
            with pytest.raises(NothingToDo):
                self.store.undo(self.job)
        else:
            self.undone.append(self.line.pop())
            assert self.store.undo(self.job).number == self.line[-1]

    @rule()
    def redo(self):
        if not self.undone:
            with pytest.raises(NothingToDo):
                self.store.redo(self.job)
        else:
            self.line.append(self.undone.pop())
            assert self.store.redo(self.job).number == self.line[-1]

    @rule(pick=st.integers(0, 99), name=st.text(max_size=5))
    def name(self, pick, name):
        number = sorted(self.every)[pick % len(self.every)]
        self.store.name(self.job, number, name)
        self.names[number] = name

    @rule()
    def open_again(self):
        self.store.close()
        self.store = SqliteStore(Path(self.folder.name) / "jobs.sqlite")

    @invariant()
    def stands_where_the_list_says(self):
        entry = self.store.job(self.job)
        assert entry.head == self.line[-1]
        assert entry.undo == (len(self.line) > 1)
        assert entry.redo == bool(self.undone)
        assert self.store.files(self.job)["job.toml"].decode() == self.every[self.line[-1]]

    @invariant()
    def nothing_is_ever_lost(self):
        found = self.store.revisions(self.job)
        assert {r.number: r.name for r in found} == self.names
        for number, text in self.every.items():
            assert self.store.files(self.job, number)["job.toml"].decode() == text

    def teardown(self):
        if hasattr(self, "store"):
            self.store.close()
            self.folder.cleanup()


TestRevisions = Revisions.TestCase
TestRevisions.settings = settings(max_examples=25, stateful_step_count=25, deadline=None)
