import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.errors import (
    CheckError,
    HillwrightError,
    JobError,
    OutOfRange,
    Problem,
    SurveyError,
    did_you_mean,
    nearest,
)

FIGURES = ("terrain.slope.mean", "terrain.slope.steepest", "terrain.error", "layout.count")


@pytest.mark.parametrize("kind", [JobError, SurveyError, OutOfRange, CheckError])
def test_an_error_says_where_what_and_what_would_be_right(kind):
    error = kind("hill.toml: cell.run", "3 has no unit", 'write "18 in"')
    assert isinstance(error, HillwrightError)
    assert str(error) == 'hill.toml: cell.run: 3 has no unit; write "18 in"'
    assert error.problems == (Problem("hill.toml: cell.run", "3 has no unit", 'write "18 in"'),)


def test_without_a_way_to_put_it_right_nothing_dangles():
    assert str(Problem("hill.toml", "is empty", "")) == "hill.toml: is empty"


def test_several_problems_are_told_together_in_order():
    listed = [Problem("a", "b", "c"), Problem("d", "e", "f")]
    error = JobError.all(iter(listed))
    assert isinstance(error, JobError)
    assert error.problems == tuple(listed)
    assert str(error) == "a: b; c\nd: e; f"


def test_an_error_survives_the_way_to_another_process():
    error = JobError.all([Problem("a", "b", "c"), Problem("d", "e", "f")])
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is JobError
    assert back.problems == error.problems


@pytest.mark.parametrize(
    ("word", "first"),
    [
        ("terrain.slope.meen", "terrain.slope.mean"),
        ("slope.mean", "terrain.slope.mean"),
        ("mean", "terrain.slope.mean"),
        ("steepest", "terrain.slope.steepest"),
        ("Layout.Count", "layout.count"),
        ("layout.cuont", "layout.count"),
    ],
)
def test_the_nearest_known_word_comes_first(word, first):
    assert nearest(word, FIGURES)[0] == first


def test_what_is_near_nothing_gets_the_other_advice():
    assert nearest("zzz", FIGURES) == ()
    assert did_you_mean("zzz", FIGURES, "see the list") == "see the list"
    assert did_you_mean("cuont", FIGURES, "see the list") == "did you mean layout.count?"


@given(word=st.text(max_size=12), most=st.integers(1, 4))
def test_only_known_words_are_proposed_and_not_too_many(word, most):
    found = nearest(word, FIGURES, most)
    assert set(found) <= set(FIGURES)
    assert len(found) <= most


@given(word=st.sampled_from(FIGURES))
def test_a_known_word_is_nearest_to_itself(word):
    assert nearest(word, FIGURES)[0] == word
