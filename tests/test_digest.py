"""The digest tells frozen inputs apart, and only by their content."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.digest import digest
from hillwright.job.model import Cell

plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner).map(tuple) | st.dictionaries(st.text(), inner),
    max_leaves=8,
)


@dataclass(frozen=True)
class Box:
    width: float
    heights: np.ndarray


@given(plain)
def test_the_same_content_has_the_same_digest(value: object) -> None:
    assert digest(value) == digest(value)


@given(plain, plain)
def test_other_content_has_another_digest(one: object, other: object) -> None:
    if repr(one) != repr(other):
        assert digest(one) != digest(other)


def test_equal_numbers_of_different_types_are_told_apart() -> None:
    assert len({digest(1), digest(1.0), digest(True), digest("1")}) == 4


def test_one_changed_height_changes_the_digest() -> None:
    heights = np.zeros((3, 4))
    before = digest(Box(1.0, heights))
    changed = heights.copy()
    changed[2, 3] = 1e-12
    assert digest(Box(1.0, changed)) != before
    assert digest(Box(1.0, heights.copy())) == before


def test_a_view_and_its_copy_are_the_same_content() -> None:
    heights = np.arange(12.0).reshape(3, 4)
    assert digest(heights.T) == digest(heights.T.copy())


def test_a_section_of_the_job_is_digested_by_its_values() -> None:
    assert digest(Cell()) == digest(Cell())
    assert digest(Cell()) != digest(Cell(width="30 in"))


def test_where_tuples_end_matters() -> None:
    assert digest(("a", ("b",))) != digest((("a", "b"),))
    assert digest("a", "b") != digest("ab")


def test_a_value_without_stable_content_is_refused() -> None:
    with pytest.raises(TypeError, match="set has no stable content"):
        digest({1, 2})
    assert digest(Path("a")) != digest("a")
