"""How results are printed for people in a terminal, and as JSON for programs."""

from __future__ import annotations

import json
import math
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hillwright.errors import HillwrightError

if TYPE_CHECKING:
    from hillwright.answers.model import Answer
    from hillwright.plan import Plan

Progress = Callable[[str, float], None]

_WIDTH = 80
_STYLES = {"stop": "bold red", "with measures": "yellow", "clear": "green", "not yet": "dim"}


def plain(value: Any) -> Any:
    """Give a value as JSON can hold it; a number that is none becomes null."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(v) for v in value]
    if isinstance(value, Path | Decimal):  # money keeps its cents
        return str(value)
    if isinstance(value, float) and not isinstance(value, bool):
        return float(value) if math.isfinite(value) else None
    return value


def print_json(value: Any) -> None:
    """Print one JSON document on standard output."""
    print(json.dumps(plain(value), indent=2, ensure_ascii=False, allow_nan=False))


def print_problems(error: HillwrightError) -> None:
    """Print each problem on standard error: where, what, what would be right."""
    warned = sum(p.where == "warning" for p in error.problems)
    count = len(error.problems) - warned
    head = f"{count} problems" if count > 1 else "a problem"
    if warned:
        head += f" and {warned} warnings" if warned > 1 else " and a warning"
    lines = [f"hillwright: {head}"]
    for p in error.problems:
        lines += _wrapped(p.where, "  ")
        lines += _wrapped(p.what, "      ")
        lines += _wrapped(p.right, "      -> ") if p.right else []
    print("\n".join(lines), file=sys.stderr)


def problems_data(error: HillwrightError) -> dict[str, Any]:
    """Give the problems of an error as ``--json`` prints them."""
    listed = [{"where": p.where, "what": p.what, "right": p.right} for p in error.problems]
    return {"problems": listed}


@contextmanager
def progress(title: str) -> Iterator[Progress | None]:
    """Show what is being done on standard error, where that is a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console

    with Console(stderr=True).status(title) as status:
        yield lambda what, share: status.update(f"{title}: {what} ({share:.0%})")


def _console(width: int) -> Any:
    from rich.console import Console

    console = Console(highlight=False, markup=False, emoji=False)
    console.width = width
    return console


def _wrapped(text: str, indent: str, width: int = _WIDTH) -> list[str]:
    found: list[str] = []
    for paragraph in str(text).splitlines() or [""]:
        own = len(paragraph) - len(paragraph.lstrip())  # a line indented by its writer stays so
        found += textwrap.wrap(
            paragraph.strip(),
            width,
            initial_indent=" " * own + (indent if not found else " " * len(indent)),
            subsequent_indent=" " * (own + len(indent)),
            break_long_words=False,
            break_on_hyphens=False,
        )
    return found


def print_plan(plan: Plan) -> None:
    """Print the ten questions and their answers; what says stop comes before anything else."""
    console = _console(_WIDTH)

    def say(text: str, indent: str = "", style: str = "") -> None:
        for line in _wrapped(text, indent):
            console.print(line, style=style or None, soft_wrap=True)

    for a in plan.answers:
        if a.verdict == "stop":
            say(f"STOP. {a.question}", style=_STYLES["stop"])
            say(a.short, "      ", _STYLES["stop"])
            say(a.caution, "      ", _STYLES["stop"])
            console.print()
    site = plan.job.site
    say(f"{site.name}, {site.address}" if site.address else site.name, style="bold")
    for a in plan.answers:
        console.print()
        print_answer(a)
    if plan.warnings:
        console.print()
        say("Look at this before you go on:", style="bold yellow")
        for warning in plan.warnings:
            say(warning, "  - ", "yellow")


def print_answer(a: Answer) -> None:
    """Print one question and its answer."""
    console = _console(_WIDTH)

    def say(text: str, indent: str = "", style: str = "") -> None:
        for line in _wrapped(text, indent):
            console.print(line, style=style or None, soft_wrap=True)

    say(f"{a.question}  [{a.verdict}]", f"{a.number:>2}. ", _STYLES[a.verdict])
    say(a.short, "    ", "bold" if a.verdict != "not yet" else "")
    for line in a.lines:
        say(line, "    ")
    if a.caution:
        say(f"Caution: {a.caution}", "    ", "bold")
    if a.figures:
        say(f"why: {', '.join(a.figures)}", "    ", "dim")


def plan_data(plan: Plan) -> dict[str, Any]:
    """Give the answers of a plan as ``--json`` prints them."""
    verdicts = ("stop", "with measures", "clear")
    said = {a.verdict for a in plan.answers}
    return {
        "job": plan.opened.path,
        "units": plan.job.units,
        "verdict": next((v for v in verdicts if v in said), "not yet"),
        "answers": plan.answers,
        "warnings": plan.warnings,
        "figures": {name: _shown(plan, name) for name in plan.workings},
    }


def _shown(plan: Plan, name: str) -> dict[str, Any]:
    from hillwright.units import show

    result = plan.workings[name].with_units().result
    shown = show(result.value, result.unit, plan.job.units)
    return {"value": result.value, "unit": _si(result.unit), "shown": shown}


def print_figures(plan: Plan) -> None:
    """Print every figure that can be asked "why?", with its value."""
    longest = max((len(name) for name in plan.workings), default=0)
    for name in plan.workings:
        print(f"{name.ljust(longest)}  {_shown(plan, name)['shown']}")


def working_data(plan: Plan, name: str) -> dict[str, Any]:
    """Give the working of one figure as ``--json`` prints it."""
    from hillwright.method import symbols_of
    from hillwright.units import show
    from hillwright.wording import in_units

    system = plan.job.units
    working = plan.workings[name].with_units()
    found: dict[str, Any] = plain(working)
    numbers = (*found["given"], found["result"])
    stands, words = symbols_of(working)
    for number in found["given"]:
        number["symbol"] = stands.get(number["name"], "")
    found["symbols"] = words
    for number, own in zip(numbers, (*working.given, working.result), strict=True):
        # JSON has neither "without limit" nor "unknown": the words have
        said = in_units(own.value, system) if isinstance(own.value, str) else own.value
        number["shown"] = show(said, number["unit"], system)
        number["unit"] = _si(number["unit"])
    found["title"], found["note"] = (in_units(found[k], system) for k in ("title", "note"))
    return found


def _si(tag: str) -> str:
    """Give the SI unit of a value by its tag, which may also say how it is best shown."""
    return "-" if tag == "%" else tag.removesuffix(".small").removesuffix(".big")


def print_working(plan: Plan, name: str) -> None:
    """Print the working of one figure: equation, numbers, result, source."""
    working = working_data(plan, name)
    numbers = [*working["given"], working["result"]]
    longest = max(len(n["name"]) for n in numbers)
    wide = max((len(n["symbol"]) + 2 for n in working["given"] if n["symbol"]), default=0)
    lines = [f"{name}  {working['title']}", ""]
    lines += _wrapped(working["equation"], "    ")
    lines += _wrapped("; ".join(f"{k}: {v}" for k, v in working["symbols"].items()), "    ")
    lines += [""]
    for n in working["given"]:
        symbol = n["symbol"] if n["symbol"] != n["name"] else ""
        lines += _wrapped(n["shown"], f"    {n['name'].ljust(longest)}{symbol.rjust(wide)}   ")
    end = working["result"]
    lines += [f"    {end['name'].ljust(longest + wide)} = {end['shown']}", ""]
    lines += _wrapped(working["source"], "  source  ")
    lines += _wrapped(working["method"], "  method  ") if working["method"] else []
    lines += _wrapped(working["note"], "  note    ") if working["note"] else []
    print("\n".join(lines))


def print_files(files: Iterable[Path]) -> None:
    """Print the paths of files that were written, one a line."""
    for file in files:
        print(file)
