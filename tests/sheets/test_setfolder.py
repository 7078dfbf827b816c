"""A folder of a set: all of it or nothing, and nothing of an earlier set left to mislead."""

import errno
import json
import os
import signal
import sys
from pathlib import Path

import pytest

from hillwright.errors import HillwrightError
from hillwright.sheets import setfolder
from hillwright.sheets.setfolder import put
from hillwright.sheets.write import write_sheets


def makers(**contents):
    def make(text):
        return lambda path: path.write_text(text, encoding="utf-8") and None

    return {name.replace("__", "/") + ".txt": make(text) for name, text in contents.items()}


def state(folder):
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


def test_what_the_earlier_set_wrote_and_this_one_does_not_is_removed(tmp_path):
    put(tmp_path, makers(crew__rows="1", crew__gone="2", owner__gone="3"), {})
    put(tmp_path, makers(crew__rows="4"), {})
    assert [p for p in state(tmp_path) if p != "set.json"] == ["crew/rows.txt"]
    assert not (tmp_path / "owner").exists()


def test_what_a_person_put_there_is_left_alone(tmp_path):
    put(tmp_path, makers(crew__rows="1", owner__gone="3"), {})
    (tmp_path / "owner" / "mine.txt").write_text("mine")
    put(tmp_path, makers(crew__rows="4"), {})
    assert (tmp_path / "owner" / "mine.txt").read_text() == "mine"
    assert not (tmp_path / "owner" / "gone.txt").exists()


def test_what_a_person_changed_is_kept_beside_the_new_one(tmp_path):
    put(tmp_path, makers(crew__rows="1", crew__gone="2"), {})
    for k in (1, 2):
        (tmp_path / "crew" / "rows.txt").write_text(f"noted by hand {k}")
        (tmp_path / "crew" / "gone.txt").write_text("filled in")
        put(tmp_path, makers(crew__rows="new"), {})
    found = state(tmp_path)
    assert found["crew/rows.txt"] == b"new"
    assert found["kept/crew/rows.txt"] == b"noted by hand 1"
    assert found["kept/crew/rows (2).txt"] == b"noted by hand 2"
    assert found["kept/crew/gone.txt"] == b"filled in"


def test_a_set_over_itself_keeps_nothing_aside(tmp_path):
    for _ in (1, 2):
        put(tmp_path, makers(crew__rows="1"), {"site": "x"})
    assert sorted(state(tmp_path)) == ["crew/rows.txt", "set.json"]


@pytest.mark.parametrize("fails_at", ["crew/b.txt", "set.json", "crew/gone.txt"])
def test_a_move_that_fails_takes_every_move_back(tmp_path, monkeypatch, fails_at):
    put(tmp_path, makers(crew__a="1", crew__b="2", crew__gone="3"), {})
    (tmp_path / "crew" / "a.txt").write_text("by hand")
    before = state(tmp_path)
    real = os.replace

    def replace(source, target):
        if Path(source) == tmp_path / fails_at:
            raise PermissionError(errno.EACCES, "open in another program")
        real(source, target)

    monkeypatch.setattr(setfolder.os, "replace", replace)
    with pytest.raises(HillwrightError, match=r"open in another program.*nothing was changed"):
        put(tmp_path, makers(crew__a="new", crew__b="new", crew__c="new"), {})
    assert state(tmp_path) == before


def test_a_folder_in_the_way_of_a_file_leaves_no_half_set(tmp_path):
    (tmp_path / "crew" / "b.txt" / "in the way").mkdir(parents=True)
    with pytest.raises(HillwrightError, match="cannot be written"):
        put(tmp_path, makers(crew__a="new", crew__b="new"), {})
    assert state(tmp_path) == {}
    assert (tmp_path / "crew" / "b.txt" / "in the way").is_dir()


def test_the_stop_comes_in_before_all_else_and_goes_last(tmp_path, monkeypatch):
    moved = []
    real = os.replace

    def replace(source, target):
        moved.append(Path(source).name if tmp_path / "STOP.txt" == source else Path(target).name)
        real(source, target)

    monkeypatch.setattr(setfolder.os, "replace", replace)
    put(tmp_path, makers(a="1", STOP="stop"), {}, first="STOP.txt")
    assert moved[0] == "STOP.txt"
    moved.clear()
    put(tmp_path, makers(a="2"), {}, first="STOP.txt")
    assert moved[-1] == "STOP.txt"
    assert not (tmp_path / "STOP.txt").exists()


@pytest.mark.parametrize("record", ["{", '{"files": 3}', "[]", "\xff"])
def test_a_record_that_cannot_be_read_stops_the_writing(tmp_path, record):
    (tmp_path / "set.json").write_bytes(record.encode("latin-1"))
    with pytest.raises(HillwrightError, match="is not the record of a set"):
        put(tmp_path, makers(a="1"), {})
    assert list(state(tmp_path)) == ["set.json"]


def test_a_record_reaches_nothing_outside_its_folder(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    folder = tmp_path / "set"
    put(folder, makers(a="1"), {})
    record = json.loads((folder / "set.json").read_text())
    record["files"]["../mine.txt"] = setfolder._digest(tmp_path / "mine.txt")
    (folder / "set.json").write_text(json.dumps(record))
    put(folder, makers(a="2"), {})
    assert (tmp_path / "mine.txt").read_text() == "mine"


@pytest.mark.skipif(sys.platform == "win32", reason="no limit there to stand for a full disk")
@pytest.mark.parametrize(
    "place", ["owner/list.pdf", "files/stakes.csv", "files/set-out.dxf", "files/set-out.gpkg"]
)
def test_a_disk_that_fills_halfway_leaves_nothing_and_says_so(plan, tmp_path, place):
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    before = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    def fill_up(name, share):
        if name == place:  # from here on no file can grow over a few bytes
            resource.setrlimit(resource.RLIMIT_FSIZE, (500, hard))

    try:
        with pytest.raises(HillwrightError, match=r"cannot be written here.*nothing was changed"):
            write_sheets(plan, tmp_path / "out", fill_up)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, before)
    assert not (tmp_path / "out").exists()
