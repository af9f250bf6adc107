"""Patterns: proven sequences of stages, revised and never overwritten."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from graphlib import CycleError, TopologicalSorter
from itertools import count

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Attendance, ClampNeed, Interruption, Joint
from shoptrack.errors import BadInput, NotFound
from shoptrack.store.edits import note_made
from shoptrack.store.tables import (
    PatternClampRow,
    PatternNeedRow,
    PatternRevisionRow,
    PatternRow,
    PatternStageRow,
    PatternToolRow,
    StageKindRow,
)


@dataclass(frozen=True)
class PatternNeed:
    """What must be done before, by the place of that stage in the pattern, counted from 1."""

    position: int
    by_rounds: bool = False
    least_wait_min: float = 0.0
    greatest_wait_min: float | None = None


@dataclass(frozen=True)
class PatternStage:
    """A stage of a pattern; its quantity is ``fixed + per_piece × pieces`` in the kind's unit.

    ``kind`` and the other demands are ids; ``tools`` are (tool, share of the time its edge cuts).
    Attendance, interruption and dust are the kind's where None. ``line`` is the stage's number through all
    revisions of the pattern, None for a stage that is new. ``width_mm`` and ``length_mm`` are of the work as
    a station takes it.
    """

    kind: int
    name: str
    fixed: float = 0.0
    per_piece: float = 1.0
    needs: Sequence[PatternNeed] = ()
    clamps: Sequence[ClampNeed] = ()
    tools: Sequence[tuple[int, float]] = ()
    station: int | None = None
    room: int | None = None
    recipe: int | None = None
    joint: Joint | None = None
    material: int | None = None
    rounds: bool = False
    attendance: Attendance | None = None
    interruption: Interruption | None = None
    dusty: bool | None = None
    people: int = 1
    hands_at_min: Sequence[float] = ()
    settings: str = ""
    caution: str = ""
    line: int | None = None
    width_mm: float | None = None
    length_mm: float | None = None


def make_pattern(
    session: Session,
    name: str,
    *,
    stages: Sequence[PatternStage],
    now: datetime,
    note: str = "",
    who: int | None = None,
) -> PatternRevisionRow:
    """Add a pattern and give its first revision. Raises BadInput as revise_pattern does, or for its name."""
    refuse_name(session, name)
    pattern = PatternRow(name=name)
    session.add(pattern)
    note_made(session, pattern, who, now)
    return revise_pattern(session, pattern.id, stages=stages, now=now, note=note, who=who)


def refuse_name(session: Session, name: str, besides: int | None = None) -> None:
    """Raise BadInput when another pattern has that name, retired or not."""
    row = pattern_named(session, name)
    if row is not None and row.id != besides:
        retired = " It is retired and can be brought back." if row.retired_at else ""
        raise BadInput(f"There is a pattern called “{name}” already.{retired}", "name")


def revise_pattern(
    session: Session,
    pattern: int,
    *,
    stages: Sequence[PatternStage],
    now: datetime,
    note: str = "",
    who: int | None = None,
) -> PatternRevisionRow:
    """Add a revision to a pattern; a stage that has no line yet is given one that the pattern never had.

    Raises BadInput when there are no stages, a need names none of them, stages wait for each other, or two
    stages say they are the same line.
    """
    refuse_cycle({n: [need.position for need in s.needs] for n, s in enumerate(stages, start=1)})
    newest = select(func.max(PatternRevisionRow.number)).where(PatternRevisionRow.pattern_id == pattern)
    number = (session.scalar(newest) or 0) + 1
    revision = PatternRevisionRow(pattern_id=pattern, number=number, made_at=now, note=note, person_id=who)
    lines = _lines(session, pattern, stages)
    session.add(revision)
    session.flush()
    rows = [_stage_row(session, revision.id, n, stage) for n, stage in enumerate(stages, start=1)]
    for row, line in zip(rows, lines, strict=True):
        row.line = line
    session.add_all(rows)
    session.flush()
    for row, stage in zip(rows, stages, strict=True):
        session.add_all(_demands(row, stage, rows))
    session.flush()
    session.refresh(revision)
    return revision


def refuse_cycle(needs: Mapping[int, Sequence[int]]) -> None:
    """Raise BadInput unless the stages can be done in some order: each place with those it waits for."""
    if not needs:
        raise BadInput("A pattern needs at least one stage.", "stages")
    for place, before in needs.items():
        for other in before:
            if other not in needs:
                raise BadInput(f"Stage {place} waits for stage {other}, which is not there.", "stages")
    try:
        TopologicalSorter(needs).prepare()
    except CycleError as problem:
        ring = " waits for ".join(f"stage {place}" for place in reversed(problem.args[1]))
        raise BadInput(f"These stages wait for each other: {ring}.", "stages") from problem


def _lines(session: Session, pattern: int, stages: Sequence[PatternStage]) -> list[int]:
    """The line of each stage: its own, or the next number that no revision of the pattern has used."""
    given = [stage.line for stage in stages if stage.line is not None]
    if len(set(given)) < len(given):
        raise BadInput("Two stages say that they are the same one.", "stages")
    used = select(func.max(PatternStageRow.line)).join(
        PatternRevisionRow, PatternRevisionRow.id == PatternStageRow.revision_id
    )
    greatest = session.scalar(used.where(PatternRevisionRow.pattern_id == pattern)) or 0
    fresh = count(max([greatest, *given]) + 1)
    return [stage.line if stage.line is not None else next(fresh) for stage in stages]


def pattern_row(session: Session, pattern: int) -> PatternRow:
    """A pattern, in use or retired. Raises NotFound."""
    row = session.get(PatternRow, pattern) if pattern < 2**63 else None
    if row is None:
        raise NotFound("There is no such pattern.")
    return row


def pattern_named(session: Session, name: str) -> PatternRow | None:
    """The pattern of that name, in use or retired; None where there is none."""
    return session.scalars(select(PatternRow).where(PatternRow.name == name)).first()


def list_patterns(session: Session) -> list[PatternRow]:
    """The patterns in use, by name."""
    chosen = select(PatternRow).where(PatternRow.retired_at.is_(None))
    return list(session.scalars(chosen.order_by(PatternRow.name)))


def retired_patterns(session: Session) -> list[PatternRow]:
    """The patterns that are no longer used, by name."""
    chosen = select(PatternRow).where(PatternRow.retired_at.is_not(None))
    return list(session.scalars(chosen.order_by(PatternRow.name)))


def revision_of(session: Session, pattern: int, number: int) -> PatternRevisionRow:
    """One revision of a pattern by its number. Raises NotFound."""
    chosen = select(PatternRevisionRow).where(PatternRevisionRow.pattern_id == pattern)
    row = session.scalars(chosen.where(PatternRevisionRow.number == number)).first()
    if row is None:
        raise NotFound(f"This pattern has no revision {number}.")
    return row


def newest_revision(session: Session, pattern: int) -> PatternRevisionRow | None:
    """The revision that new jobs of a pattern are made from; None for a pattern that is not there."""
    chosen = select(PatternRevisionRow).where(PatternRevisionRow.pattern_id == pattern)
    return session.scalars(chosen.order_by(PatternRevisionRow.number.desc()).limit(1)).first()


def _stage_row(session: Session, revision: int, position: int, stage: PatternStage) -> PatternStageRow:
    kind = session.get(StageKindRow, stage.kind)
    if kind is None:
        raise BadInput(f"Stage {position} is of a kind that is not there.", "stages")
    return PatternStageRow(
        revision_id=revision,
        position=position,
        kind_id=stage.kind,
        name=stage.name,
        fixed=stage.fixed,
        per_piece=stage.per_piece,
        station_id=stage.station,
        room_id=stage.room,
        recipe_id=stage.recipe,
        joint=stage.joint,
        material_id=stage.material,
        rounds=stage.rounds,
        attendance=stage.attendance or kind.attendance,
        interruption=stage.interruption or kind.interruption,
        dusty=kind.dusty if stage.dusty is None else stage.dusty,
        people=stage.people,
        hands_at_min=list(stage.hands_at_min) or None,
        settings=stage.settings,
        caution=stage.caution,
        width_mm=stage.width_mm,
        length_mm=stage.length_mm,
    )


def _demands(
    row: PatternStageRow, stage: PatternStage, rows: Sequence[PatternStageRow]
) -> list[PatternNeedRow | PatternClampRow | PatternToolRow]:
    needs = [
        PatternNeedRow(
            stage_id=row.id,
            needs_id=rows[need.position - 1].id,
            by_rounds=need.by_rounds,
            least_wait_min=need.least_wait_min,
            greatest_wait_min=need.greatest_wait_min,
        )
        for need in stage.needs
    ]
    clamps = [
        PatternClampRow(stage_id=row.id, pool_id=c.pool, count=c.count, per_piece=c.per_piece)
        for c in stage.clamps
    ]
    tools = [PatternToolRow(stage_id=row.id, tool_id=tool, share=share) for tool, share in stage.tools]
    return [*needs, *clamps, *tools]
