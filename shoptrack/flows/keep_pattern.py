"""A finished job becomes a pattern: its stages as they were done, their measures for any number of pieces."""

from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.errors import Refused
from shoptrack.flows.shopfloor import sight_of
from shoptrack.store import patterns
from shoptrack.store.db import Store
from shoptrack.store.jobs import job_row
from shoptrack.store.pattern_stages import as_planned, stages_of
from shoptrack.store.patterns import PatternNeed, PatternStage, make_pattern
from shoptrack.store.tables import JobRow, PatternRevisionRow, StageKindRow, StageRow

ONCE_FOR_ALL = ("coats",)
"""Units of what is done to all pieces at once, however many there are."""


def keep_job(store: Store, job: int, name: str, who: int | None, now: datetime) -> int:
    """Make a pattern of a finished job and give its number; the same once more gives the first's.

    Stages taken out of the job are left out; what came after one comes after what that came after. Raises
    NotFound, Refused before all is done or the job is closed, BadInput for a name that is taken.
    """
    with store.writing() as session:
        row = job_row(session, job)
        all_done = all(s.state == "done" for s in sight_of(store, session, now, (job,)).stages_of(job))
        if row.called_off_why is not None:
            raise Refused("This job was called off; a pattern is kept of one that was finished.")
        if row.closed_at is None and not all_done:
            raise Refused("This job is not finished; a pattern is kept of one that is.")
        note = f"from job {row.tag}, {row.title}"
        there = patterns.pattern_named(session, name)
        if there is not None and there.revisions[0].note == note:
            return there.id
        return make_pattern(
            session, name, stages=_stages(session, row), now=now, note=note, who=who
        ).pattern_id


def _stages(session: Session, job: JobRow) -> list[PatternStage]:
    kept = [stage for stage in job.stages if stage.removed_at is None]
    places = {stage.id: place for place, stage in enumerate(kept, 1)}
    drawn = {s.line: s for s in _drawn_from(session, job)}
    return [_stage(session, job, stage, places, drawn.get(stage.line)) for stage in kept]


def _drawn_from(session: Session, job: JobRow) -> tuple[PatternStage, ...]:
    revision = session.get(PatternRevisionRow, job.pattern_revision_id or 0)
    return stages_of(session, revision.id) if revision else ()


def _stage(
    session: Session, job: JobRow, row: StageRow, places: dict[int, int], drawn: PatternStage | None
) -> PatternStage:
    kind = session.get_one(StageKindRow, row.kind_id)
    fixed, per_piece = shared_out(row.quantity, job.pieces, kind.unit, drawn if row.line else None)
    return as_planned(row, fixed=fixed, per_piece=per_piece, needs=_needs(job, row, places), line=None)


def shared_out(quantity: float, pieces: int, unit: str, drawn: PatternStage | None) -> tuple[float, float]:
    """A job's measure as a fixed part and one for each piece.

    How it is decided: a stage that came from a pattern is shared out as that pattern had it: all fixed,
    all for each piece, or the pattern's fixed part first and the rest by the piece. Another is fixed when
    its unit is done to all pieces at once (coats), or when the pieces do not go into it without a rest;
    else it grows with the pieces.
    """
    if drawn is not None and drawn.fixed and (not drawn.per_piece or quantity <= drawn.fixed):
        return quantity, 0.0
    if drawn is not None:
        return drawn.fixed, (quantity - drawn.fixed) / pieces
    if unit in ONCE_FOR_ALL or (quantity % pieces and quantity == round(quantity)):
        return quantity, 0.0
    return 0.0, quantity / pieces


def _needs(job: JobRow, row: StageRow, places: dict[int, int]) -> tuple[PatternNeed, ...]:
    by_id = {stage.id: stage for stage in job.stages}
    found: dict[int, PatternNeed] = {}
    wanted = [(n.needs_id, n.by_rounds, n.least_wait_min, n.greatest_wait_min) for n in row.needs]
    seen: set[int] = set()
    while wanted:
        before, by_rounds, least, most = wanted.pop()
        if before in places:
            found.setdefault(places[before], PatternNeed(places[before], by_rounds, least, most))
        elif before in by_id and before not in seen:
            seen.add(before)
            wanted += [(n.needs_id, False, 0.0, None) for n in by_id[before].needs]
    return tuple(found[place] for place in sorted(found))
