"""The work to come as a problem of whole minutes, and a plan for it. All minutes count from one instant."""

from dataclasses import dataclass
from typing import Literal

from shoptrack.engine.shapes.work import Interruption

Minutes = tuple[tuple[int, int], ...]
"""Stretches in order, none touching the next: from a minute, up to a minute."""

Uses = tuple[tuple[int, int], ...]
"""(resource by its place in the problem, how many of it)."""


@dataclass(frozen=True, slots=True)
class Worker:
    """Somebody who can be given work.

    ``spans`` are the minutes at which they are at work; ``days`` says of each span which day it belongs to:
    between two spans of one day lies a lunch, between others a night or more. ``person`` is the caller's id.
    """

    person: int
    name: str
    spans: Minutes
    days: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Resource:
    """Something of which there is so much at a time: a station, clamps of a reach or longer, a tool.

    While ``closed`` there is none of it.
    """

    name: str
    capacity: int
    closed: Minutes = ()


@dataclass(frozen=True, slots=True)
class After:
    """A task that must end before: from its end to the start at least and at most so many minutes.

    ``least`` may be negative (they overlap), as published instances with time lags ask.
    """

    task: int
    least: int = 0
    greatest: int | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """What is left of a stage, or of one round of it (``part`` counts from 0).

    The first ``hands`` minutes of its ``work`` hold ``crew`` people at once, the same to the end of them
    (None: all of the work; 0 where ``crew`` is 0). The rest of the work goes on while anybody is at work
    where it is ``watched``, else around the clock. ``pause``: the hours that it needs may be broken by lunch
    and night ("any"), by lunch ("lunch"), or not at all ("none"); what goes on around the clock never pauses.
    It begins at a minute at which those it needs are at work. A person at its hands has no other task from
    its start to the end of the hands.

    ``uses`` are held from its start to its end. ``keeps`` (clamps, a place to cure in) are held from its
    start until somebody is at work at or after ``off`` minutes past its end (where there are no workers at
    all: until that minute). In one ``room`` no ``dusty`` task is under way from the start of a task with
    ``wet`` minutes until those are over, counted from its end. It starts within ``earliest`` to ``latest``.

    ``begun``: it is in hand now, by these workers (none of them: it runs by itself): it starts at 0 whatever
    else is said here, goes on at every hour at which they are at work (around the clock where they never
    are), and takes its resources, be they enough or not. ``tail`` minutes after its end its part
    of the order is ready. ``able``: the workers who may do it, None everybody. ``stage`` is the caller's id.
    """

    order: int
    work: int
    name: str = ""
    stage: int = 0
    part: int = 0
    crew: int = 1
    hands: int | None = None
    watched: bool = False
    able: frozenset[int] | None = None
    pause: Interruption = "any"
    uses: Uses = ()
    keeps: Uses = ()
    off: int = 0
    after: tuple[After, ...] = ()
    earliest: int = 0
    latest: int | None = None
    room: int | None = None
    dusty: bool = False
    wet: int = 0
    begun: tuple[int, ...] | None = None
    tail: int = 0

    @property
    def hands_min(self) -> int:
        """The minutes that hold its crew."""
        if self.crew == 0:
            return 0
        return self.work if self.hands is None else self.hands


@dataclass(frozen=True, slots=True)
class Order:
    """A job to be planned: what a minute past ``due`` weighs; None: nothing was promised.

    It is ready when the last of its tasks has ended and its tail is over. ``job`` is the caller's id.
    """

    name: str
    due: int | None = None
    weight: int = 1
    job: int = 0


@dataclass(frozen=True, slots=True)
class Problem:
    """All that a plan is made from. Nothing ends after ``horizon``; tasks name others by their place."""

    tasks: tuple[Task, ...]
    orders: tuple[Order, ...]
    workers: tuple[Worker, ...] = ()
    resources: tuple[Resource, ...] = ()
    horizon: int = 1_000_000


@dataclass(frozen=True, slots=True)
class Placed:
    """A task in its place: ``hands_end`` is when its people are free again (its start, where it has none)."""

    task: int
    start: int
    hands_end: int
    end: int
    workers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Left:
    """A task that is not in the plan: a word for why, and a sentence that names the stage and the way out.

    "after": it waits for another that is not in the plan either.
    """

    task: int
    why: Literal["people", "able", "resource", "hours", "horizon", "after", "ring"]
    sentence: str


@dataclass(frozen=True, slots=True)
class Missed:
    """A greatest wait that is not kept: the task that comes too late, after which other, and how much.

    ``after`` is the task itself where its own ``latest`` is not kept.
    """

    task: int
    after: int
    late_min: int
    sentence: str = ""


@dataclass(frozen=True, slots=True, order=True)
class Worth:
    """What a plan costs: missed waits, weighted minutes of lateness, minutes until each order is ready."""

    missed: int
    late: int
    flow: int


@dataclass(frozen=True, slots=True)
class Plan:
    """A plan: ``placed`` in the order of starts, what is ``left`` out of it, the waits ``missed``.

    ``ready`` is when each order is, None for one with nothing planned. ``by`` says which engine found it,
    ``proven`` that none is better.
    """

    placed: tuple[Placed, ...]
    worth: Worth
    ready: tuple[int | None, ...]
    left: tuple[Left, ...] = ()
    missed: tuple[Missed, ...] = ()
    by: Literal["rule", "search", "solver"] = "rule"
    proven: bool = False

    @property
    def priority(self) -> tuple[int, ...]:
        """The tasks in the order in which the plan begins them."""
        return tuple(each.task for each in self.placed)
