"""Plan to files: the whole set, in a folder for each reader."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from hillwright.sheets import words
from hillwright.sheets.documents import LIST, READERS, Document, Drawn, Reader, numbers
from hillwright.sheets.helpers import Helper, handed
from hillwright.sheets.pdf import page_count, print_document
from hillwright.sheets.readers.crew import crew_papers
from hillwright.sheets.readers.files import files
from hillwright.sheets.readers.inspector import inspector_papers
from hillwright.sheets.readers.listing import listing
from hillwright.sheets.readers.owner import owner_papers
from hillwright.sheets.readers.supplier import supplier_papers
from hillwright.sheets.setfolder import Progress, put

if TYPE_CHECKING:
    from hillwright.plan import Plan

STOP = "STOP.txt"  # stands in the folder while the plan says stop
# what takes longest is begun first; papers with the same drawings are made by the same hand
SLOW = (
    (STOP,),
    ("files/set-out.dxf",),
    ("crew/planting.pdf", "owner/planting.pdf"),
    ("inspector/calculations.pdf",),
    ("files/model.glb",),
    ("crew/drip.pdf", "inspector/irrigation.pdf"),
    ("files/set-out.gpkg",),
    ("owner/cover.pdf",),
    ("crew/set-out.pdf",),
    ("crew/row-cards.pdf",),
    ("owner/watering.pdf", "inspector/water.pdf"),
    ("files/plan.json",),
    ("inspector/stability.pdf",),
)


def documents(plan: Plan) -> tuple[Document, ...]:
    """Give every paper and file of the set, reader by reader, in the order of reading."""
    drawn = Drawn(plan)
    found = (
        *owner_papers(drawn),
        *crew_papers(drawn),
        *supplier_papers(drawn),
        *inspector_papers(drawn),
        *files(plan),
    )
    return tuple(d for d in found if not d.empty)


def write_sheets(
    plan: Plan, folder: Path, progress: Progress | None = None, helpers: tuple[Helper, ...] = ()
) -> tuple[Path, ...]:
    """Write the whole set, a folder for each reader; the same plan gives the same bytes.

    All of it is written, or nothing is changed (`setfolder.put`).

    Parameters
    ----------
    plan : Plan
        What to draw.
    folder : Path
        Where the set goes; made if it is not there.
    progress : callable, optional
        Told the place of each file as it is started, and the share done.
    helpers : tuple of Helper
        Processes that make files beside this one.

    Returns
    -------
    tuple of Path
        The files written: STOP.txt if there is one, then each reader's list and papers.

    Raises
    ------
    JobError
        The scale asked for does not fit the paper.
    HillwrightError
        The folder cannot be written.
    """
    papers = documents(plan)
    number, pages = numbers(papers), dict[str, int]()
    makers: dict[str, Callable[[Path], None]] = {}
    lists: dict[str, Callable[[Path], None]] = {}
    for paper in papers:
        makers[paper.place] = partial(_write, plan, paper, number, pages)
    for reader, title in READERS.items():
        mine = tuple(p for p in papers if p.reader == reader)
        lists[f"{reader}/{LIST}"] = partial(_list, plan, reader, title, mine, number, pages)
    stop = {STOP: partial(_stop, plan)} if words.stops(plan) else {}
    site, choices = plan.opened.job.site, plan.opened.job.sheets
    about = {"site": site.name, "revision": choices.revision, "date": choices.date}
    others = [partial(_helped, h, plan, number, pages) for h in handed(plan, helpers)]
    # the lists tell the pages of the papers, so they are made last
    put(folder, {**stop, **makers}, about, progress, STOP, lists, SLOW, others)
    order: list[str] = list(READERS)
    rest = sorted(
        [*lists, *makers],
        key=lambda place: (order.index(place.partition("/")[0]), place in makers),
    )
    return tuple(folder / place for place in (*stop, *rest))


def write_paper(plan: Plan, paper: Document, number: str, path: Path) -> int:
    """Write one paper or file of the set; give its pages, 0 where it has none."""
    paper.write(plan, path, number)
    return page_count(path.read_bytes()) if path.suffix == ".pdf" else 0


def _write(
    plan: Plan, paper: Document, number: dict[str, str], pages: dict[str, int], path: Path
) -> None:
    if count := write_paper(plan, paper, number.get(paper.place, ""), path):
        pages[paper.place] = count


def _helped(
    helper: Helper,
    plan: Plan,
    number: dict[str, str],
    pages: dict[str, int],
    place: str,
    path: Path,
) -> None:
    if place == STOP:
        _stop(plan, path)
    elif count := helper.make(place, path, number.get(place, "")):
        pages[place] = count


def _list(
    plan: Plan,
    reader: Reader,
    title: str,
    mine: tuple[Document, ...],
    number: dict[str, str],
    pages: dict[str, int],
    path: Path,
) -> None:
    sheets = listing(plan, reader, mine, number, pages)
    path.write_bytes(print_document(plan, title, sheets, f"{reader[0].upper()}0"))


def _stop(plan: Plan, path: Path) -> None:
    path.write_text(words.stop_text(plan), encoding="utf-8", newline="")
