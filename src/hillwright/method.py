"""A published method: its name, equation and source, attached to the function that does it.

The docstring is the one place where shapes, units and range are written; :func:`described`
reads them from there, so the list of methods can never disagree with the code.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Method:
    """A function of the project that does what a published source describes."""

    id: str  # "room.function", as `hillwright methods` lists it
    title: str
    equation: str
    source: str
    function: Callable[..., Any] = field(repr=False)
    symbols: Mapping[str, str] = field(default_factory=dict)  # what stands for what in the equation


@dataclass(frozen=True, slots=True)
class Argument:
    """One input or output of a method, as its docstring gives it."""

    name: str
    shape: str
    unit: str  # SI tag such as "m", "rad", "N/m2"; "-" is a pure number; "text" is words
    about: str


@dataclass(frozen=True, slots=True)
class Described:
    """What a method takes and gives."""

    inputs: tuple[Argument, ...]
    outputs: tuple[Argument, ...]
    range: str  # where the equation holds (the docstring's Notes), "" where it always does


_METHODS: dict[str, Method] = {}
_OURS = "hillwright."
# slow to import, or not wanted by those who only compute; they hold no method
_NO_METHODS = {"answers", "checking", "data", "document", "sheets", "store", "web"}


def method(
    *, title: str, equation: str, source: str, symbols: Mapping[str, str] | None = None
) -> Callable[[F], F]:
    """Attach a published method's title, equation and source to the function that does it.

    Parameters
    ----------
    title : str
        What the method finds, in trade words.
    equation : str
        The equation in the source's symbols, on one line.
    source : str
        Author, year and work; ends with "(from memory)" where the text was not seen, or is
        "exact geometry" or "common practice, no source".
    symbols : mapping, optional
        For each symbol of the equation the parameter that it stands for, or what it is in words.
        What the equation itself defines, left of an equals sign, needs no entry.
    """

    def attach(function: F) -> F:
        room = function.__module__.removeprefix(_OURS).split(".")[0]
        found = Method(
            f"{room}.{function.__name__}", title, equation, source, function, symbols or {}
        )
        if found.id in _METHODS and _METHODS[found.id].function.__module__ != function.__module__:
            raise ValueError(f"two methods are called {found.id}")
        _METHODS[found.id] = found
        function.method = found  # type: ignore[attr-defined]
        return function

    return attach


def all_methods() -> dict[str, Method]:
    """Every method of the project by id, in order; imports every room that computes."""
    import hillwright

    for module in pkgutil.walk_packages(hillwright.__path__, "hillwright."):
        place = module.name.split(".")
        room = place[1] if len(place) > 2 or module.ispkg else ""
        if room and room not in _NO_METHODS:
            importlib.import_module(module.name)
    return {k: m for k, m in sorted(_METHODS.items()) if m.function.__module__.startswith(_OURS)}


_UNIT = re.compile(r"\[([^\[\]]+)\]")
_UNITS_AT_END = re.compile(r"(?:\[[^\[\]]+\](?:,\s*)?)+\.?$")


@cache
def described(function: Callable[..., Any]) -> Described:
    """Read a method's inputs, outputs and range from its numpydoc docstring.

    Raises
    ------
    ValueError
        A parameter or a return value has no unit in square brackets.
    """
    import docstring_parser
    from docstring_parser.common import DocstringStyle

    doc = docstring_parser.parse(inspect.getdoc(function) or "", DocstringStyle.NUMPYDOC)
    where = f"{function.__module__}.{function.__name__}"

    def arguments(items: Iterable[Any], names: Callable[[Any], str | None]) -> list[Argument]:
        found = []
        for item in items:
            each = [n.strip() for n in (names(item) or "value").split(",")]
            about = " ".join((item.description or "").split())
            at_end = _UNITS_AT_END.search(about)
            units = [u.strip() for u in _UNIT.findall(at_end.group() if at_end else "")]
            if len(units) == 1:
                units *= len(each)
            if len(units) != len(each):
                raise ValueError(
                    f"{where}: {', '.join(each)}: end the docstring's line with one unit in "
                    "[brackets], or with one for each name"
                )
            text = _UNITS_AT_END.sub("", about).strip(" ,")
            found += [
                Argument(n, item.type_name or "", u, text) for n, u in zip(each, units, strict=True)
            ]
        return found

    inputs = arguments(doc.params, lambda p: p.arg_name)
    outputs = arguments(doc.many_returns or [], lambda r: r.return_name)
    notes = [m.description or "" for m in doc.meta if m.args and m.args[0] == "notes"]
    return Described(tuple(inputs), tuple(outputs), " ".join(" ".join(notes).split()))


@dataclass(frozen=True, slots=True)
class Number:
    """A value in a working: its name, SI value (or text) and SI unit tag."""

    name: str
    value: float | int | str
    unit: str


@dataclass(frozen=True, slots=True)
class Working:
    """How one figure came about: the answer to "why?"."""

    figure: str  # "terrain.slope.mean": room, thing, measure
    title: str
    equation: str
    given: tuple[Number, ...]
    result: Number
    source: str
    note: str = ""
    method: str = ""  # id of the published method, "" for a plain count or sum of the plan

    @classmethod
    def of(
        cls,
        figure: str,
        function: Callable[..., Any],
        given: dict[str, float | int | str],
        result: float | int | str,
        *,
        output: str = "",
        unit: str = "",
        note: str = "",
    ) -> Working:
        """Give the working of one result of a ``@method`` function.

        Parameters
        ----------
        figure : str
            Name of the figure, as `hillwright why` takes it.
        function : callable
            A function that carries ``@method``.
        given : dict
            Its inputs by parameter name, as single SI numbers or words. Numbers that were left at
            their defaults may be left out: :meth:`with_units` adds them.
        result : float, int or str
            What it gave, SI.
        output : str
            Which of its outputs, when it has several.
        unit : str
            Tag that the result is shown by where it is not the docstring's: what "any" stands for
            here, or a better reading of the same quantity, such as "m.small" for "m".
        note : str
            Anything a reader must know beside it.
        """
        m: Method = function.method  # type: ignore[attr-defined]
        numbers = tuple(Number(k, v, "") for k, v in given.items())
        found = Number(output, result, unit)
        return cls(figure, m.title, m.equation, numbers, found, m.source, note, m.id)

    def tagged(self, **tags: str) -> Working:
        """Show some of the numbers put in by tags that their readers think in: rain in inches."""
        given = tuple(replace(n, unit=tags.get(n.name, n.unit)) for n in self.given)
        return replace(self, given=given)

    def with_units(self) -> Working:
        """Fill in defaults and the docstring's units; read only when somebody asks."""
        if not self.method:
            return self
        if self.method not in _METHODS:  # a working that came from another process
            all_methods()
        function = _METHODS[self.method].function
        d = described(function)
        units = {a.name: a.unit for a in d.inputs}
        outputs = {a.name: a.unit for a in d.outputs}
        name = self.result.name or next(iter(outputs))
        unit = self.result.unit or outputs[name]
        if outputs[name] == "any":  # any unit, but the same throughout
            units = {k: unit if u == "any" else u for k, u in units.items()}
        numbers = (*self.given, *_left_out(function, {n.name for n in self.given}))
        given = tuple(replace(n, unit=n.unit or units[n.name]) for n in numbers)
        return replace(self, given=given, result=Number(name, self.result.value, unit))


def symbols_of(working: Working) -> tuple[dict[str, str], dict[str, str]]:
    """Give the symbols of a working's equation: by the input that each stands for, and in words.

    Returns
    -------
    (dict, dict)
        Input name to its symbols, as in {"slope": "b"}; symbol to what it is, where no number put
        in stands for it.
    """
    if working.method and working.method not in _METHODS:
        all_methods()
    found = _METHODS.get(working.method)
    stands: dict[str, str] = {}
    words: dict[str, str] = {}
    given = {n.name for n in working.given}
    for symbol, what in (found.symbols if found else {}).items():
        if what in given:
            stands[what] = f"{stands[what]}, {symbol}" if what in stands else symbol
        else:
            words[symbol] = what.replace("_", " ")
    return stands, words


@cache
def _defaults(function: Callable[..., Any]) -> tuple[tuple[str, float], ...]:
    """Give the parameters of a function that are numbers when they are left out."""
    return tuple(
        (p.name, p.default)
        for p in inspect.signature(function).parameters.values()
        if isinstance(p.default, int | float) and not isinstance(p.default, bool)
    )


def _left_out(function: Callable[..., Any], given: set[str]) -> tuple[Number, ...]:
    return tuple(Number(k, v, "") for k, v in _defaults(function) if k not in given)
