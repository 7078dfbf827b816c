"""Files made side by side: all of them, once each, or the first failure."""

import threading
import time

import pytest

from hillwright.sheets.documents import numbers
from hillwright.sheets.hands import make_all
from hillwright.sheets.helpers import Gone, handed, standing_by
from hillwright.sheets.write import documents, write_sheets


def made_by(who):
    return lambda place, path: path.write_text(f"{who} {place}")


def makers(*places):
    return {place: lambda path, place=place: path.write_text(f"own {place}") for place in places}


def test_every_file_is_made_and_told_once_whoever_makes_it(tmp_path):
    told = []
    make_all(tmp_path, makers(*"abcdefgh"), told.append, (), [made_by("other")] * 2)
    assert sorted(told) == list("abcdefgh")
    assert sorted(p.name for p in tmp_path.iterdir()) == list("abcdefgh")


def test_the_slowest_are_begun_first_and_what_belongs_together_is_made_by_one_hand(tmp_path):
    by = {}

    def noted(place):
        return lambda path: by.setdefault(place, threading.get_ident())

    told = []
    slow = (("e",), ("not there",), ("b", "d"))
    make_all(tmp_path, {p: noted(p) for p in "abcde"}, told.append, slow, [])
    assert told[0] == "e"
    assert by["b"] == by["d"]


@pytest.mark.parametrize("together", [(), (("a", "b", "c"),)])
def test_what_a_hand_that_is_gone_was_at_is_made_by_the_others(tmp_path, together):
    def gone(place, path):
        raise Gone

    make_all(tmp_path, makers(*"abcd"), lambda place: None, together, [gone] * 3)
    assert {p.read_text() for p in tmp_path.iterdir()} == {"own a", "own b", "own c", "own d"}


def test_the_first_failure_is_told_and_nothing_further_is_begun(tmp_path):
    def full(path):
        raise OSError("disk full")

    def slow(path):
        time.sleep(0.01)

    told = []
    with pytest.raises(OSError, match="disk full"):
        make_all(tmp_path, {"a": full, **dict.fromkeys(map(str, range(500)), slow)}, told.append)
    assert len(told) < 500


@pytest.fixture(scope="module")
def real(worked):
    """Give a plan that a process which knows no tests can read."""
    return worked("quarry-garden")


def test_a_helper_makes_the_same_bytes(real, tmp_path):
    alone = write_sheets(real, tmp_path / "alone")
    number = numbers(documents(real))
    with standing_by(1) as helpers:
        (helper,) = handed(real, helpers)
        for place in (
            "crew/planting.pdf",
            "inspector/drainage.pdf",
            "files/set-out.dxf",
            "files/set-out.gpkg",
            "files/model.glb",
        ):
            path = tmp_path / place.replace("/", " ")
            helper.make(place, path, number.get(place, ""))
            assert tmp_path / "alone" / place in alone
            assert path.read_bytes() == (tmp_path / "alone" / place).read_bytes(), place


def test_a_set_is_whole_with_a_helper_and_with_one_that_is_gone(real, tmp_path):
    with standing_by(2) as helpers:
        helpers[1].end()
        found = write_sheets(real, tmp_path, None, helpers)
    assert all(path.is_file() for path in found)
    assert tmp_path / "inspector" / "calculations.pdf" in found


def test_a_helper_tells_what_went_wrong_and_can_be_gone(real, tmp_path):
    with standing_by(1) as helpers:
        (helper,) = handed(real, helpers)
        assert helper.make("crew/safety.pdf", tmp_path / "safety.pdf", "C1") >= 1
        with pytest.raises(FileNotFoundError):
            helper.make("crew/safety.pdf", tmp_path / "no folder" / "safety.pdf", "C1")
        helper.end()
        with pytest.raises(Gone):
            helper.make("crew/safety.pdf", tmp_path / "safety.pdf", "C1")
