"""The work as it was planned: jobs, stages, stations, clamps, people, and the world they stand in."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from shoptrack.engine.shapes.calendar import Calendar
from shoptrack.engine.shapes.dated import Dated, in_force
from shoptrack.engine.shapes.edges import Edge
from shoptrack.engine.shapes.recipes import Recipe, Room

Attendance = Literal["hands-on", "within earshot", "none"]
Interruption = Literal["any", "lunch", "none"]


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of thumb: set-up minutes, and minutes per unit of the stage's measure."""

    setup_min: float
    rate_min: float

    def minutes(self, quantity: float) -> float:
        """Minutes that the rule of thumb gives for a quantity."""
        return self.setup_min + self.rate_min * quantity


@dataclass(frozen=True, slots=True)
class Need:
    """What must be done before: a stage of the same job, whole or by the rounds that are ready.

    ``least_wait_min`` and ``greatest_wait_min`` are wall-clock minutes after it.
    """

    stage: int
    by_rounds: bool = False
    least_wait_min: float = 0.0
    greatest_wait_min: float | None = None


@dataclass(frozen=True, slots=True)
class ClampNeed:
    """Clamps of one pool held while a round cures: for the whole stage, or for each piece of a round."""

    pool: int
    count: int
    per_piece: bool = False


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of a job as it was planned.

    ``quantity`` is in ``unit``; ``rounds`` True when parts of it are done with their own wait, each
    round carrying a count of the quantity. ``hands_at_min`` are minutes into a machine's run at which it
    needs hands. ``recipes`` is the glue or finish used, by date, already narrowed to this stage's joint.
    ``removed``: taken out of the job; it is here because the log speaks of it, and is no open work.
    ``kind_id`` numbers the kind that ``kind`` names; ``material`` the wood that is cut. ``shares`` say in
    which part of its minutes each of the ``tools`` cuts; none where nobody said: in all of them.
    """

    id: int
    job: int
    position: int
    kind: str
    name: str
    unit: str
    quantity: float
    rule: Dated[Rule]
    attendance: Attendance = "hands-on"
    interruption: Interruption = "any"
    rounds: bool = False
    needs: tuple[Need, ...] = ()
    station: int | None = None
    room: int | None = None
    clamps: tuple[ClampNeed, ...] = ()
    tools: tuple[int, ...] = ()
    recipes: Dated[Recipe] = ()
    people: int = 1
    dusty: bool = False
    hands_at_min: tuple[float, ...] = ()
    settings: str = ""
    caution: str = ""
    removed: bool = False
    kind_id: int = 0
    material: int | None = None
    shares: tuple[float, ...] = ()

    @property
    def cutting(self) -> tuple[tuple[int, float], ...]:
        """Each of its tools with the part of its minutes in which it cuts."""
        shares = self.shares or (1.0,) * len(self.tools)
        return tuple(zip(self.tools, shares, strict=True))

    def rule_min(self, at: datetime) -> float:
        """Minutes the rule of thumb in force at ``at`` gives for the whole stage."""
        return in_force(self.rule, at).minutes(self.quantity)


@dataclass(frozen=True, slots=True)
class Job:
    """One order; ``pattern`` is what it was made from, where it was."""

    id: int
    tag: str
    title: str
    customer: str
    pieces: int
    promised_on: date | None
    must_keep: bool = False
    added_at: datetime | None = None
    closed_at: datetime | None = None
    pattern: int | None = None


@dataclass(frozen=True, slots=True)
class Station:
    """A machine that one stage holds at a time, or a place with room for several (``places``).

    ``through_cure``: what is made there stays until it may be worked on again, as on a drying rack.
    """

    id: int
    name: str
    room: int | None = None
    makes_dust: bool = False
    places: int = 1
    through_cure: bool = False


@dataclass(frozen=True, slots=True)
class Pool:
    """Clamps of one reach, with how many are owned, by date."""

    id: int
    name: str
    reach_mm: int
    owned: Dated[int]


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works here; ``never`` are the kinds of stage, by id, that are not theirs to do."""

    id: int
    name: str
    retired: bool = False
    never: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Awaited:
    """Something a job waits for that is not the shop's to hurry: a deposit, a drawing, lumber, an edge.

    ``before``: the stage that may not start without it, None the whole job. ``agreed_on`` is the day that the
    promise counted on, ``expected_on`` when it is looked for now (None: nobody knows), ``came_on`` when it
    came.
    """

    id: int
    job: int
    what: str
    before: int | None = None
    agreed_on: date | None = None
    expected_on: date | None = None
    came_on: date | None = None


@dataclass(frozen=True, slots=True)
class Pin:
    """A stage that a person said shall be begun on a day, by somebody (None: anybody who can)."""

    stage: int
    on: date
    person: int | None = None


@dataclass(frozen=True, slots=True)
class World:
    """The shop as it was set up: all that replay and the marks read besides the log."""

    calendar: Calendar
    people: Mapping[int, Person]
    jobs: Mapping[int, Job]
    stages: Mapping[int, Stage]
    stations: Mapping[int, Station] = field(default_factory=dict)
    pools: Mapping[int, Pool] = field(default_factory=dict)
    rooms: Mapping[int, Room] = field(default_factory=dict)
    tools: Mapping[int, str] = field(default_factory=dict)
    edges: Mapping[int, Edge] = field(default_factory=dict)
    wears: Mapping[int, Dated[float]] = field(default_factory=dict)
    awaited: tuple[Awaited, ...] = ()
    pins: Mapping[int, Pin] = field(default_factory=dict)
