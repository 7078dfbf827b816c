"""The front of the document: the job, its frame, the ten answers, every figure with its working."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from hillwright import units
from hillwright.answers.model import Answer
from hillwright.document.base import Part, plain, read, si, text
from hillwright.job.model import Job, OpenJob
from hillwright.job.site import Frame
from hillwright.method import Number, Working
from hillwright.units import System
from hillwright.wording import in_units

Verdict = Literal["clear", "with measures", "stop", "not yet"]


class JobPart(Part):
    """Whose hill it is, and every setting of the job as the program read it."""

    file: str = text("Name of the job file.")
    name: str = text("Name of the site.")
    address: str = text("Where it is.")
    client: str = text("Whom it is for.")
    contractor: str = text("Who builds it.")
    units: Literal["us", "metric"] = text("Units that the person reads; this document is SI.")
    revision: str = text("Revision of the sheets.")
    date: str = text("Date of the sheets as the job gives it; empty where it does not.")
    north_known: bool = text("The job tells where north is.")
    settings: dict[str, Any] = text(
        "The whole job by section and key, as docs/job.md names them, in SI units and radians."
    )


class FramePart(Part):
    """From the document's metres back to the survey's own numbers.

    easting = (x + origin_x_m) / unit_m, northing = (y + origin_y_m) / unit_m, elevation =
    z / z_unit_m.
    """

    origin_x_m: float = si("m", "Added to x.")
    origin_y_m: float = si("m", "Added to y.")
    unit_m: float = si("m", "One horizontal unit of the survey.")
    z_unit_m: float = si("m", "One vertical unit of the survey.")
    unit_name: str = text("Name of that unit.")
    crs: str = text("Coordinate system; empty for a local grid.")
    north_rad: float = si("rad", "Compass bearing of +y, clockwise.")
    scale: float = si("-", "Of the map grid.")
    note: str = text("Datum and scale in words.")


class AnswerPart(Part):
    """One of the ten questions and its answer, in the person's units."""

    number: int = si("-", "1 to 10.")
    question: str = text("The question.")
    short: str = text("The answer in short.")
    verdict: Verdict = text("What it comes to; a stop is never hidden.")
    lines: list[str] = text("The answer at length.")
    figures: list[str] = text("Keys of the figures that stand behind it.")
    caution: str = text("The caution that goes with it.")


class NumberPart(Part):
    """A value in a working."""

    name: str = text("Its name in the method's description.")
    value: float | int | str | bool | None = text(
        "SI value or words; null where it is unknown or without limit, which `shown` tells."
    )
    unit: str = text('SI unit; "-" is a pure number, "text" is words.')
    shown: str = text("The same in the person's units.")


class FigurePart(Part):
    """How one figure came about: the answer to "why?"."""

    title: str = text("What it is, in trade words.")
    equation: str = text("In the source's symbols.")
    given: list[NumberPart] = text("What was put in.")
    result: NumberPart = text("What came out.")
    source: str = text("Who published the method, or what stands for it.")
    note: str = text("What a reader must know beside it.")
    method: str = text("Id of the published method; empty for a plain count or sum.")


def job_part(opened: OpenJob) -> JobPart:
    """Give the job."""
    job = opened.job
    return JobPart(
        file=opened.path.name,
        name=job.site.name,
        address=job.site.address,
        client=job.site.client,
        contractor=job.site.contractor,
        units=job.units,
        revision=job.sheets.revision,
        date=job.sheets.date,
        north_known=job.north_known,
        settings=settings(job),
    )


def settings(job: Job) -> dict[str, Any]:
    """Give every key of the job as it was read."""
    found: dict[str, Any] = plain(job.model_dump())
    return found


def frame_part(frame: Frame) -> FramePart:
    """Give the frame."""
    return read(FramePart, frame)


def answer_parts(answers: tuple[Answer, ...]) -> list[AnswerPart]:
    """Give the ten answers."""
    return [read(AnswerPart, a) for a in answers]


def figure_parts(workings: Mapping[str, Working], system: System) -> dict[str, FigurePart]:
    """Give the working of every figure by its name."""
    return {name: figure_part(w, system) for name, w in workings.items()}


def figure_part(working: Working, system: System) -> FigurePart:
    """Give one working with its units and what the person reads."""
    w = working.with_units()
    return FigurePart(
        title=w.title,
        equation=w.equation,
        given=[_number(n, system) for n in w.given],
        result=_number(w.result, system),
        source=w.source,
        note=in_units(w.note, system),
        method=w.method,
    )


def _number(n: Number, system: System) -> NumberPart:
    said = in_units(n.value, system) if isinstance(n.value, str) else n.value
    unit = "-" if n.unit == "%" else n.unit.removesuffix(".small").removesuffix(".big")
    shown = units.show(said, n.unit, system)
    return NumberPart(name=n.name, value=plain(n.value), unit=unit, shown=shown)
