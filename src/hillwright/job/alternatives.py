"""The same job with other keys: every combination of choices, each checked as a file is."""

from __future__ import annotations

import copy
import itertools
import json
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

from hillwright.errors import JobError, Problem, did_you_mean
from hillwright.job.check import check
from hillwright.job.explain import SEVERAL, Explainer, sections
from hillwright.job.lines import Lines
from hillwright.job.model import Job, OpenJob

MOST = 200  # combinations
Choice = tuple[str, tuple[tuple[str, dict[str, Any]], ...]]  # name; options with what they change


def choices_of(opened: OpenJob, vary: Iterable[str] = ()) -> tuple[Choice, ...]:
    """Give what could be chosen: the job's own [[choice]], or what a command varies.

    Parameters
    ----------
    opened : OpenJob
        The job.
    vary : iterable of str
        As in "cell.depth = 6 in | 8 in"; where there is any, the job's own choices stand back.

    Raises
    ------
    JobError
        A text that does not say what to vary.
    """
    own = tuple(vary)
    if own:
        return tuple(_varied(text) for text in own)
    return tuple(
        (c.name, tuple((str(o["name"]), {k: v for k, v in o.items() if k != "name"})
                       for o in c.options))
        for c in opened.job.choice
    )  # fmt: skip


def _varied(text: str) -> Choice:
    key, there, values = text.partition("=")
    options = [v.strip() for v in values.split("|") if v.strip()]
    if not there or not key.strip() or not options:
        right = 'write key and values, as in --vary "cell.depth = 6 in | 8 in"'
        raise JobError("--vary", f"{text!r} does not say what to vary", right)
    return key.strip(), tuple((f"{key.strip()} {v}", {key.strip(): _value(v)}) for v in options)


def _value(text: str) -> Any:
    """Read a value as TOML has it; what is none stands for itself: "6 in" needs no quotes."""
    try:
        return tomllib.loads(f"x = {text}")["x"]
    except tomllib.TOMLDecodeError:
        return text


def combined(opened: OpenJob, choices: tuple[Choice, ...]) -> tuple[tuple[str, OpenJob], ...]:
    """Give every combination of the options, by name, as a job of its own.

    Raises
    ------
    JobError
        Too many combinations, or an option that does not make a job: all that is wrong, named by
        choice and option.
    """
    count = 1
    for _, options in choices:
        count *= len(options)
    if count > MOST:
        right = "leave some options out"
        raise JobError(opened.path.name, f"{count} combinations are more than {MOST}", right)
    data = tomllib.loads(opened.path.read_text("utf-8-sig"))
    data.pop("choice", None)
    for name, options in choices:  # each alone first: what is wrong is told once, by its name
        for option, changes in options:
            _made(data, {option: changes}, name, opened)
    found = []
    for picked in itertools.product(*(options for _, options in choices)):
        name = ", ".join(option for option, _ in picked)
        job = _made(data, dict(picked), "", opened)
        found.append((name, OpenJob(job=job, path=opened.path)))
    return tuple(found)


def _made(
    data: Mapping[str, Any], picked: Mapping[str, Mapping[str, Any]], choice: str,
    opened: OpenJob,
) -> Job:  # fmt: skip
    changed: dict[str, Any] = copy.deepcopy(dict(data))
    where = f"{opened.path.name}: {f'choice {choice!r}, ' if choice else ''}"
    where += " with ".join(repr(o) for o in picked)
    for changes in picked.values():
        for key, value in changes.items():
            _set(changed, key, value, where)
    job, wrong = check(changed)
    if job is None:
        shown = Lines(_as_toml(picked.values()))  # the values as the choice has them
        explainer = Explainer(opened.path.name, shown, opened.job.units)
        problems = [p for error in wrong for _, p in explainer.problems(error)]
        raise JobError.all(
            Problem(f"{where}: {p.where.partition(': ')[2] or p.where}", p.what, p.right)
            for p in problems
        )
    return job


def _as_toml(changes: Iterable[Mapping[str, Any]]) -> str:
    """Write changes as a job file has them, for messages."""
    text = ""
    for each in changes:
        for key, value in each.items():
            section, dot, inside = key.partition(".")
            if dot:
                text += f"[{section}]\n{inside} = {_literal(value)}\n"
    return text


def _literal(value: Any) -> str:
    if isinstance(value, str | bool | int | float):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list):
        return f"[{', '.join(map(_literal, value))}]"
    return '"..."'


def _set(data: dict[str, Any], key: str, value: Any, where: str) -> None:
    section, dot, inside = key.partition(".")
    known = sections()
    if not dot:
        if section not in Job.model_fields:
            right = did_you_mean(section, Job.model_fields, "write section and key: cell.depth")
            raise JobError(where, f"{key!r} is no key of a job", right)
        data[section] = value
        return
    keys = known[section].model_fields if section in known else {}
    if inside not in keys:
        every = [f"{s}.{k}" for s, model in known.items() for k in model.model_fields]
        right = did_you_mean(key, every, "write section and key: cell.depth")
        raise JobError(where, f"{key!r} is no key of a job", right)
    table = data.setdefault(section, {})
    if section in SEVERAL or not isinstance(table, dict):
        right = f"give all of it: {section} = [{{...}}]"
        raise JobError(where, f"{section} may be there several times: {key!r} is not one", right)
    table[inside] = value
