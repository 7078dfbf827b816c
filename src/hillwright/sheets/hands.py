"""Files made side by side: each hand takes the next one that waits."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from queue import SimpleQueue
from threading import Event, Thread

from hillwright.sheets.helpers import Gone

MOST = 4  # hands of this process
Makers = Mapping[str, Callable[[Path], None]]  # by place, as in "crew/rows.csv"
Hand = Callable[[str, Path], None]  # makes the file of a place at a path


def make_all(
    folder: Path,
    makers: Makers,
    tell: Callable[[str], None],
    slow: Sequence[tuple[str, ...]] = (),
    others: Sequence[Hand] = (),
) -> None:
    """Make files; the first failure ends it, once everybody has put down what they were at.

    Setting pages leaves the interpreter free, so that threads of this process help as well; beside
    ``others`` one is enough, as each of them has a core of its own.

    Parameters
    ----------
    folder : Path
        Under which each place goes.
    makers : mapping
        What writes each file.
    tell : callable
        Told, in this thread, of each file that is begun.
    slow : sequence
        What is begun first, and what one hand makes one after the other.
    others : sequence
        Who else makes files. One that is `Gone` leaves what it was at to the rest.
    """
    waiting = deque(_in_turn(makers, slow))
    heard: SimpleQueue[str | BaseException | None] = SimpleQueue()
    ended = Event()

    def mine(place: str, path: Path) -> None:
        makers[place](path)

    def work(hand: Hand) -> None:
        try:
            while waiting and not ended.is_set():
                try:
                    places = deque(waiting.popleft())
                except IndexError:  # another was quicker
                    break
                while places and not ended.is_set():
                    heard.put(places[0])
                    try:
                        hand(places[0], folder / places[0])
                    except Gone:
                        waiting.appendleft(tuple(places))
                        return
                    places.popleft()
        except BaseException as error:
            ended.set()
            heard.put(error)
        finally:
            heard.put(None)

    own = 1 if others else min(MOST, os.cpu_count() or 1)
    threads = [Thread(target=work, args=(hand,)) for hand in (*[mine] * own, *others)]
    for thread in threads:
        thread.start()
    failed: BaseException | None = None
    told: set[str] = set()
    try:
        running = len(threads)
        while running:
            said = heard.get()
            if said is None:
                running -= 1
            elif isinstance(said, BaseException):
                failed = failed or said
            elif said not in told:
                told.add(said)
                tell(said)
    finally:
        ended.set()
        for thread in threads:
            thread.join()
    if failed:
        raise failed
    for places in waiting:  # left by one that was gone when nobody else was there any more
        for place in places:
            makers[place](folder / place)


def _in_turn(makers: Makers, slow: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Give what is made together, the slowest first."""
    first = [tuple(p for p in places if p in makers) for places in slow]
    named = {place for places in first for place in places}
    return [places for places in first if places] + [(p,) for p in makers if p not in named]
