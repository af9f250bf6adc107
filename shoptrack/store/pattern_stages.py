"""The rows of a revision of a pattern become the stages it was written down as, ready to be written again."""

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from shoptrack.engine.shapes import Attendance, ClampNeed, Interruption, Joint
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.store.tables import (
    PatternClampRow,
    PatternStageRow,
    PatternToolRow,
    StageClampRow,
    StageKindRow,
    StageRow,
    StageToolRow,
)


def stages_of(session: Session, revision: int) -> tuple[PatternStage, ...]:
    """The stages of a revision in their order; none for a revision that is not there."""
    chosen = select(PatternStageRow).where(PatternStageRow.revision_id == revision)
    rows = session.scalars(
        chosen.order_by(PatternStageRow.position).options(
            selectinload(PatternStageRow.needs),
            selectinload(PatternStageRow.clamps),
            selectinload(PatternStageRow.tools),
        )
    ).all()
    places = {row.id: row.position for row in rows}
    return tuple(_stage(row, places) for row in rows)


def settled(session: Session, stage: PatternStage) -> PatternStage:
    """A stage with what it takes from its kind written out; as it is where there is no such kind."""
    kind = session.get(StageKindRow, stage.kind)
    if kind is None:
        return stage
    return replace(
        stage,
        attendance=stage.attendance or cast(Attendance, kind.attendance),
        interruption=stage.interruption or cast(Interruption, kind.interruption),
        dusty=kind.dusty if stage.dusty is None else stage.dusty,
    )


def as_planned(
    row: PatternStageRow | StageRow,
    *,
    fixed: float,
    per_piece: float,
    needs: tuple[PatternNeed, ...],
    line: int | None,
) -> PatternStage:
    """A stage of a pattern, or of a job, as it is written down in a pattern.

    Takes its measure as a fixed part and one for each piece, what it waits for by place, and its line.
    """
    clamps: Sequence[PatternClampRow | StageClampRow] = row.clamps
    tools: Sequence[PatternToolRow | StageToolRow] = row.tools
    return PatternStage(
        kind=row.kind_id,
        name=row.name,
        fixed=fixed,
        per_piece=per_piece,
        needs=needs,
        clamps=tuple(
            ClampNeed(c.pool_id, c.count, c.per_piece) for c in sorted(clamps, key=lambda c: c.pool_id)
        ),
        tools=tuple((t.tool_id, t.share) for t in sorted(tools, key=lambda t: t.tool_id)),
        station=row.station_id,
        room=row.room_id,
        recipe=row.recipe_id,
        joint=cast("Joint | None", row.joint),
        material=row.material_id,
        rounds=row.rounds,
        attendance=cast(Attendance, row.attendance),
        interruption=cast(Interruption, row.interruption),
        dusty=row.dusty,
        people=row.people,
        hands_at_min=tuple(row.hands_at_min or ()),
        settings=row.settings,
        caution=row.caution,
        line=line,
        width_mm=row.width_mm,
        length_mm=row.length_mm,
    )


def _stage(row: PatternStageRow, places: dict[int, int]) -> PatternStage:
    return as_planned(row, fixed=row.fixed, per_piece=row.per_piece, needs=_needs(row, places), line=row.line)


def _needs(row: PatternStageRow, places: dict[int, int]) -> tuple[PatternNeed, ...]:
    found = (
        PatternNeed(places[n.needs_id], n.by_rounds, n.least_wait_min, n.greatest_wait_min) for n in row.needs
    )
    return tuple(sorted(found, key=lambda need: need.position))
