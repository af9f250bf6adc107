"""Machine programs as they were read for stages: kept, listed, matched with tools, removed."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store.edits import edit, note_change, note_made
from shoptrack.store.tables import (
    JobRow,
    ProgramRow,
    ProgramToolRow,
    StageKindRow,
    StageRow,
    StationRow,
    ToolRow,
)


@dataclass(frozen=True, slots=True)
class ToolUse:
    """What one run of a program does with a tool of it; ``tool`` is the shop's, once somebody said which."""

    number: int
    label: str
    cutting_min: float
    cutting_mm: float
    deepest_mm: float | None
    tool: int | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A program as it is to be kept: ``total_min`` and ``cutting_min`` are of all its runs.

    ``found`` is what the reader found beside them, ``path`` the thinned path, both as JSON can hold them.
    """

    name: str
    fingerprint: str
    size: int
    reader: str
    total_min: float
    cutting_min: float
    found: Mapping[str, Any]
    path: Any
    tools: tuple[ToolUse, ...]


@dataclass(frozen=True, slots=True)
class Program:
    """A program of a stage as it is kept; ``path`` None where it was not asked for."""

    id: int
    stage: int
    station: int | None
    added_at: datetime
    added_by: int | None
    removed_at: datetime | None
    read: Reading


@dataclass(frozen=True, slots=True)
class ShopTool:
    """A tool of the shop that a program's may be: where it is mounted, how long its flutes are if known."""

    id: int
    name: str
    station: int | None
    flute_mm: float | None
    retired: bool


@dataclass(frozen=True, slots=True)
class Place:
    """The stage that programs are for: its job, its kind's unit, and its station with the size of its bed."""

    job: int
    stage: int
    name: str
    unit: str
    station: int | None
    station_name: str
    bed_length_mm: float | None
    bed_width_mm: float | None


def place_of(session: Session, job: int, stage: int) -> Place:
    """The stage of a job that a program is for. Raises NotFound."""
    row = session.get(StageRow, stage)
    if row is None or row.job_id != job:
        raise NotFound("There is no such stage in this job.")
    kind = session.get_one(StageKindRow, row.kind_id)
    at = None if row.station_id is None else session.get_one(StationRow, row.station_id)
    return Place(
        job=job,
        stage=stage,
        name=row.name,
        unit=kind.unit,
        station=row.station_id,
        station_name=at.name if at is not None else "",
        bed_length_mm=at.bed_length_mm if at is not None else None,
        bed_width_mm=at.bed_width_mm if at is not None else None,
    )


def keep_program(
    session: Session, stage: int, station: int | None, read: Reading, who: int | None, now: datetime
) -> int:
    """Keep what was read of a program for a stage, and give its number."""
    row = ProgramRow(
        stage_id=stage,
        station_id=station,
        name=read.name,
        fingerprint=read.fingerprint,
        size=read.size,
        added_at=now,
        added_by=who,
        reader=read.reader,
        total_min=read.total_min,
        cutting_min=read.cutting_min,
        found=dict(read.found),
        path=read.path,
    )
    session.add(row)
    note_made(session, row, who, now)
    for use in read.tools:
        session.add(
            ProgramToolRow(
                program_id=row.id,
                number=use.number,
                label=use.label,
                tool_id=use.tool,
                cutting_min=use.cutting_min,
                cutting_mm=use.cutting_mm,
                deepest_mm=use.deepest_mm,
            )
        )
    session.flush()
    return row.id


def same_program(session: Session, stage: int, fingerprint: str) -> int | None:
    """The program of a stage that this very file is already; None: it is not there."""
    same = select(ProgramRow.id).where(
        ProgramRow.stage_id == stage,
        ProgramRow.fingerprint == fingerprint,
        ProgramRow.removed_at.is_(None),
    )
    return session.scalar(same.order_by(ProgramRow.id).limit(1))


def program(session: Session, job: int, program_id: int) -> Program:
    """One program of a job, removed ones too, with its path. Raises NotFound."""
    row = session.get(ProgramRow, program_id)
    stage = None if row is None else session.get(StageRow, row.stage_id)
    if row is None or stage is None or stage.job_id != job:
        raise NotFound("There is no such program in this job.")
    return _program(row, _tools(session, [row.id]).get(row.id, ()), with_path=True)


def programs_of(session: Session, stages: Collection[int]) -> dict[int, tuple[Program, ...]]:
    """The programs of some stages that count, the first attached first, without their paths."""
    own = select(ProgramRow).where(ProgramRow.stage_id.in_(stages), ProgramRow.removed_at.is_(None))
    rows = session.scalars(own.order_by(ProgramRow.id)).all()
    tools = _tools(session, [row.id for row in rows])
    found: dict[int, list[Program]] = {}
    for row in rows:
        found.setdefault(row.stage_id, []).append(_program(row, tools.get(row.id, ())))
    return {stage: tuple(own) for stage, own in found.items()}


def jobs_of(session: Session, stages: Collection[int]) -> dict[int, int]:
    """The job of each of some stages."""
    chosen = select(StageRow.id, StageRow.job_id).where(StageRow.id.in_(stages))
    return {stage: job for stage, job in session.execute(chosen)}


def newest_removed(session: Session, stage: int) -> Program | None:
    """The program that was removed from a stage last; None: none was."""
    own = select(ProgramRow).where(ProgramRow.stage_id == stage, ProgramRow.removed_at.is_not(None))
    row = session.scalars(own.order_by(ProgramRow.removed_at.desc(), ProgramRow.id.desc()).limit(1)).first()
    return None if row is None else _program(row, ())


def programs_of_router(session: Session, station: int) -> list[Program]:
    """The programs that were read for a router and count, on stages of open and closed jobs."""
    own = select(ProgramRow).where(ProgramRow.station_id == station, ProgramRow.removed_at.is_(None))
    rows = session.scalars(own.order_by(ProgramRow.id)).all()
    tools = _tools(session, [row.id for row in rows])
    return [_program(row, tools.get(row.id, ())) for row in rows]


def open_places(session: Session, stages: Collection[int]) -> list[Place]:
    """Those of some stages that are in open jobs and were not taken out."""
    chosen = select(StageRow.job_id, StageRow.id).join(JobRow, JobRow.id == StageRow.job_id)
    chosen = chosen.where(StageRow.id.in_(stages), StageRow.removed_at.is_(None), JobRow.closed_at.is_(None))
    return [
        place_of(session, job, stage) for job, stage in session.execute(chosen.order_by(StageRow.id)).all()
    ]


def open_stages(session: Session) -> dict[int, int]:
    """The stages of open jobs that have programs, each with its kind."""
    chosen = (
        select(StageRow.id, StageRow.kind_id)
        .join(ProgramRow, ProgramRow.stage_id == StageRow.id)
        .join(JobRow, JobRow.id == StageRow.job_id)
        .where(ProgramRow.removed_at.is_(None), StageRow.removed_at.is_(None), JobRow.closed_at.is_(None))
    )
    return {stage: kind for stage, kind in session.execute(chosen)}


def rewrite_times(session: Session, program_id: int, read: Reading) -> None:
    """Write anew what follows from a router's settings and from how often it is run: times alone."""
    row = session.get_one(ProgramRow, program_id)
    row.total_min, row.cutting_min, row.found = read.total_min, read.cutting_min, dict(read.found)
    session.flush()


def write_found(session: Session, program_id: int, found: Mapping[str, Any]) -> None:
    """Write anew what is kept beside a program's columns."""
    session.get_one(ProgramRow, program_id).found = dict(found)
    session.flush()


def say_tools(
    session: Session, program_id: int, means: Mapping[int, int | None], who: int | None, now: datetime
) -> bool:
    """Say which of the shop's tools the numbers of a program mean; gives whether any changed."""
    row = session.get_one(ProgramRow, program_id)
    names = {tool.id: tool.name for tool in shop_tools(session)}
    changed = False
    for own in session.scalars(select(ProgramToolRow).where(ProgramToolRow.program_id == program_id)):
        tool = means.get(own.number, own.tool_id)
        if tool != own.tool_id:
            before, after = names.get(own.tool_id or 0), names.get(tool or 0)
            own.tool_id, changed = tool, True
            note_change(session, row, who, now, f"tool {own.number}", before, after)
    session.flush()
    return changed


def say_times(
    session: Session, program_id: int, before: int, times: int, who: int | None, now: datetime
) -> None:
    """Leave a line of history of how often a program is run."""
    note_change(session, session.get_one(ProgramRow, program_id), who, now, "runs", before, times)


def remove_program(session: Session, program_id: int, who: int | None, now: datetime) -> None:
    """Take a program off its stage; what was read stays in the history. Done again it changes nothing."""
    row = session.get_one(ProgramRow, program_id)
    if row.removed_at is None:
        edit(session, row, who, now, removed_at=now)


def shop_tools(session: Session) -> tuple[ShopTool, ...]:
    """Every tool of the shop, retired ones too, by number."""
    rows = session.scalars(select(ToolRow).order_by(ToolRow.id))
    return tuple(ShopTool(t.id, t.name, t.station_id, t.flute_mm, t.retired_at is not None) for t in rows)


def _program(row: ProgramRow, tools: tuple[ToolUse, ...], *, with_path: bool = False) -> Program:
    read = Reading(
        name=row.name,
        fingerprint=row.fingerprint,
        size=row.size,
        reader=row.reader,
        total_min=row.total_min,
        cutting_min=row.cutting_min,
        found=row.found,
        path=row.path if with_path else None,
        tools=tools,
    )
    return Program(row.id, row.stage_id, row.station_id, row.added_at, row.added_by, row.removed_at, read)


def _tools(session: Session, programs: Sequence[int]) -> dict[int, tuple[ToolUse, ...]]:
    own = select(ProgramToolRow).where(ProgramToolRow.program_id.in_(programs))
    found: dict[int, list[ToolUse]] = {}
    for row in session.scalars(own.order_by(ProgramToolRow.program_id, ProgramToolRow.number)):
        use = ToolUse(row.number, row.label, row.cutting_min, row.cutting_mm, row.deepest_mm, row.tool_id)
        found.setdefault(row.program_id, []).append(use)
    return {program_id: tuple(uses) for program_id, uses in found.items()}
