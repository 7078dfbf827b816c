"""The house holds: light to open, no machine's address in it, every decision numbered."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HEAVY = ("numpy", "scipy", "shapely", "pydantic", "pint", "pyproj", "rasterio", "ezdxf", "typst")


def loaded_by(code: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print('\\n'.join(sys.modules))"],
        capture_output=True,
        text=True,
        check=True,
    )
    return set(done.stdout.split())


def test_importing_the_package_loads_nothing_heavy() -> None:
    assert not loaded_by("import hillwright") & set(HEAVY)


def test_a_plan_does_not_load_what_only_the_page_needs() -> None:
    loaded = loaded_by("import hillwright.cli, hillwright.plan, hillwright.console")
    assert not loaded & {"fastapi", "uvicorn", "tomlkit", "platformdirs", "sqlite3", "multipart"}


def tracked() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a checkout")
    return [ROOT / name for name in listed.stdout.splitlines()]


def test_no_file_names_a_machine_or_a_package_registry() -> None:
    place = re.compile(
        r"/home/|/root/|/work/|/tmp/|files\.pythonhosted|pypi\.org/simple|registry\.npm"
    )
    found = []
    for path in tracked():
        if path == Path(__file__) or not path.is_file():
            continue
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        found += [f"{path.relative_to(ROOT)}: {hit}" for hit in place.findall(text)]
    assert not found


def test_every_pin_of_the_locks_has_a_hash_and_no_address() -> None:
    for name in ("run", "dev"):
        text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
        pins = re.split(r"\n(?=\S)", text.strip())
        assert len(pins) > 20
        assert all("--hash=sha256:" in pin for pin in pins)
        assert "://" not in text


def test_every_decision_is_numbered_once() -> None:
    numbers = [p.name[:4] for p in sorted((ROOT / "docs/decisions").glob("[0-9]*.md"))]
    assert numbers == [f"{n:04d}" for n in range(1, len(numbers) + 1)]
