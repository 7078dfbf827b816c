"""A whole job of about 500 cells, cold, from the command line, against the price of its libraries.

The yardstick is a fresh Python that only imports the general-purpose libraries that a plan needs:
what is left of the ratio is our own work. Run: python benchmarks/bench_plan.py
"""

import platform
import subprocess
import sys
import time
from importlib.metadata import version
from pathlib import Path

ROUNDS = 5
JOB = Path(__file__).parents[1] / "examples" / "long-meadow" / "job.toml"
LIBRARIES = ("numpy", "shapely", "pydantic", "pint", "pyproj", "rasterio", "typer", "rich")


def fastest(command: list[str]) -> float:
    """Give the shortest of several runs, each in a process of its own [s]."""
    best = float("inf")
    for _ in range(ROUNDS):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        best = min(best, time.perf_counter() - start)
    return best


def main() -> None:
    """Run both in turn and print the ratio."""
    ours = fastest([sys.executable, "-m", "hillwright", "plan", str(JOB), "--json"])
    imports = "; ".join(f"import {name}" for name in LIBRARIES)
    yardstick = fastest([sys.executable, "-c", imports])
    empty = fastest([sys.executable, "-m", "hillwright", "--help"])
    print(
        f"Python {platform.python_version()}", *(f"{n} {version(n)}" for n in LIBRARIES), sep=", "
    )
    print(f"plan of {JOB.parent.name}, cold: {ours:.2f} s (bar: 1.5 s)")
    print(f"importing its libraries alone: {yardstick:.2f} s; ratio {ours / yardstick:.2f}")
    print(f"hillwright --help: {empty:.2f} s (bar: 0.5 s)")


if __name__ == "__main__":
    main()
