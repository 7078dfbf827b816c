"""The drawing file: the same marks give the same bytes, in any process."""

import os
import subprocess
import sys

DRAW = """
import sys
from pathlib import Path
from hillwright.job.site import Frame
from hillwright.sheets.dxf import write_dxf
write_dxf([], Frame(0.0, 0.0, 1.0, 1.0, "m", "", 0.0, ""), Path(sys.argv[1]))
"""


def test_the_order_of_a_set_in_one_process_changes_no_byte(tmp_path):
    # of these two seeds one puts the classes of the file the other way round
    for seed in ("1", "2", "5"):
        path = tmp_path / f"{seed}.dxf"
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        subprocess.run([sys.executable, "-c", DRAW, path], check=True, env=environment)
    first, *others = (path.read_bytes() for path in sorted(tmp_path.iterdir()))
    assert all(other == first for other in others)
