"""The price book of a job: what the plan needs, and the prices that somebody fills in."""

from __future__ import annotations

import csv
import datetime
import io
import tomllib

from fastapi import APIRouter

from hillwright.job.prices import COLUMNS, parse
from hillwright.store.model import JOB_FILE
from hillwright.store.pack import check_files
from hillwright.store.pointer import operations
from hillwright.store.toml import edited
from hillwright.web import models as m
from hillwright.web.routes.base import REFUSALS, JobId, TheService

router = APIRouter(prefix="/api/jobs/{job}/prices", responses=REFUSALS, tags=["forms"])


@router.get("")
def price_book(service: TheService, job: JobId) -> m.PriceBookOut:
    """List every item that the plan needs, with the prices that are known."""
    found = service.ask(job, "prices")
    rows = [m.PriceRow(**{k.replace(" ", "_"): v for k, v in r.items()}) for r in found["rows"]]
    return m.PriceBookOut(file=found["file"], rows=rows)


@router.post("")
def save_prices(service: TheService, job: JobId, book: m.SavePrices) -> m.Saved:
    """Write the price book beside the job, and name it in the job where it names none.

    What is wrong in a row is told by its line: the first row stands on line 2.
    """
    files = service.store.files(job, book.base)
    text = files[JOB_FILE].decode("utf-8-sig")
    tables = tomllib.loads(text)
    terms = tables.get("estimate", {})
    name = terms.get("prices") or "prices.csv"
    rows = written(book.rows)
    offer = terms.get("date") or None
    day = datetime.date.fromisoformat(str(offer)) if offer else None
    parse(rows, name, terms.get("currency", "USD").upper(), day)
    remarks = [
        line
        for line in files.get(name, b"").decode("utf-8-sig", "replace").splitlines()
        if line.startswith("#")
    ]
    if not terms.get("prices"):
        steps = [] if "estimate" in tables else [{"op": "add", "path": "/estimate", "value": {}}]
        steps += [{"op": "add", "path": "/estimate/prices", "value": name}]
        text = edited(text, operations(steps))
    content = "".join(f"{line}\n" for line in remarks) + rows
    files = {**files, name: content.encode(), JOB_FILE: text.encode()}
    check_files(files)
    return m.Saved(revision=service.replace_all(job, book.base, files, "prices").number)


def written(rows: list[m.PriceRow]) -> str:
    """Write rows as the price book's own CSV."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n").writerow
    write(COLUMNS)
    for row in rows:
        given = row.model_dump()
        write([" ".join(given[name.replace(" ", "_")].split()) for name in COLUMNS])
    return out.getvalue()
