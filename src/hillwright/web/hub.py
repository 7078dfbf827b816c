"""What is told of one job, in order, to every page that listens; one that was away catches up."""

from __future__ import annotations

import asyncio
import json
import threading
import uuid
from collections import deque
from collections.abc import AsyncIterator
from typing import Any, NamedTuple

KEPT = 500  # events that a page may have missed
ALIVE = 15.0  # a line is sent this often, so that a dead connection is noticed [s]


class Event(NamedTuple):
    """One thing told: its place in the order, what kind, and what."""

    number: int
    kind: str
    data: dict[str, Any]


class Hub:
    """Events of one job. `tell` may be called from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._events: deque[Event] = deque(maxlen=KEPT)
        self._next = 1
        self._start = uuid.uuid4().hex[:8]  # an id of another run of the service means nothing here
        self._waiting: set[tuple[asyncio.AbstractEventLoop, asyncio.Event]] = set()

    def tell(self, kind: str, data: dict[str, Any]) -> None:
        """Tell every page that listens."""
        with self._lock:
            self._events.append(Event(self._next, kind, data))
            self._next += 1
            waiting = list(self._waiting)
        for loop, wake in waiting:
            if not loop.is_closed():
                loop.call_soon_threadsafe(wake.set)

    def since(self, number: int) -> list[Event] | None:
        """Give what was told after an event; None where some of it is no longer kept."""
        with self._lock:
            first = self._events[0].number if self._events else self._next
            if number + 1 < first or number >= self._next:
                return None
            return [e for e in self._events if e.number > number]

    def listened(self) -> bool:
        """Tell whether any page listens."""
        with self._lock:
            return bool(self._waiting)

    def last(self) -> int:
        """Give the number of the newest event."""
        with self._lock:
            return self._next - 1

    def id(self) -> str:
        """Give the id of the newest event: listen from after it."""
        return f"{self._start}-{self.last()}"

    def heard(self, last_id: str) -> int | None:
        """Give the number that an id of an event stands for; None where it is of another run."""
        start, _, number = last_id.partition("-")
        return int(number) if start == self._start and number.isdigit() else None

    async def listen(self, last_id: str = "") -> AsyncIterator[str]:
        """Give events as text, from now on or from after the one heard last, for ever.

        An event "again" says that some were missed: what stands is to be asked for anew.
        """
        wake = asyncio.Event()
        mine = (asyncio.get_running_loop(), wake)
        with self._lock:
            self._waiting.add(mine)
        try:
            at = self.heard(last_id)
            missed = bool(last_id) and (at is None or self.since(at) is None)
            if at is None or missed:
                at = self.last()
            yield "retry: 1000\n\n" + (self._text("again", {}, at) if missed else "")
            while True:
                wake.clear()
                events = self.since(at)
                if events is None:  # told faster than this page takes it
                    at = self.last()
                    yield self._text("again", {}, at)
                    continue
                for event in events:
                    at = event.number
                    yield self._text(event.kind, event.data, at)
                try:
                    await asyncio.wait_for(wake.wait(), ALIVE)
                except TimeoutError:
                    yield ": still here\n\n"
        finally:
            with self._lock:
                self._waiting.discard(mine)

    def _text(self, kind: str, data: dict[str, Any], number: int) -> str:
        body = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
        return f"id: {self._start}-{number}\nevent: {kind}\ndata: {body}\n\n"
