"""Array types and the one way to make a result read-only."""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Mask = NDArray[np.bool_]


T = TypeVar("T", bound=NDArray[Any])


def frozen(array: T) -> T:
    """Give a read-only array with the same values, copied if it could still be written."""
    if array.flags.writeable or array.base is not None:
        array = array.copy()
        array.flags.writeable = False
    return array
