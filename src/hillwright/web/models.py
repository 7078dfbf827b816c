"""What the service takes and gives, typed: the page's types are made from these."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator

from hillwright.units import System

Number = Annotated[int, Field(ge=1, le=2**31 - 1)]
Words = Annotated[str, Field(max_length=200)]
DEEPEST = 20  # lists within lists of a value: a job file has four


class Sent(BaseModel):
    """Something that the service is sent; a key that it does not know is refused."""

    model_config = ConfigDict(extra="forbid")


class ProblemOut(BaseModel):
    """One thing wrong: where it stands, what is wrong there, what would be right."""

    where: str
    what: str
    right: str


class Problems(BaseModel):
    """Why the service said no."""

    problems: list[ProblemOut]


class JobHead(BaseModel):
    """A job in the list."""

    id: str
    name: str
    revision: int
    saved: str = Field(description="When it was changed last, UTC.")
    archived: bool


class Example(BaseModel):
    """An invented job that can be opened at once."""

    key: str
    name: str
    about: str


class Jobs(BaseModel):
    """Every job, and what to start from."""

    jobs: list[JobHead]
    examples: list[Example]


class JobState(BaseModel):
    """A job as it stands."""

    id: str
    name: str
    units: System
    revision: int
    saved: str
    archived: bool
    undo: str | None = Field(description="What undo would take back; null: nothing.")
    redo: str | None = Field(description="What redo would bring back; null: nothing.")
    job: dict[str, Any] = Field(description="The job file's own keys and values, as written.")
    files: list[str]
    file: str | None = Field(description="The file that the service was started with, if this.")
    problems: list[ProblemOut] = Field(description="Of the newest plan.")


class Leg(Sent):
    """One stretch of a tape section."""

    distance: Annotated[str, Field(max_length=40, examples=["6 ft"])]
    angle: Annotated[str, Field(max_length=40, examples=["32 deg"])]


class TapeSection(Sent):
    """One tape section up or down the slope."""

    station: Annotated[str, Field(max_length=40, examples=["0 ft"])]
    height: Annotated[str, Field(max_length=40, examples=["0 ft"])] = "0 m"
    legs: Annotated[list[Leg], Field(min_length=1, max_length=200)]


class NewJob(Sent):
    """A job to start: from an example, from another job, or from tape sections as typed."""

    example: Words | None = None
    copy_of: Words | None = None
    name: Words = ""
    units: System = "us"
    sections: Annotated[list[TapeSection], Field(max_length=200)] | None = None
    outline: Annotated[list[tuple[str, str]], Field(max_length=500)] | None = None


class Made(BaseModel):
    """A job that was made."""

    id: str
    revision: int


class Change(Sent):
    """One step of a JSON Patch (RFC 6902) on the job file."""

    op: Literal["add", "remove", "replace", "test"]
    path: Annotated[str, Field(max_length=400, examples=["/cell/width"])]
    value: Any = Field(
        default=None,
        description='As the job file holds it, as in "24 in". {"local": [x, y]} stands for a place '
        "in metres of the plan's frame; it is written as the job writes places.",
    )

    @field_validator("value")
    @classmethod
    def _not_too_deep(cls, value: Any) -> Any:
        level, depth = [value], 0
        while level := [v for held in level for v in _held(held)]:
            depth += 1
            if depth > DEEPEST:
                raise ValueError(f"holds lists within lists, deeper than {DEEPEST}")
        return value


def _held(value: Any) -> list[Any]:
    """Give what a list or table holds."""
    if isinstance(value, dict):
        return list(value.values())
    return value if isinstance(value, list) else []


class Edit(Sent):
    """A change of a job."""

    base: Number = Field(description="The revision that it was made from.")
    patch: Annotated[list[Change], Field(min_length=1, max_length=500)]
    summary: Words = ""
    id: Words = Field(
        default="", description="The sender's own name of it: kept once if sent twice."
    )
    by: Words = ""


class Other(BaseModel):
    """What somebody else changed meanwhile."""

    number: int
    summary: str
    by: str


class Saved(BaseModel):
    """A change that is on the disk."""

    revision: int
    others: list[Other] = Field(default=[], description="Changes of others since `base`, kept too.")


class Clash(BaseModel):
    """One key that two people changed in two ways."""

    path: str
    base: Any
    mine: Any
    theirs: Any


class Clashes(Problems):
    """An edit that lost against another: kept aside as a revision of its own."""

    side: int
    head: int
    clashes: list[Clash]


class Base(Sent):
    """From which revision undo or redo was asked for."""

    base: Number | None = None


class SaveFile(Sent):
    """Which revision goes into the file, and over which version of it."""

    base: Number
    over: str | None = Field(default=None, max_length=64, description="`seen` of the file.")


class Which(Sent):
    """A revision to go on from."""

    revision: Number


class Named(Sent):
    """A name for a revision; "" takes it away."""

    revision: Number
    name: Words


class RevisionOut(BaseModel):
    """A revision of a job."""

    number: int
    parent: int | None
    saved: str
    by: str
    summary: str
    name: str | None
    aside: bool


class Revisions(BaseModel):
    """Every revision of a job, the newest first."""

    head: int
    revisions: list[RevisionOut]


class KeyChange(BaseModel):
    """One key that is not the same in two revisions; null stands for "not there"."""

    path: str
    before: Any
    after: Any


class FileState(BaseModel):
    """The file that the service was started with, beside the job as it stands."""

    name: str
    folder: str
    differs: list[str] = Field(description="Files that are not the same on the disk.")
    changed: list[str] = Field(description="Those of them that were changed on the disk since.")
    changes: list[KeyChange] = Field(description="Of the job file: before on the disk, after here.")
    seen: str = Field(description="Digest of the file on the disk.")


class AnswerChange(BaseModel):
    """One of the ten answers that is not the same; null where a revision was not worked out."""

    number: int
    question: str
    before: str | None
    verdict_before: str | None
    after: str | None
    verdict_after: str | None


class Compared(BaseModel):
    """Two revisions side by side."""

    a: int
    b: int
    changes: list[KeyChange]
    files: list[str] = Field(description="Other files that are not the same.")
    answers: list[AnswerChange]


class PartHead(BaseModel):
    """Where a part of a plan is."""

    digest: str
    url: str


class PlanHead(BaseModel):
    """The newest plan, as far as it stands."""

    revision: int
    units: System
    state: Literal["none", "working", "done", "problems", "cancelled"]
    stages: list[str]
    parts: dict[str, PartHead]
    problems: list[ProblemOut]
    ms: float | None = Field(description="How long it took.")
    at: str = Field(description="Listen to events from after this one.")


class TickIn(Sent):
    """One mark on a list in the field."""

    uuid: Annotated[str, Field(min_length=8, max_length=64)]
    key: Annotated[str, Field(min_length=1, max_length=120)]
    done: bool
    at: Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?Z$")]
    device: Annotated[str, Field(max_length=64)] = ""


class TicksIn(Sent):
    """Marks that a device made."""

    ticks: Annotated[list[TickIn], Field(max_length=5000)]


class TickOut(BaseModel):
    """One mark as it is kept."""

    uuid: str
    key: str
    done: bool
    at: str
    device: str


class Ticks(BaseModel):
    """Every mark of every device, and where each key stands by them."""

    ticks: list[TickOut]
    done: dict[str, bool]


class Cancelled(BaseModel):
    """Whether there was a plan to stop."""

    cancelled: bool


class NumberOut(BaseModel):
    """A value of a working."""

    name: str
    value: float | int | str | bool | None
    unit: str
    shown: str


class Why(BaseModel):
    """How a figure came about."""

    figure: str
    title: str
    equation: str
    given: list[NumberOut]
    result: NumberOut
    source: str
    note: str
    method: str
    range: str = Field(description="Where the method holds.")
    inputs: list[str] = Field(description="Sections of the job that drive it.")


class CutCell(BaseModel):
    """A cell on a section: its base from the uphill end, along the line and height in metres."""

    row: int
    number: int
    base: list[list[float]]


class Section(BaseModel):
    """The hill along a line, in metres."""

    length: float
    distance: list[float]
    ground: list[float | None]
    graded: list[float | None]
    cells: list[CutCell]
    depth: float = Field(description="Of a cell.")


class SheetFile(BaseModel):
    """One file of the set."""

    number: int
    name: str


class SheetSet(BaseModel):
    """The set of papers that was made last."""

    revision: int
    files: list[SheetFile]
    making: bool


Cell = Annotated[str, Field(max_length=300)]


class PriceRow(Sent):
    """One price, as the price book writes it; blank is not known."""

    kind: Cell = ""
    item: Cell
    unit: Cell = ""
    pack: Cell = ""
    low: Cell = ""
    price: Cell = ""
    high: Cell = ""
    currency: Cell = ""
    date: Cell = ""
    good_until: Cell = ""
    supplier: Cell = ""
    note: Cell = ""


class PriceBookOut(BaseModel):
    """The price book to fill in."""

    file: str
    rows: list[PriceRow]


class SavePrices(Sent):
    """A price book that was filled in on the page."""

    base: Number
    rows: Annotated[list[PriceRow], Field(min_length=1, max_length=2000)]


class PlantOut(BaseModel):
    """A plant that a job can name."""

    id: str
    common: str
    botanical: str
    kind: str


class Palette(BaseModel):
    """What may be wished for: plants, and the kinds and uses that stand for several."""

    plants: list[PlantOut]
    kinds: list[str]
    uses: list[str]
