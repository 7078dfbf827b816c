"""The papers of the set: who reads each, what it is called, and how it is made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Literal

from hillwright.sheets.pages import Sheet
from hillwright.sheets.pdf import print_document

if TYPE_CHECKING:
    from hillwright.plan import Plan

Draw = Callable[["Plan"], tuple[Sheet, ...]]
Reader = Literal["owner", "crew", "supplier", "inspector", "files"]
READERS: dict[Reader, str] = {  # the folder of each, and whose papers they are
    "owner": "Papers of the owner",
    "crew": "Papers of the crew",
    "supplier": "Papers of the supplier",
    "inspector": "Papers of the inspector",
    "files": "Files for other programs",
}
LIST = "list.pdf"  # in each folder: what is in it


@dataclass(frozen=True, slots=True)
class Document:
    """One file of the set.

    Attributes
    ----------
    reader : Reader
        In whose folder it goes.
    name : str
        The file's name.
    title : str
        What it is, as a person would ask for it.
    use : str
        What it is for, in one line of the reader's list.
    write : callable
        Writes it, given the plan, the path and the number that it has in the set ("C2").
    empty : bool
        There is nothing to put in it for this plan, so it is left out of the set.
    """

    reader: Reader
    name: str
    title: str
    use: str
    write: Callable[[Plan, Path, str], None]
    empty: bool = False

    @property
    def place(self) -> str:
        """Where it stands in the set, as in ``crew/set-out.pdf``."""
        return f"{self.reader}/{self.name}"


class Drawn:
    """The sheets of a plan: drawn when the first paper needs them, and once for all its readers."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._waiting = Lock()
        self._locks: dict[Draw, Lock] = {}
        self._sheets: dict[Draw, tuple[Sheet, ...]] = {}

    def __call__(self, draw: Draw) -> tuple[Sheet, ...]:
        """Give what a function draws."""
        with self._waiting:
            one = self._locks.setdefault(draw, Lock())
        with one:
            if draw not in self._sheets:
                self._sheets[draw] = draw(self.plan)
            return self._sheets[draw]


def printed(
    reader: Reader, name: str, title: str, use: str, drawn: Drawn, draw: Draw, there: bool = True
) -> Document:
    """Give a paper that is printed from sheets; it is left out where there is nothing to draw."""

    def write(plan: Plan, path: Path, number: str) -> None:
        path.write_bytes(print_document(plan, title, drawn(draw), number))

    return Document(reader, name, title, use, write, not there)


def text(reader: Reader, name: str, title: str, use: str, make: Callable[[Plan], str]) -> Document:
    """Give a file of text, as UTF-8 with the line ends that the maker wrote."""

    def write(plan: Plan, path: Path, number: str) -> None:
        path.write_text(make(plan), encoding="utf-8", newline="")

    return Document(reader, name, title, use, write)


def ready(reader: Reader, name: str, title: str, use: str, content: bytes) -> Document:
    """Give a file whose content is there already."""

    def write(plan: Plan, path: Path, number: str) -> None:
        path.write_bytes(content)

    return Document(reader, name, title, use, write)


def numbers(documents: tuple[Document, ...]) -> dict[str, str]:
    """Give each printed paper its number, C1, C2 and on, by its place in the set."""
    found: dict[str, str] = {}
    count: dict[str, int] = {}
    for d in documents:
        if d.name.endswith(".pdf"):
            count[d.reader] = count.get(d.reader, 0) + 1
            found[d.place] = f"{d.reader[0].upper()}{count[d.reader]}"
    return found
