"""Ids that taps speak of → those of them that this shop's book has; and a device's own line of taps."""

from bisect import bisect_left, insort
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session, aliased

from shoptrack.engine.shapes import Dated, Rule
from shoptrack.store.tables import (
    EdgeRow,
    EntryRow,
    EntryStageRow,
    JobRow,
    KeptRow,
    PatternRevisionRow,
    PersonRow,
    PoolRow,
    RoomRow,
    RuleRow,
    SetAsideRow,
    StageRow,
    TallyRow,
    ToolRow,
)

OTHER = aliased(StageRow)

NEAR = timedelta(days=2)
STARTS_BACK = 3
"""So many starts before an instant are looked at, since the last ones may have been struck or moved."""


@dataclass(frozen=True)
class Wanted:
    """The ids to look for."""

    stages: frozenset[int] = frozenset()
    jobs: frozenset[int] = frozenset()
    people: frozenset[int] = frozenset()
    pools: frozenset[int] = frozenset()
    rooms: frozenset[int] = frozenset()
    tools: frozenset[int] = frozenset()
    edges: frozenset[int] = frozenset()
    entries: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Known:
    """What was found: stages with their jobs, edges with their tools, entries with the instants they count
    from, the rest by id.
    """

    stages: Mapping[int, int] = field(default_factory=dict)
    jobs: frozenset[int] = frozenset()
    people: frozenset[int] = frozenset()
    pools: frozenset[int] = frozenset()
    rooms: frozenset[int] = frozenset()
    tools: frozenset[int] = frozenset()
    edges: Mapping[int, int] = field(default_factory=dict)
    entries: Mapping[str, datetime] = field(default_factory=dict)


def look_up(session: Session, wanted: Wanted) -> Known:
    """Those of the wanted ids that there are, by one query for each kind of thing asked about."""
    stages: dict[int, int] = {}
    if wanted.stages:
        chosen = select(StageRow.id, StageRow.job_id).where(StageRow.id.in_(wanted.stages))
        stages = {row.id: row.job_id for row in session.execute(chosen)}
    edges: dict[int, int] = {}
    if wanted.edges:
        fitting = select(EdgeRow.id, EdgeRow.tool_id).where(EdgeRow.id.in_(wanted.edges))
        edges = {row.id: row.tool_id for row in session.execute(fitting)}
    entries: dict[str, datetime] = {}
    if wanted.entries:
        spoken_of = select(EntryRow.id, EntryRow.at).where(EntryRow.id.in_(wanted.entries))
        entries = {row.id: row.at for row in session.execute(spoken_of)}
    return Known(
        stages=stages,
        jobs=_ids(session, JobRow, wanted.jobs),
        people=_ids(session, PersonRow, wanted.people),
        pools=_ids(session, PoolRow, wanted.pools),
        rooms=_ids(session, RoomRow, wanted.rooms),
        tools=_ids(session, ToolRow, wanted.tools),
        edges=edges,
        entries=entries,
    )


def rules_of(session: Session, stages: Collection[int]) -> dict[int, tuple[float, Dated[Rule]]]:
    """For each of the stages its quantity and the rules of thumb of its kind, oldest first."""
    planned = select(StageRow.id, StageRow.quantity, StageRow.kind_id).where(StageRow.id.in_(stages))
    rows = session.execute(planned).all()
    ruled: dict[int, list[tuple[datetime, Rule]]] = {}
    kinds = {row.kind_id for row in rows}
    for rule in session.scalars(select(RuleRow).where(RuleRow.kind_id.in_(kinds)).order_by(RuleRow.from_at)):
        ruled.setdefault(rule.kind_id, []).append((rule.from_at, Rule(rule.setup_min, rule.rate_min)))
    return {row.id: (row.quantity, tuple(ruled.get(row.kind_id, ()))) for row in rows}


@dataclass(frozen=True, slots=True)
class Sort:
    """What a stage is for learning: its kind, its pattern, and its order as ``logs.Logged`` names it."""

    kind: int
    pattern: int | None
    order: str


def sorts_of(session: Session, stages: Collection[int]) -> dict[int, Sort]:
    """What each of the stages is for learning; rests, which are in nobody's hands, are left out."""
    chosen = (
        select(StageRow.id, StageRow.kind_id, PatternRevisionRow.pattern_id, StageRow.job_id)
        .join(JobRow, JobRow.id == StageRow.job_id)
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == JobRow.pattern_revision_id)
        .where(StageRow.id.in_(stages), StageRow.attendance != "none")
    )
    return {row.id: Sort(row.kind_id, row.pattern_id, f"j{row.job_id}") for row in session.execute(chosen)}


def redone(session: Session, stages: Collection[int]) -> dict[int, tuple[float, datetime]]:
    """Of the stages that spoiled pieces go through again: how much of it, and since when at the earliest.

    As the tally last said: the newest pass, and the first time that pieces of its job were spoiled.
    """
    spoiled = (
        select(func.min(EntryRow.at))
        .join(EntryStageRow, EntryStageRow.entry_n == EntryRow.n)
        .join(OTHER, OTHER.id == EntryStageRow.stage_id)
        .where(EntryRow.kind == "spoil", OTHER.job_id == StageRow.job_id)
    )
    again = (
        select(TallyRow.stage_id, TallyRow.quantity, spoiled.correlate(StageRow).scalar_subquery())
        .join(StageRow, StageRow.id == TallyRow.stage_id)
        .where(TallyRow.stage_id.in_(stages), TallyRow.redo > 0)
        .order_by(TallyRow.redo)
    )
    return {stage: (quantity, since) for stage, quantity, since in session.execute(again) if since}


def waiting_for(session: Session, reason: str, ids: Collection[str]) -> list[SetAsideRow]:
    """The taps set aside for this reason whose entry is one of these; seen ones are over and done."""
    rows = session.scalars(
        select(SetAsideRow).where(SetAsideRow.reason == reason, SetAsideRow.seen_at.is_(None))
    )
    return [row for row in rows if isinstance(row.body, dict) and row.body.get("of") in ids]


def jobs_of_entries(session: Session, ids: Collection[str]) -> frozenset[int]:
    """The jobs that entries speak of, by their stages or as a whole, through chains of strikes and moves."""
    jobs: set[int] = set()
    left, seen = set(ids), set[str]()
    while left:
        rows = session.execute(
            select(EntryRow.of_id, EntryRow.job_id, StageRow.job_id.label("stage_job"))
            .outerjoin(EntryStageRow, EntryStageRow.entry_n == EntryRow.n)
            .outerjoin(StageRow, StageRow.id == EntryStageRow.stage_id)
            .where(EntryRow.id.in_(left))
        ).all()
        seen |= left
        jobs |= {job for row in rows for job in (row.job_id, row.stage_job) if job is not None}
        left = {row.of_id for row in rows if row.of_id is not None} - seen
    return frozenset(jobs)


def closed_jobs_cut(session: Session, cuts: Collection[tuple[int, datetime]]) -> frozenset[int]:
    """The closed jobs on which people may have had something in hand at these instants: (person, instant).

    A tap that comes late ends or lengthens what its person had begun last before it. Instants of one person
    that lie near each other are asked about as one stretch, which may name a job too many, never too few.
    """
    starts: set[int] = set()
    for person, first_at, last_at in _stretches(cuts):
        own = select(EntryRow.n).where(EntryRow.person_id == person, EntryRow.kind == "start")
        before = own.where(EntryRow.at < first_at).order_by(EntryRow.at.desc()).limit(STARTS_BACK)
        starts.update(session.scalars(before))
        if last_at > first_at:
            starts.update(session.scalars(own.where(EntryRow.at >= first_at, EntryRow.at < last_at)))
    if not starts:
        return frozenset()
    return frozenset(
        session.scalars(
            select(StageRow.job_id)
            .join(EntryStageRow, EntryStageRow.stage_id == StageRow.id)
            .join(JobRow, JobRow.id == StageRow.job_id)
            .where(EntryStageRow.entry_n.in_(starts), JobRow.closed_at.is_not(None))
        )
    )


def closed_in_hand(session: Session) -> frozenset[int]:
    """The closed jobs that somebody still has in hand: a tablet out of reach told of it afterwards."""
    return frozenset(
        session.scalars(
            select(StageRow.job_id)
            .join(TallyRow, TallyRow.stage_id == StageRow.id)
            .join(JobRow, JobRow.id == StageRow.job_id)
            .where(TallyRow.finished_at.is_(None), TallyRow.standing.in_(("in hand", "running")))
            .where(JobRow.closed_at.is_not(None))
        )
    )


def _stretches(cuts: Collection[tuple[int, datetime]]) -> list[tuple[int, datetime, datetime]]:
    """Each person's instants as stretches from a first to a last with no gap beyond ``NEAR``."""
    found: list[tuple[int, datetime, datetime]] = []
    for person, at in sorted(cuts):
        if found and found[-1][0] == person and at - found[-1][2] <= NEAR:
            found[-1] = (person, found[-1][1], at)
        else:
            found.append((person, at, at))
    return found


def stages_of(session: Session, jobs: Collection[int]) -> frozenset[int]:
    """The stages of these jobs."""
    if not jobs:
        return frozenset()
    return frozenset(session.scalars(select(StageRow.id).where(StageRow.job_id.in_(jobs))))


@dataclass
class Line:
    """One device's taps near the numbers asked about: by its own count, with the corrected instants.

    ``taken`` holds the ids of all its taps that have one of these numbers.
    """

    taken: dict[int, str] = field(default_factory=dict)
    taps: list[tuple[int, datetime]] = field(default_factory=list)

    def fit(self, seq: int, at: datetime) -> datetime:
        """The instant, moved where it must be to stand between the device's taps before and after it."""
        place = bisect_left(self.taps, seq, key=lambda tap: tap[0])
        if place < len(self.taps):
            at = min(at, self.taps[place][1])
        return max(at, self.taps[place - 1][1]) if place > 0 else at

    def add(self, seq: int, id: str, at: datetime) -> None:
        """Put a new tap in its place."""
        self.taken[seq] = id
        insort(self.taps, (seq, at))


def line_of(session: Session, device: str, seqs: Collection[int]) -> Line:
    """The part of a device's line that these numbers fall into."""
    if not seqs:
        return Line()
    least, most = min(seqs), max(seqs)
    own = select(EntryRow.seq, EntryRow.tapped_at, EntryRow.id).where(EntryRow.device == device)
    inside = own.where(EntryRow.seq >= least, EntryRow.seq <= most)
    before = own.where(EntryRow.seq < least).order_by(EntryRow.seq.desc()).limit(1)
    after = own.where(EntryRow.seq > most).order_by(EntryRow.seq).limit(1)
    rows = [row for part in (before, inside, after) for row in session.execute(part)]
    kept = select(KeptRow.seq, KeptRow.id).where(KeptRow.device == device, KeptRow.seq.in_(seqs))
    taken = {row.seq: row.id for row in rows} | {row.seq: row.id for row in session.execute(kept)}
    return Line(taken=taken, taps=sorted((row.seq, row.tapped_at) for row in rows))


def _ids(session: Session, table: Any, wanted: Collection[Any]) -> frozenset[Any]:
    if not wanted:
        return frozenset()
    chosen: Select[Any] = select(table.id).where(table.id.in_(wanted))
    return frozenset(session.scalars(chosen))
