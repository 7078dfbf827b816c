import numpy as np
import pytest

from hillwright.arrays import frozen


def test_a_frozen_array_cannot_be_written_and_does_not_follow_its_source():
    source = np.arange(3.0)
    kept = frozen(source)
    source[0] = 9
    assert kept.tolist() == [0, 1, 2]
    with pytest.raises(ValueError, match="read-only"):
        kept[0] = 1


def test_a_read_only_view_of_what_can_still_be_written_is_copied():
    source = np.arange(3.0)
    view = source[:2]
    view.flags.writeable = False
    kept = frozen(view)
    source[0] = 9
    assert kept[0] == 0


def test_what_is_frozen_already_is_not_copied_again():
    kept = frozen(np.arange(3.0))
    assert frozen(kept) is kept
