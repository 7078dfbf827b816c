"""The whole set of a job, and what setting as many plain pages would take.

The yardstick is the typesetter alone, on as many pages of running text as the set has. The ratio
says what drawing, placing the lettering, tables and files cost on top. Run:
python benchmarks/bench_sheets.py [JOB]          (the long meadow, 491 cells)
python benchmarks/bench_sheets.py --large        (about 5,000 cells)
"""

import math
import os
import platform
import sys
import tempfile
import time
from pathlib import Path

import typst
from hills import write_hill

from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.helpers import standing_by
from hillwright.sheets.pdf import page_count
from hillwright.sheets.write import write_sheets

JOB = Path(__file__).parents[1] / "examples" / "long-meadow" / "job.toml"
PAGE = "#lorem(420)\n#pagebreak()\n"


def main() -> None:
    """Print one line for the set and one for the plain pages."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if "--large" in sys.argv:
            job = write_hill(
                folder / "job", "points", 44.0, 32.0, 3, slope=math.radians(24), spacing=2.0
            )
        else:
            job = Path(sys.argv[1]) if len(sys.argv) > 1 else JOB
        with standing_by() as helpers:  # as `hillwright sheets` does
            start = time.perf_counter()
            plan = work_out(open_job(job))
            worked = time.perf_counter() - start
            start, used = time.perf_counter(), time.process_time()
            written = write_sheets(plan, folder / "set", None, helpers)
            took, used = time.perf_counter() - start, time.process_time() - used
        pages = sum(page_count(p.read_bytes()) for p in written if p.suffix == ".pdf")
        start = time.perf_counter()
        typst.compile({"main": (PAGE * pages).encode()})
        plain = time.perf_counter() - start
    print(f"{platform.machine()}, Python {platform.python_version()}, typst {typst.__version__}")
    print(f"{plan.layout.count:,} cells, plan {worked:.1f} s")
    print(f"set: {len(written)} files, {pages} pages, {took:.1f} s with {len(helpers)} helpers")
    helped = os.times().children_user  # libraries read while the plan was worked out counted in
    print(f"processor: {used:.1f} s here, {helped:.1f} s in helpers")
    print(f"as many plain pages: {plain:.2f} s; ratio {took / plain:.1f}")


if __name__ == "__main__":
    main()
