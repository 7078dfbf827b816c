"""A plan while it is worked out: each stage is told as it stands, and a newer wish ends it."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from hillwright.answers.model import Answer
from hillwright.digest import digest
from hillwright.job.model import OpenJob
from hillwright.memo import Memo
from hillwright.plan import STAGES, Plan, work_out
from hillwright.rooms import Rooms
from hillwright.web.packed import Made
from hillwright.web.partlist import LAST, PARTS
from hillwright.web.standing import ROOM, NotYet, Standing

T = TypeVar("T")
Tell = Callable[[str, dict[str, Any]], None]


class LiveMemo(Memo):
    """Results of stages, each told as it stands.

    Parameters
    ----------
    tell : callable
        Told "working" as a stage is worked out anew, "stage" with the parts that changed.
    look : callable
        Called between stages; may raise to end the plan.
    """

    def __init__(self, tell: Tell, look: Callable[[], None], most: int = 200) -> None:
        super().__init__(most)
        self.standing = Standing()
        self._tell, self._look = tell, look
        self._sent: dict[str, str] = {}
        self._stand: set[str] = set()
        self._told: tuple[Any, tuple[str, Made]] | None = None
        self._first: dict[str, dict[str, Any]] = {}

    def plan(self, opened: OpenJob) -> tuple[Plan, dict[str, str], float]:
        """Work a job out; give the plan, the digest of every part, and the time it took [s]."""
        start = time.perf_counter()
        self.standing.begin(opened)
        found = work_out(opened, self)
        parts = self.whole()
        return found, parts, time.perf_counter() - start

    def whole(self) -> dict[str, str]:
        """Give the digest of every part that stands, and tell those that were not told yet."""
        changed = self._changed(PARTS)
        if changed:
            self._tell("stage", {"stage": "done", "share": 1.0, **changed})
        self._sent = {name: key for name, key in self._sent.items() if name in self._stand}
        return dict(self._sent)

    def starts(self, name: str, known: bool) -> None:
        """Look for a newer wish, and tell what takes time."""
        self._look()
        if not known:
            self._tell("working", {"stage": name, "share": _share(name)})

    def answers(self, rooms: Rooms) -> tuple[Answer, ...]:
        """Give the answers as they were told: of the same rooms."""
        return self.standing.answered()

    def early(self, name: str, work: Callable[..., T]) -> Callable[..., T]:
        """Have a quick result told too; it says that a better one follows."""
        return partial(work, early=First(self, name, self._first.setdefault(name, {})))

    def first(self, name: str, result: object) -> None:
        """Tell the parts that a first look at a stage changes."""
        self._look()
        self.standing.stands(ROOM.get(name, name), result, digest(result))
        changed = self._changed([part for part in PARTS if part not in LAST])
        self._tell("stage", {"stage": name, "share": _share(name), "refining": True, **changed})

    def stands(self, name: str, result: object) -> None:
        """Tell the parts that changed with this stage."""
        self._look()
        self.standing.stands(ROOM.get(name, name), result, self.content(result))
        changed = self._changed([part for part in PARTS if part not in LAST])
        if changed:
            self._tell("stage", {"stage": name, "share": _share(name, 1), **changed})

    def _changed(self, names: Iterable[str]) -> dict[str, Any]:
        """Give the parts that are not what was sent: their digests and their bytes."""
        digests: dict[str, str] = {}
        bodies: dict[str, Made] = {}
        stand: set[str] = set()
        for name in names:
            try:
                key, made = self._answered() if name == "answers" else self._part(name)
            except NotYet:
                continue
            stand.add(name)
            if self._sent.get(name) != key:
                self._sent[name] = digests[name] = key
                bodies[key] = made
        self._stand = stand
        return {"parts": digests, "bodies": bodies} if digests else {}

    def _part(self, name: str) -> tuple[str, Made]:
        return self.standing.made(f"part {name}", _with_digest(name))

    def _answered(self) -> tuple[str, Made]:
        """Give the answers: they remember those of the plan before, so no room is their key."""
        told = (self.standing.answered(), self.standing.said())
        same = self._told is not None and _same(told, self._told[0])
        if self._told is None or not same:
            self._told = (told, _with_digest("answers")(self.standing))
        return self._told[1]


@dataclass(frozen=True)
class First:
    """Where a stage tells a first look, and what it keeps for the next one."""

    memo: LiveMemo
    stage: str
    kept: dict[str, Any]

    def __call__(self, result: object) -> None:
        """Tell it."""
        self.memo.first(self.stage, result)


def _same(one: tuple[tuple[Any, ...], ...], other: tuple[tuple[Any, ...], ...]) -> bool:
    return all(
        len(a) == len(b) and all(x is y or x == y for x, y in zip(a, b, strict=True))
        for a, b in zip(one, other, strict=True)
    )


def _with_digest(name: str) -> Callable[[Standing], tuple[str, Made]]:
    def make(standing: Standing) -> tuple[str, Made]:
        made = PARTS[name](standing)
        state = hashlib.blake2b(made.body, digest_size=16, person=b"part")
        return state.hexdigest(), made

    return make


def _share(stage: str, after: int = 0) -> float:
    if stage not in STAGES:
        return 0.0
    return round((STAGES.index(stage) + after) / len(STAGES), 3)
