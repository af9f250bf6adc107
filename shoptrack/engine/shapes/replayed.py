"""The state of the work as the log tells it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from shoptrack.engine.shapes.edges import Deed
from shoptrack.engine.shapes.log import Entry
from shoptrack.engine.shapes.recipes import Cure, MarkTime, Reading

State = Literal["waiting", "ready", "in hand", "running", "set down", "curing", "put aside", "done"]


@dataclass(frozen=True, slots=True)
class Stint:
    """One person's unbroken stretch on one stage (one of ``together`` stages done at once).

    ``counted`` are the intervals that count (the shop's hours, answers applied); ``attended_min`` is this
    stage's share of them less help given elsewhere. ``end`` None: still open. ``start_id`` is its entry.
    """

    person: int
    stage: int
    together: tuple[int, ...]
    start: datetime
    end: datetime | None
    start_id: str
    counted: tuple[tuple[datetime, datetime], ...]
    attended_min: float
    ended_by: str = ""


@dataclass(frozen=True, slots=True)
class Run:
    """One unbroken run of a watched machine; ``end`` None while it goes on. Minutes skip closed nights."""

    stage: int
    start: datetime
    end: datetime | None
    machine_min: float
    started_by: int


@dataclass(frozen=True, slots=True)
class Round:
    """A part of a stage that was closed or finished, with its own wait.

    ``cured_from`` is the instant its marks count from. ``assumed``: nobody said "closed"; it is taken from
    the tap that left the stage. ``clamps`` holds (pool, clamps still held). ``entry`` is the tap's id.
    ``tended`` are mark roles somebody said were seen to. ``judged`` is a person's word on a doubtful joint.
    """

    stage: int
    redo: int
    number: int
    count: float
    cured_from: datetime
    entry: str
    assumed: bool = False
    spread_at: datetime | None = None
    done_at: datetime | None = None
    clamps: tuple[tuple[int, int], ...] = ()
    clamps_set: tuple[tuple[int, int], ...] = ()
    unclamped_at: datetime | None = None
    unclamp_assumed: bool = False
    tended: frozenset[str] = frozenset()
    judged: str = ""
    told: str = ""


@dataclass(frozen=True, slots=True)
class Pass:
    """One way through a stage: the first, or a redo for the pieces that were spoiled.

    ``quantity`` is this pass's share in the stage's unit, confirmed by the finish where it was said.
    ``attended_min`` is the sum over people, ``elapsed_min`` the union, ``machine_min`` the watched runs,
    ``mend_min`` and ``mend_cents`` what mending added (inside neither). ``why_not``: why it does not teach.
    ``aside_by`` is the entry that put it aside. ``after_spoil`` is the entry that opened this redo.
    """

    stage: int
    job: int
    redo: int
    quantity: float
    started_at: datetime | None
    finished_at: datetime | None
    stints: tuple[Stint, ...]
    runs: tuple[Run, ...]
    rounds: tuple[Round, ...]
    attended_min: float
    elapsed_min: float
    machine_min: float
    mend_min: float = 0.0
    mend_cents: int = 0
    teaches: bool = False
    why_not: str = ""
    together: tuple[int, ...] = ()
    aside_by: str = ""
    early: bool = False
    after_spoil: str = ""

    @property
    def open_stints(self) -> tuple[Stint, ...]:
        """The stints that nobody has ended."""
        return tuple(s for s in self.stints if s.end is None)

    @property
    def running(self) -> bool:
        """Whether a watched machine is at work on it."""
        return any(run.end is None for run in self.runs)

    @property
    def count_done(self) -> float:
        """How much of the quantity is in rounds, or all of it once finished."""
        if self.finished_at is not None:
            return self.quantity
        return min(self.quantity, sum(r.count for r in self.rounds))


@dataclass(frozen=True, slots=True)
class Offer:
    """One answer that can be tapped: the choice that the answer entry carries and the words shown.

    With a ``tool`` it is no answer but an entry of kind ``edge``: the choice is what was found of its edge.
    """

    choice: str
    words: str
    minutes: float | None = None
    to_at: datetime | None = None
    tool: int | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """Something a person is asked until they answer or a late tap answers it.

    The answer is an entry of kind ``answer`` with ``of`` and ``asks`` as here. ``soft`` ones are offered
    on the Bench only ("worked through lunch") and not asked on the Floor.
    """

    of: str
    asks: str
    words: str
    offers: tuple[Offer, ...]
    at: datetime
    person: int | None = None
    stages: tuple[int, ...] = ()
    job: int | None = None
    soft: bool = False


@dataclass(frozen=True, slots=True)
class Now:
    """What one person is at: stages together, or shop time named by ``shop`` (then no stages)."""

    person: int
    stages: tuple[int, ...]
    since: datetime
    start_id: str
    shop: str = ""


@dataclass(frozen=True, slots=True)
class ShopStint:
    """A stretch of shop time: work on no job. ``counted`` are the intervals of it that count."""

    person: int
    name: str
    start: datetime
    end: datetime | None
    minutes: float
    counted: tuple[tuple[datetime, datetime], ...] = ()


@dataclass(frozen=True, slots=True)
class Aside:
    """A stage put aside: why, the day to look again, by which entry, and whether with its whole job."""

    stage: int
    at: datetime
    reason: str
    look_again_on: date | None
    entry: str = ""
    person: int | None = None
    text: str = ""
    whole_job: bool = False


@dataclass(frozen=True, slots=True)
class Spoil:
    """Pieces spoiled: how many of how many, found at, back to, and why."""

    entry: str
    at: datetime
    found_at: int
    way_back: int
    count: float
    out_of: float
    cause: str


@dataclass(frozen=True, slots=True)
class LogLine:
    """An entry as it reads in the book: the instant it counts at, and the entries that struck or moved it."""

    entry: Entry
    at: datetime
    struck_by: str = ""
    moved_by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Replayed:
    """The state of the work as the log tells it at ``now``.

    ``passes`` has every pass of every stage in the order of redo. ``free_clamps`` counts what hangs on the
    wall, by pool; a pool that lends to a shorter one has that taken off. ``notes`` are remarks by entry id.
    ``last_taps`` is each person's newest entry. ``deeds`` are those on edges that count, in order.
    """

    now: datetime
    passes: Mapping[int, tuple[Pass, ...]]
    people: Mapping[int, Now]
    shop_time: tuple[ShopStint, ...]
    questions: tuple[Question, ...]
    asides: Mapping[int, Aside]
    spoils: tuple[Spoil, ...]
    readings: tuple[Reading, ...]
    free_clamps: Mapping[int, int]
    notes: Mapping[str, str]
    last_taps: Mapping[int, Entry]
    deeds: tuple[Deed, ...] = ()

    def current(self, stage: int) -> Pass:
        """The pass that the next tap on this stage belongs to: the first unfinished, else the last."""
        passes = self.passes[stage]
        return next((p for p in passes if p.finished_at is None), passes[-1])


@dataclass(frozen=True, slots=True)
class Wait:
    """What a stage waits for: another stage to be done or cured, a person's word, a station, clamps.

    ``stage`` is the stage it waits for (or that holds the station); ``until_at`` where an instant is known.
    """

    why: Literal["not done", "curing", "doubtful", "put aside", "station", "clamps"]
    stage: int | None = None
    until_at: datetime | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """Where one stage stands at an instant.

    ``people`` have it in hand. ``until_at`` is when the state ends by itself (curing, a machine's program).
    ``waits`` are hard for a waiting stage; on a ready one they are what is taken just now (station, clamps).
    ``ready_count`` is how much of the quantity may be worked on now. ``doubtful``: a joint that someone must
    judge. ``cures`` has each round that still matters with its marks. Its own next round may not start before
    ``own_gate_at``.
    """

    stage: int
    state: State
    work: Pass
    people: tuple[int, ...] = ()
    until_at: datetime | None = None
    waits: tuple[Wait, ...] = ()
    ready_count: float = 0.0
    doubtful: bool = False
    cures: tuple[tuple[Round, Cure], ...] = ()
    own_gate_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Until:
    """A mark that ends and needs to be met: wipe off by, scrape by, recoat by; ``missed`` once it is past."""

    stage: int
    round: Round
    mark: MarkTime
    missed: bool
