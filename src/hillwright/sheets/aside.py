"""One file, written aside in full and then given its name: never half, never over another."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from hillwright.errors import HillwrightError


def write_new(path: Path, text: str) -> None:
    """Write a new file.

    Raises
    ------
    HillwrightError
        A file of that name is there already, or the folder cannot be written to.
    """
    if os.path.lexists(path):
        right = "name another file with --out; nothing was written"
        raise HillwrightError(str(path), "is there already", right)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".new-", dir=path.parent) as folder:
            ready = Path(folder) / path.name
            ready.write_text(text, encoding="utf-8", newline="")
            os.replace(ready, path)
    except OSError as error:
        why = (error.strerror or "it cannot be written to").lower()
        raise HillwrightError(str(path), why, "name a file that you may write to") from None
