"""The published checks that ship with the program, as ``hillwright verify`` runs them."""

import pytest

from hillwright.checking.read import FORM, read_texts, shipped_checks
from hillwright.checking.report import as_text
from hillwright.checking.run import run
from hillwright.method import all_methods

CHECKS = shipped_checks()


@pytest.mark.parametrize("check", CHECKS, ids=[f"{c.file}:{c.id}" for c in CHECKS])
def test_what_a_source_prints_is_what_the_method_gives(check):
    result = run(check)
    assert result.passed, as_text([result])


def test_the_check_that_the_form_shows_runs_and_passes():
    (check,) = read_texts([("form.toml", FORM)])
    assert run(check).passed


def test_an_id_stands_for_one_check_only():
    ids = [c.id for c in CHECKS]
    assert sorted(i for i in set(ids) if ids.count(i) > 1) == []


def test_every_room_that_lists_methods_is_checked_against_something_outside():
    rooms = {name.split(".")[0] for name in all_methods()}
    assert rooms <= {c.method.id.split(".")[0] for c in CHECKS}
