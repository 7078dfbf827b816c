"""Job sections of the estimate room: the terms of the offer, waste, and what is to be compared."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, Strict

from hillwright.data import table
from hillwright.errors import did_you_mean
from hillwright.job.crew import WorkDate
from hillwright.job.fields import INCH, Conflict, Flag, lengths, shares
from hillwright.job.table import Section
from hillwright.units import UnitError

TaxedOn = Literal["cost", "price", "none"]


def _currency(value: str) -> str:
    if not (len(value) == 3 and value.isascii() and value.isalpha() and value.isupper()):
        raise UnitError(f"{value!r} is not a currency", 'write its three letters, as in "USD"')
    return value


def _law(value: str) -> str:
    known = [row["place"] for row in table("contract_law")["law"]]
    if value and value not in known:
        right = did_you_mean(value, known, f'write one of {", ".join(known)}, or ""')
        raise UnitError(f"the contract rules of {value!r} are not known here", right)
    return value


class EstimateText(Section):
    """[estimate]: where the prices are, who builds, and the terms of the offer."""

    prices: str = ""  # price book (CSV) beside the job
    currency: Annotated[str, AfterValidator(_currency)] = "USD"
    date: WorkDate = ""  # of the offer
    valid_days: Annotated[int, Strict(), Field(ge=1, le=730)] = 30
    # mixed: those of the crew that are paid are paid
    built: Literal["mixed", "owner", "contractor"] = "mixed"
    volunteers: Literal["not valued", "valued"] = "not valued"
    pay: Literal["days", "hours"] = "days"  # whole days of who comes, or the hours at work
    burden: Annotated[float, shares(0, 2)] = 0.30  # on wages
    overhead: Annotated[float, shares(0, 1)] = 0.10  # on all direct cost
    profit: Annotated[float, shares(0, 0.9)] = 0.10
    profit_as: Literal["markup", "margin"] = "markup"
    contingency: Literal["P80", "given", "none"] = "P80"
    contingency_share: Annotated[float, shares(0, 1)] = 0.10  # where it is given
    tax: Annotated[float, shares(0, 0.5)] = 0.0
    tax_materials: TaxedOn = "cost"
    tax_plants: TaxedOn = "cost"
    tax_hire: TaxedOn = "none"
    law: Annotated[str, AfterValidator(_law)] = ""  # place whose limits on deposits hold
    senior_buyer: Flag = False
    deposit: Annotated[float, shares(0, 1)] = 0.10
    kerf: Annotated[float, lengths(0, INCH)] = 0.125 * INCH  # of a cut through a bar
    correlation: Annotated[float, shares(0, 1)] = 0.5  # of prices, and of hours, with each other
    soil_spread: Annotated[float, shares(0, 0.5)] = 0.10  # of the soil's volume, either way
    samples: Annotated[int, Strict(), Field(ge=500, le=200_000)] = 10_000
    seed: Annotated[int, Strict(), Field(ge=0, le=10_000)] = 1

    def conflicts(self) -> Iterator[Conflict]:
        """Find a share that nothing asks for."""
        if "contingency_share" in self.model_fields_set and self.contingency != "given":
            what = f'is only for contingency = "given", and it is "{self.contingency}"'
            yield Conflict(("contingency_share",), what, "leave it out", ("contingency",))
        if self.law and self.currency != "USD":
            what = f"is the law of a state with sums in USD, and the offer is in {self.currency}"
            yield Conflict(("law",), what, "leave it out, and ask which law holds", ("currency",))


class WasteText(Section):
    """[waste]: what is ordered over what is used, kind by kind."""

    cells: Annotated[float, shares(0, 0.5)] = 0.0
    clips: Annotated[float, shares(0, 0.5)] = 0.05
    bars: Annotated[float, shares(0, 0.5)] = 0.05
    plants: Annotated[float, shares(0, 0.5)] = 0.04
    fittings: Annotated[float, shares(0, 0.5)] = 0.05
    spares: Annotated[int, Strict(), Field(ge=0, le=20)] = 2  # of each small fitting, at least
    tubing: Annotated[float, shares(0, 0.5)] = 0.05  # on every piece
    fabric: Annotated[float, shares(0, 0.5)] = 0.12
    stone: Annotated[float, shares(0, 0.5)] = 0.10


def offer_agrees(estimate: EstimateText, start: str) -> Iterator[Conflict]:
    """Find an offer that is made after the work has begun."""
    if estimate.date and start and estimate.date > start:
        what = f"is after the first day of work (crew.start {start})"
        yield Conflict(("estimate", "date"), what, "give an earlier day, or a later start")


Option = dict[str, Any]  # its name, and keys of the job with what they become


class ChoiceText(Section):
    """[[choice]]: something that could be done otherwise, for `hillwright compare`."""

    name: str
    options: tuple[Option, ...]

    def conflicts(self) -> Iterator[Conflict]:
        """Find a choice without a choice, options without a name, or two of one name."""
        if not self.options:
            yield Conflict(("options",), "names nothing to choose", 'write [{name = "as drawn"}]')
        names: list[str] = []
        for i, option in enumerate(self.options):
            name = option.get("name")
            if not isinstance(name, str) or not name.strip():
                right = 'add name = "shallow", or what you call it'
                yield Conflict(("options", i), "has no name", right)
            elif name in names:
                yield Conflict(("options", i), f'"{name}" is there twice', "give each its own")
            names.append(str(name))
