"""What is packed is unpacked, each array where a browser can read it in place."""

import json
import math
import struct

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.web.packed import Column, pack, unpack, written

DTYPES = st.sampled_from(["f4", "f8", "i4", "u4", "u1"])


@given(st.dictionaries(st.text(max_size=5), st.tuples(DTYPES, st.integers(0, 9)), max_size=5))
def test_arrays_come_back_and_lie_at_multiples_of_eight(columns):
    arrays = {
        name: Column(dtype, np.arange(count) % 200, "m") for name, (dtype, count) in columns.items()
    }
    made = pack(arrays, {"note": "°"})
    found, meta = unpack(made.body)
    assert meta == {"note": "°"}
    for name, column in arrays.items():
        np.testing.assert_array_equal(found[name], column.values)
    (length,) = struct.unpack("<I", made.body[4:8])
    head = json.loads(made.body[8 : 8 + length])
    assert all(each["offset"] % 8 == 0 for each in head["arrays"])
    assert len(made.body) % 8 == 0


def test_what_is_no_number_is_null_and_other_bytes_are_refused():
    assert json.loads(written({"a": math.inf, "b": np.float64("nan")})) == {"a": None, "b": None}
    with pytest.raises(ValueError, match="not packed"):
        unpack(b"PK\x03\x04")
    with pytest.raises(TypeError, match="cannot be sent"):
        written({"a": object()})
