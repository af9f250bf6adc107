"""The stages of one job: added, changed, taken out and brought back, moved, split; who waits for whom."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session, selectinload

from shoptrack.engine.shapes import ClampNeed, Joint, Need
from shoptrack.errors import BadInput, NotFound
from shoptrack.store.edits import edit, note_change, note_made
from shoptrack.store.tables import (
    EntryRow,
    EntryStageRow,
    StageClampRow,
    StageKindRow,
    StageNeedRow,
    StageRow,
    StageToolRow,
    ToolRow,
)
from shoptrack.store.tables.planned import PLANNED
from shoptrack.store.waits import before, need_row, refuse_ring, waits_of


@dataclass(frozen=True, slots=True)
class StageSaid:
    """What is said of a stage of a job; ``needs`` are stages of the same job, the rest are ids or values.

    ``tools`` are (tool, share of the time its edge cuts), by tool.
    """

    kind_id: int
    name: str
    quantity: float
    rounds: bool = False
    people: int = 1
    station_id: int | None = None
    room_id: int | None = None
    recipe_id: int | None = None
    joint: Joint | None = None
    width_mm: float | None = None
    length_mm: float | None = None
    settings: str = ""
    caution: str = ""
    clamps: tuple[ClampNeed, ...] = ()
    tools: tuple[tuple[int, float], ...] = ()
    needs: tuple[Need, ...] = ()


_COLUMNS = (
    "name",
    "quantity",
    "rounds",
    "people",
    "station_id",
    "room_id",
    "recipe_id",
    "joint",
    "width_mm",
    "length_mm",
    "settings",
    "caution",
)


def stages_of_job(session: Session, job_id: int) -> list[StageRow]:
    """The stages of a job in their order with what they need, those taken out of it included."""
    chosen = select(StageRow).where(StageRow.job_id == job_id).order_by(StageRow.position)
    return list(
        session.scalars(
            chosen.options(
                selectinload(StageRow.needs), selectinload(StageRow.clamps), selectinload(StageRow.tools)
            ).execution_options(populate_existing=True)
        )
    )


def stage_of_job(session: Session, job_id: int, stage_id: int) -> StageRow:
    """One stage of a job. Raises NotFound."""
    row = session.get(StageRow, stage_id)
    if row is None or row.job_id != job_id:
        raise NotFound("There is no such stage in this job.")
    return row


def said_of(row: StageRow, waits: Sequence[Need]) -> StageSaid:
    """What is said of a stage now, as a form would say it."""
    columns = {name: getattr(row, name) for name in _COLUMNS}
    clamps = tuple(ClampNeed(c.pool_id, c.count, c.per_piece) for c in row.clamps)
    tools = tuple(sorted((t.tool_id, t.share) for t in row.tools))
    return StageSaid(kind_id=row.kind_id, clamps=clamps, tools=tools, needs=tuple(waits), **columns)


def made_since(
    session: Session, job_id: int, newest: int, name: str, quantity: float | None = None
) -> StageRow | None:
    """The stage that this very form has made already: of that name and measure, after the newest shown."""
    same = select(StageRow).where(StageRow.job_id == job_id, StageRow.id > newest, StageRow.name == name)
    if quantity is not None:
        same = same.where(StageRow.quantity == quantity)
    return session.scalars(same.limit(1)).first()


def add_stage(
    session: Session,
    job_id: int,
    said: StageSaid,
    who: int | None,
    now: datetime,
    *,
    in_line: bool = False,
) -> StageRow:
    """Add a stage after the last of those it waits for, at the end where it waits for none.

    Attendance, interruption and dust are the kind's. ``in_line``: what waits for a stage that this one
    waits for, waits for this one too. Raises BadInput for a kind that is not there.
    """
    kind = session.get(StageKindRow, said.kind_id)
    if kind is None:
        raise BadInput("There is no such kind of stage.", "kind")
    rows = stages_of_job(session, job_id)
    waits = waits_of(rows)
    needed = {n.stage for n in said.needs}
    places = [row.position for row in rows if row.id in needed]
    position = max(places, default=max((row.position for row in rows), default=0)) + 1
    row = StageRow(
        job_id=job_id,
        kind_id=kind.id,
        attendance=kind.attendance,
        interruption=kind.interruption,
        dusty=kind.dusty,
        position=_make_room(session, job_id, position),
        **{name: getattr(said, name) for name in _COLUMNS},
    )
    session.add(row)
    note_made(session, row, who, now)
    _write_clamps(session, row, said.clamps)
    _write_tools(session, row, said.tools)
    _write_needs(session, row, said.needs)
    if in_line:
        _let_wait(session, rows, waits, needed, row.id)
    return row


def _let_wait(
    session: Session,
    rows: Sequence[StageRow],
    waits: Mapping[int, tuple[Need, ...]],
    needed: set[int],
    new: int,
) -> None:
    """Those that wait for what a new stage waits for wait for it too, but for what comes before it itself."""
    first = before(waits, needed)
    for row in rows:
        if row.removed_at is None and row.id not in first and {n.stage for n in waits[row.id]} & needed:
            session.add(StageNeedRow(stage_id=row.id, needs_id=new))
    session.flush()


def _make_room(session: Session, job_id: int, position: int) -> int:
    """Move the stages from a place on one further; gives the place that is free then."""
    own = StageRow.job_id == job_id
    later = update(StageRow).where(own, StageRow.position >= position)
    session.execute(later.values(position=-(StageRow.position + 1)))  # one by one they would collide
    session.execute(update(StageRow).where(own, StageRow.position < 0).values(position=-StageRow.position))
    return position


def change_stage(session: Session, row: StageRow, said: StageSaid, who: int | None, now: datetime) -> None:
    """Say anew what a stage is and waits for; what is as it was leaves no line of history.

    Raises BadInput, by names, for stages that would wait for each other.
    """
    rows = stages_of_job(session, row.job_id)
    old = said_of(row, waits_of(rows)[row.id])
    edit(session, row, who, now, **{name: getattr(said, name) for name in _COLUMNS})
    if old.clamps != said.clamps:
        _write_clamps(session, row, said.clamps)
        words = [[f"{c.count}", c.pool, c.per_piece] for c in old.clamps]
        after = [[f"{c.count}", c.pool, c.per_piece] for c in said.clamps]
        note_change(session, row, who, now, "clamps", words, after)
    if old.tools != said.tools:
        _write_tools(session, row, said.tools)
        note_change(session, row, who, now, "tools", *_shares(session, old.tools, said.tools))
    if set(old.needs) != set(said.needs):
        names = {each.id: each.name for each in rows}
        refuse_ring(rows, row.id, said.needs)
        _write_needs(session, row, said.needs)
        was, becomes = ([names[n.stage] for n in needs] for needs in (old.needs, said.needs))
        note_change(session, row, who, now, "waits for", was, becomes)


def _write_clamps(session: Session, row: StageRow, clamps: Iterable[ClampNeed]) -> None:
    for old in list(row.clamps):
        session.delete(old)
    session.flush()
    session.add_all(
        StageClampRow(stage_id=row.id, pool_id=c.pool, count=c.count, per_piece=c.per_piece) for c in clamps
    )
    session.flush()
    session.expire(row, ["clamps"])


def _write_tools(session: Session, row: StageRow, tools: Iterable[tuple[int, float]]) -> None:
    for old in list(row.tools):
        session.delete(old)
    session.flush()
    session.add_all(StageToolRow(stage_id=row.id, tool_id=tool, share=share) for tool, share in tools)
    session.flush()
    session.expire(row, ["tools"])


def _shares(session: Session, *said: Iterable[tuple[int, float]]) -> list[list[str]]:
    """Tools with their shares of the time, in words for the history."""
    names = {row.id: row.name for row in session.scalars(select(ToolRow))}
    return [[f"{names.get(tool, '')} {share * 100:g} %" for tool, share in tools] for tools in said]


def _write_needs(session: Session, row: StageRow, needs: Iterable[Need]) -> None:
    for old in list(row.needs):
        session.delete(old)
    session.flush()
    session.add_all(need_row(row.id, n) for n in needs)
    session.flush()
    session.expire(row, ["needs"])


def move_stage(session: Session, row: StageRow, up: bool, was: int, who: int | None, now: datetime) -> None:
    """Change places with the stage before or after it; who waits for whom stays.

    Takes the place at which the form showed it: one that was moved since stays where it is.
    """
    live = [s for s in stages_of_job(session, row.job_id) if s.removed_at is None]
    at = [s.id for s in live].index(row.id)
    to = at - 1 if up else at + 1
    if row.position != was or not 0 <= to < len(live):
        return
    other = live[to]
    theirs, mine = other.position, row.position
    other.position = -1  # two stages can't have one place, not even for a moment
    session.flush()
    edit(session, row, who, now, position=theirs)
    session.flush()
    other.position = mine
    session.flush()


def split_stage(
    session: Session, row: StageRow, keeps: float, one_after_the_other: bool, who: int | None, now: datetime
) -> StageRow:
    """Give what is beyond ``keeps`` of a stage's measure to a new one beside it, which it gives.

    It waits for what the first waits for, or for the first; what waited for the first waits for both.
    """
    rows = stages_of_job(session, row.job_id)
    waits = waits_of(rows)
    planned = {name: getattr(row, name) for name in PLANNED if name not in ("position", "line")}
    place = _make_room(session, row.job_id, row.position + 1)
    second = StageRow(job_id=row.job_id, position=place, quantity=row.quantity - keeps, **planned)
    session.add(second)
    note_made(session, second, who, now, why=f"split from “{row.name}”")
    edit(session, row, who, now, why="split in two", quantity=keeps)
    _write_clamps(session, second, said_of(row, ()).clamps)
    _write_tools(session, second, said_of(row, ()).tools)
    _write_needs(session, second, (Need(row.id),) if one_after_the_other else waits[row.id])
    for other in rows:
        for need in waits[other.id]:
            if need.stage == row.id and other.removed_at is None:
                session.add(need_row(other.id, replace(need, stage=second.id)))
    session.flush()
    return second


def worked_together(session: Session, stage_id: int) -> frozenset[int]:
    """The jobs that any entry speaks of together with a stage, its own among them where one does."""
    mine = select(EntryStageRow.entry_n).join(EntryRow, EntryRow.n == EntryStageRow.entry_n)
    mine = mine.where(EntryStageRow.stage_id == stage_id, EntryRow.kind == "start")
    jobs = select(StageRow.job_id).join(EntryStageRow, EntryStageRow.stage_id == StageRow.id)
    return frozenset(session.scalars(jobs.where(EntryStageRow.entry_n.in_(mine))))
