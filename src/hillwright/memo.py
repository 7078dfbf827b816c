"""What is worked out once is known: the results of stages, by what went into them."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from hillwright.answers.model import Answer
from hillwright.answers.ten import answers
from hillwright.digest import digest
from hillwright.rooms import Rooms

T = TypeVar("T")


class Memo:
    """Results of stages by the digest of what went in; the oldest are forgotten first."""

    def __init__(self, most: int = 160) -> None:
        if most < 1:
            raise ValueError("a memo keeps at least one result")
        self._kept: OrderedDict[str, Any] = OrderedDict()
        self._digests: dict[int, str] = {}  # of results that are kept, by identity
        self._most = most
        self.redone: list[str] = []  # names of the stages that ran, in order

    def stage(self, name: str, work: Callable[..., T], *inputs: object) -> T:
        """Give the stage's result for these inputs, working it out only if it is not known."""
        key = self.key(name, *inputs)
        self.starts(name, key in self._kept)
        if key not in self._kept:
            self.keep(key, work(*inputs))
            self.redone.append(name)
        self._kept.move_to_end(key)
        found: T = self._kept[key]
        self.stands(name, found)
        return found

    def starts(self, name: str, known: bool) -> None:
        """Told as a stage is come to; here is the place to stop between two."""

    def answers(self, rooms: Rooms) -> tuple[Answer, ...]:
        """Answer the ten questions once every room stands."""
        return answers(rooms)

    def early(self, name: str, work: Callable[..., T]) -> Callable[..., T]:
        """Give the work of a stage that can show a quick result before its own."""
        return work

    def stands(self, name: str, result: object) -> None:
        """Told as the result of a stage stands, fresh or known."""

    def key(self, name: str, *inputs: object) -> str:
        """Give the digest of a stage's inputs; results that are kept have theirs already."""
        # by content in both ways: an empty tuple that one stage gives is another's input too
        return digest(name, *map(self.content, inputs))

    def keep(self, key: str, result: object) -> None:
        """Keep a result, and forget the oldest where they are too many."""
        self._kept[key] = result
        self._digests[id(result)] = digest(result)
        while len(self._kept) > self._most:
            _, gone = self._kept.popitem(last=False)
            if not any(gone is other for other in self._kept.values()):
                self._digests.pop(id(gone), None)

    def content(self, result: object) -> str:
        """Give the digest of an input; a result that is kept has its own already."""
        return self._digests.get(id(result)) or digest(result)
