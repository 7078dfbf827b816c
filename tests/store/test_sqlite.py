"""What the store keeps stays kept: revisions, undo and redo, ticks; other files are left alone."""

import sqlite3
import threading

import pytest

from hillwright.store.errors import NoSuchJob, NothingToDo, Stale, StoreError
from hillwright.store.model import Tick, standing
from hillwright.store.sqlite import SqliteStore


def job(text="a", **beside):
    files = {"job.toml": text.encode()}
    return files | {name.replace("_", "."): body.encode() for name, body in beside.items()}


@pytest.fixture
def store(tmp_path):
    found = SqliteStore(tmp_path / "jobs.sqlite")
    yield found
    found.close()


def test_a_job_is_given_back_byte_for_byte_after_opening_the_file_again(tmp_path):
    path = tmp_path / "a folder" / "jobs.sqlite"
    first = SqliteStore(path)
    made = first.create("Hill", job("x\r\n", points_csv="1,2,3"), by="desk", origin="/hill.toml")
    first.close()
    again = SqliteStore(path)
    assert again.files(made.job) == {"job.toml": b"x\r\n", "points.csv": b"1,2,3"}
    assert again.revision(made.job) == made
    assert again.opened_from("/hill.toml").id == made.job
    again.close()


def test_undo_goes_back_redo_forward_and_a_new_edit_ends_redo(store):
    a = store.create("Hill", job("1"))
    b = store.save(a.job, 1, job("2"), title="Hill 2")
    assert store.job(a.job).title == "Hill 2"
    assert store.undo(a.job).number == a.number
    assert store.job(a.job).title == "Hill"
    assert store.redo(a.job).number == b.number
    store.undo(a.job)
    c = store.save(a.job, 1, job("3"))
    assert c.parent == 1
    with pytest.raises(NothingToDo, match="nothing was undone"):
        store.redo(a.job)
    # what was undone is still there to look at
    assert store.files(a.job, b.number) == job("2")


def test_a_save_from_a_revision_that_is_not_the_newest_is_refused_and_keeps_nothing(store):
    a = store.create("Hill", job("1"))
    store.save(a.job, 1, job("2"))
    with pytest.raises(Stale, match="gone on to revision 2"):
        store.save(a.job, 1, job("3"))
    assert len(store.revisions(a.job)) == 2
    aside = store.save(a.job, 1, job("3"), aside=True)
    assert store.revision(a.job).number == 2
    assert store.files(a.job, aside.number) == job("3")


def test_an_edit_that_is_sent_again_after_a_lost_answer_is_kept_once(store):
    a = store.create("Hill", job("1"))
    b = store.save(a.job, 1, job("2"), edit="e1")
    store.save(a.job, 2, job("3"), edit="e2")
    assert store.save(a.job, 1, job("2"), edit="e1") == b
    assert store.revision(a.job).number == 3


def test_undo_from_a_page_that_has_not_seen_the_newest_edit_is_refused(store):
    a = store.create("Hill", job("1"))
    store.save(a.job, 1, job("2"))
    store.save(a.job, 2, job("3"))
    with pytest.raises(Stale):
        store.undo(a.job, base=2)
    assert store.revision(a.job).number == 3


def test_the_first_revision_cannot_be_undone(store):
    a = store.create("Hill", job())
    with pytest.raises(NothingToDo, match="the job as it came"):
        store.undo(a.job)


def test_a_file_that_does_not_change_is_kept_once(store):
    a = store.create("Hill", job("1", points_csv="p" * 10_000))
    for n in range(1, 4):
        store.save(a.job, n, job(str(n), points_csv="p" * 10_000))
    with sqlite3.connect(store.path) as db:
        (blobs,) = db.execute("SELECT count(*) FROM blob").fetchone()
    assert blobs == 4  # three texts of the job, "1" twice, and one survey


def test_an_archived_job_leaves_the_list_and_comes_back_whole(store):
    a = store.create("Hill", job(), origin="here")
    store.archive(a.job)
    assert store.jobs() == ()
    assert [j.id for j in store.jobs("archived")] == [a.job]
    assert store.opened_from("here") is None
    store.archive(a.job, False)
    assert [j.id for j in store.jobs()] == [a.job]


def test_ticks_of_two_devices_are_joined_and_the_later_mark_counts(store):
    a = store.create("Hill", job())
    phone = [Tick("u1", "row 7", True, "2026-03-01T09:00:00Z", "phone")]
    tablet = [
        Tick("u2", "row 7", False, "2026-03-01T09:05:00Z", "tablet"),
        Tick("u3", "row 8", True, "2026-03-01T08:00:00Z", "tablet"),
    ]
    assert store.tick(a.job, tablet) == 2
    assert store.tick(a.job, phone) == 1
    assert store.tick(a.job, phone) == 0  # sent again after a lost answer
    assert standing(store.ticks(a.job)) == {"row 7": False, "row 8": True}
    assert len(store.ticks(a.job)) == 3


def test_what_is_not_there_is_told_by_name(store):
    a = store.create("Hill", job())
    for call in (
        lambda: store.job("none"),
        lambda: store.revision("none"),
        lambda: store.revision(a.job, 9),
        lambda: store.save("none", 1, job()),
        lambda: store.save(a.job, 9, job(), aside=True),
        lambda: store.tick("none", []),
        lambda: store.name(a.job, 9, "x"),
    ):
        with pytest.raises(NoSuchJob):
            call()
    with pytest.raises(StoreError, match=r"no job\.toml"):
        store.create("Hill", {"points.csv": b""})


def test_a_file_that_is_no_store_is_refused_and_left_as_it_is(tmp_path):
    text = tmp_path / "notes.txt"
    text.write_text("not a database, but long enough to look like one" * 40)
    with pytest.raises(StoreError, match="cannot be opened"):
        SqliteStore(text)
    assert text.read_text().startswith("not a database")
    other = tmp_path / "other.sqlite"
    with sqlite3.connect(other) as db:
        db.execute("CREATE TABLE theirs (a)")
    with pytest.raises(StoreError, match="another program"):
        SqliteStore(other)
    newer = tmp_path / "newer.sqlite"
    SqliteStore(newer).close()
    with sqlite3.connect(newer) as db:
        db.execute("PRAGMA user_version = 99")
    with pytest.raises(StoreError, match="newer Hillwright"):
        SqliteStore(newer)


def test_many_threads_and_two_openings_of_the_file_lose_no_edit(tmp_path):
    stores = [SqliteStore(tmp_path / "jobs.sqlite") for _ in range(2)]
    made = stores[0].create("Hill", job("0"))

    def edit(who: int) -> None:
        for n in range(6):
            while True:
                head = stores[who % 2].revision(made.job).number
                try:
                    stores[who % 2].save(made.job, head, job(f"{who}.{n}"), summary=f"{who}.{n}")
                    break
                except Stale:
                    continue

    threads = [threading.Thread(target=edit, args=(k,)) for k in range(4)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    line = {r.number: r for r in stores[0].revisions(made.job)}
    assert {r.summary for r in line.values()} >= {f"{k}.{n}" for k in range(4) for n in range(6)}
    # one line: each stands on the one before
    assert all(r.parent == r.number - 1 for r in line.values() if r.parent)
    for each in stores:
        each.close()
