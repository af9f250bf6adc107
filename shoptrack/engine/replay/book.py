"""The working page of a replay: what is open while the entries are read one after another."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from shoptrack.engine.shapes import (
    Aside,
    Deed,
    Entry,
    Question,
    Reading,
    Recipe,
    Spoil,
    Stage,
    World,
    in_force,
)


@dataclass(slots=True)
class Sitting:
    """A person's stretch from one start to what ended it; its set of stages may shrink on the way."""

    person: int
    start: datetime
    start_id: str
    shop: str = ""
    limit_min: float | None = None
    pieces: list["Piece"] = field(default_factory=list)
    end: datetime | None = None
    ended_by: str = ""
    joined: bool = False
    came_from: tuple[int, ...] = ()

    @property
    def stages(self) -> tuple[int, ...]:
        """The stages it is on now, empty for shop time."""
        return self.pieces[-1].stages if self.pieces else ()


@dataclass(slots=True)
class Piece:
    """The part of a sitting during which its set of stages was the same."""

    sitting: Sitting
    passes: tuple["Draft", ...]
    start: datetime
    end: datetime | None = None
    stages: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        self.stages = tuple(d.stage.id for d in self.passes)


@dataclass(slots=True)
class RunDraft:
    """A run of a watched machine."""

    started_by: int
    start: datetime
    end: datetime | None = None


@dataclass(slots=True)
class RoundDraft:
    """A round while it may still change."""

    job: int
    number: int
    count: float
    cured_from: datetime
    entry: str
    assumed: bool = False
    from_finish: bool = False
    spread_at: datetime | None = None
    done_at: datetime | None = None
    clamps: dict[int, int] = field(default_factory=dict)
    clamps_set: tuple[tuple[int, int], ...] = ()
    unclamped_at: datetime | None = None
    unclamp_assumed: bool = False
    tended: set[str] = field(default_factory=set)
    judged: str = ""
    told: str = ""


@dataclass(slots=True)
class Draft:
    """One pass of one stage while it may still change."""

    stage: Stage
    redo: int
    quantity: float
    after_spoil: str = ""
    started_at: datetime | None = None
    finished_at: datetime | None = None
    pieces: list[Piece] = field(default_factory=list)
    runs: list[RunDraft] = field(default_factory=list)
    rounds: list[RoundDraft] = field(default_factory=list)
    spread_at: datetime | None = None
    spread_id: str = ""
    mend_min: float = 0.0
    mend_cents: int = 0
    said_min: float = 0.0
    no_start: str = ""
    usual_said: bool = False
    early: bool = False

    @property
    def begun(self) -> bool:
        """Whether anything was done on it."""
        return self.started_at is not None or self.finished_at is not None or bool(self.rounds)

    @property
    def remaining(self) -> float:
        """How much of the quantity is in no round yet."""
        return max(0.0, self.quantity - sum(r.count for r in self.rounds))

    def recipe(self, at: datetime) -> Recipe | None:
        """The glue or finish in force."""
        return in_force(self.stage.recipes, at) if self.stage.recipes else None


@dataclass(slots=True)
class Help:
    """Minutes that one person gave to what another had in hand."""

    helper: int
    minutes: float
    at: datetime
    drafts: tuple[Draft, ...]
    entry: str


class Book:
    """All that is open, and all that was written, as the entries are read.

    ``jobs`` (default all of the world) are those whose entries are all read. ``dull`` are the tools of which
    an edge was found dull, with nothing done about it since.
    """

    def __init__(self, world: World, jobs: Collection[int] | None = None) -> None:
        self.world = world
        self.jobs = frozenset(world.jobs if jobs is None else jobs)
        self.passes: dict[int, list[Draft]] = {s.id: [Draft(s, 0, s.quantity)] for s in world.stages.values()}
        self.open: dict[int, Sitting] = {}
        self.sittings: list[Sitting] = []
        self.questions: dict[tuple[str, str], Question] = {}
        self.backs: dict[int, tuple[str, str]] = {}
        self.answers: dict[tuple[str, str], Entry] = {}
        self.asides: dict[int, Aside] = {}
        self.spoils: list[Spoil] = []
        self.deeds: list[Deed] = []
        self.dull: set[int] = set()
        self.readings: list[Reading] = []
        self.doubted: dict[str, Entry] = {}
        self.helps: list[Help] = []
        self.wall: dict[int, int] = {}
        self.counted_at: dict[int, datetime] = {}
        self._held: dict[int, dict[int, int]] = {}
        self.notes: dict[str, str] = {}
        self.last_taps: dict[int, Entry] = {}
        self.by_job: dict[int, list[Stage]] = {}
        for stage in world.stages.values():
            self.by_job.setdefault(stage.job, []).append(stage)
        self._after: dict[int, frozenset[int]] = {}

    def current(self, stage: int) -> Draft:
        """The first unfinished pass of a stage, else its last."""
        passes = self.passes[stage]
        return next((p for p in passes if p.finished_at is None), passes[-1])

    def known(self, stages: Iterable[int]) -> list[int]:
        """Those of the stages that this world has."""
        return [s for s in stages if s in self.passes]

    def at_it(self, stage: int) -> list[Sitting]:
        """The open sittings on a stage."""
        return [s for s in self.open.values() if stage in s.stages]

    def by_person(self) -> dict[int, list[Sitting]]:
        """Each person's sittings in the order of their starts; one ends before the next begins."""
        own: dict[int, list[Sitting]] = {}
        for sitting in self.sittings:
            own.setdefault(sitting.person, []).append(sitting)
        return own

    def hold(self, pool: int, job: int, count: int) -> None:
        """A job holds so many clamps of a pool more, or fewer where the count is below nought."""
        by_job = self._held.setdefault(pool, {})
        by_job[job] = by_job.get(job, 0) + count

    def held(self, pool: int) -> int:
        """How many clamps of a pool all jobs hold."""
        return sum(self._held.get(pool, {}).values())

    def held_by(self, pool: int) -> Mapping[int, int]:
        """How many clamps of a pool each job holds that ever held some."""
        return self._held.get(pool, {})

    def before(self, stage: int) -> frozenset[int]:
        """All stages that come before a stage, near and far."""
        if stage not in self._after:
            self._after[stage] = frozenset()  # a ring, which the store refuses, ends here
            near = [n.stage for n in self.world.stages[stage].needs if n.stage in self.passes]
            self._after[stage] = frozenset(near).union(*(self.before(s) for s in near))
        return self._after[stage]

    def drafts(self) -> Iterator[Draft]:
        """Every pass of every stage."""
        for passes in self.passes.values():
            yield from passes

    def remark(self, entry: str, words: str) -> None:
        """Write a remark beside an entry."""
        self.notes[entry] = f"{self.notes[entry]}; {words}" if entry in self.notes else words
