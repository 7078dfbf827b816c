import numpy as np
import pytest

from hillwright.errors import OutOfRange
from hillwright.runoff.routingcheck import routing_error


class Cone:
    """A hill about the middle, z = -r, or its exact specific area r/2."""

    def __init__(self, factor):
        self.factor = factor

    def at(self, x, y):
        r = np.maximum(np.hypot(x, y), 1e-9)
        return self.factor * r, self.factor * x / r, self.factor * y / r


# analytic cone; measured by other libraries: -0.109 and 0.121 (D-infinity), 0.062 and 0.063
@pytest.mark.parametrize(
    ("scheme", "mean", "rms"), [("d-infinity", -0.109, 0.121), ("multiple", 0.062, 0.063)]
)
def test_errors_on_the_cone_are_those_that_others_measured(scheme, mean, rms):
    found = routing_error(Cone(-1.0), Cone(0.5), 100.0, 1.0, 20.0, 95.0, scheme=scheme)
    assert found.mean == pytest.approx(mean, abs=0.01)
    assert found.rms == pytest.approx(rms, abs=0.01)


def test_errors_do_not_depend_on_the_size_of_the_cone():
    small = routing_error(Cone(-1.0), Cone(0.5), 10.0, 0.2, 4.0, 9.0)
    large = routing_error(Cone(-1.0), Cone(0.5), 50.0, 1.0, 20.0, 45.0)
    assert small.mean == pytest.approx(large.mean, rel=1e-6)
    assert small.nodes == large.nodes


@pytest.mark.parametrize(
    ("change", "what"), [({"inner": 99.0}, "no node"), ({"step": 0.001}, "nodes")]
)
def test_a_check_of_nothing_is_refused(change, what):
    given = {"surface": Cone(-1.0), "exact": Cone(0.5), "half_width": 10.0, "step": 1.0}
    with pytest.raises(OutOfRange, match=what):
        routing_error(**(given | change))
