"""Random trees of drip tubing, as hypothesis draws them."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from hillwright.irrigation.network import Network, Outlets


@st.composite
def trees(draw, kinds=(0, 1, 2, 3)):
    """Give a network of 2 to 25 nodes with emitters of mixed laws."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    n = draw(st.integers(2, 25))
    parent = np.array([-1, *(int(rng.integers(max(0, i - 4), i)) for i in range(1, n))])
    m = draw(st.integers(1, 30))
    kind = rng.choice(kinds, m)
    x = np.select([kind == 0, kind == 1, kind == 2], [0.5, 1.0, 0.57], 0.5)
    above = np.where(kind == 3, rng.choice([0.0, 0.05]), x)
    z = rng.normal(0, draw(st.sampled_from([0.3, 2.0])), n)
    return Network(
        parent,
        np.where(np.arange(n) > 0, z, 0.0),
        rng.uniform(0.2, 8.0, n),
        rng.choice([0.0043, 0.0136, 0.0208], n),
        np.full(n, 1.5e-6),
        rng.choice([0.0, 1.8], n),
        Outlets(
            rng.integers(1, n, m), rng.uniform(1, 8, m) / 3.6e6, rng.uniform(4, 10, m), x, above
        ),
    )
