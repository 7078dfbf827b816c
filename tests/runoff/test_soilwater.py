import pytest

from hillwright.data import table
from hillwright.errors import OutOfRange
from hillwright.runoff.soilwater import green_ampt_soil


# Rawls, Brakensiek and Miller 1983, as in Chow et al. 1988, Table 4.3.1
def test_sandy_loam_is_as_printed():
    assert green_ampt_soil(" Sandy  Loam") == pytest.approx((0.412, 0.1101, 1.09 * 0.01 / 3600))


def test_every_row_has_its_source_and_status():
    rows = table("infiltration")["soil"]
    assert len(rows) == 11
    assert all(r["source"] and r["status"] in ("verified", "memory") for r in rows)


def test_an_unknown_texture_is_refused_with_the_nearest_known():
    with pytest.raises(OutOfRange, match="sandy loam"):
        green_ampt_soil("sandy lome")
