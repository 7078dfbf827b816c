"""What the work plan gives: tasks in order, when each is done, by whom, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from hillwright.arrays import Array, Index, Mask
from hillwright.crew.assign import Stint, Team
from hillwright.crew.people import Person
from hillwright.crew.tasks import Task
from hillwright.crew.wayup import BrigadeDay
from hillwright.crew.workdays import SLOT, Calendar, Hours
from hillwright.crew.works import Work
from hillwright.method import Working


@dataclass(frozen=True, slots=True)
class Crew:
    """What the work plan must know of the people: SI, minutes after midnight, dates."""

    people: tuple[Person, ...]
    tools: tuple[tuple[str, int], ...]
    hours: Hours
    learning: float = 0.93  # Crawford's rate of the work that is learned [-]
    called: str = ""  # day that the utilities were given notice, "" not yet
    finish_by: str = ""  # day to be done by, "" none
    rain: float = 0.0  # share of the days lost to weather [-]


@dataclass(frozen=True, slots=True, eq=False)
class WorkPlan:
    """n tasks scheduled with the crew that is there; times in slots of working time."""

    crew: Crew
    works: tuple[Work, ...]  # the kinds of work, with the crew's own rates
    tasks: tuple[Task, ...]
    start: Index  # (n,) [slots]
    finish: Index  # (n,)
    teams: tuple[Team, ...]  # (n,) who does each, by kind of work
    path: Mask  # (n,) on the longest path, with hands without limit
    slack: Array  # (n,) how far each can slip on that path [slots]
    makespan: int  # [slots]
    bound: int  # no order of work is shorter [slots]
    longest: int  # the longest path [slots]
    short_of: str  # kinds of work whose people set the bound; "" the path does
    proven: bool  # by the solver
    calendar: Calendar
    stints: tuple[Stint, ...]  # who does what
    drawn: tuple[float, float, float]  # P10, P50, P90 of the length [slots]
    in_time: float  # chance to be done by the day asked for; NaN where none is [-]
    call_by: str  # last day for the notice to the utilities, "" where no day is known
    stopped: str  # why the work cannot be done with this crew; "" it can
    workings: tuple[Working, ...]
    warnings: tuple[str, ...]
    brigade: BrigadeDay | None = None  # a day of it, simulated when the schedule is proven

    @property
    def gap(self) -> float:
        """Share of the schedule above the bound [-]."""
        return float((self.makespan - self.bound) / max(self.makespan, 1))

    @property
    def days(self) -> int:
        """Working days that it takes."""
        return int(self.calendar.day[self.makespan - 1]) + 1 if self.makespan else 0

    @property
    def hours(self) -> float:
        """Working hours from first to last [h]."""
        return self.makespan * SLOT / 60

    @property
    def person_hours(self) -> float:
        """Hours of all people at work [h]."""
        people = (sum(n for _, n in team) for team in self.teams)
        slots = (self.finish - self.start).tolist()
        return float(sum(n * s for n, s in zip(people, slots, strict=True)) * SLOT / 60)

    def work(self, task: Task) -> Work:
        """Give the kind of work of a task."""
        return next(w for w in self.works if w.id == task.work)
