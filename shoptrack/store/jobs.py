"""Jobs: listed, made from a revision of a pattern, closed."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from itertools import chain, product

from sqlalchemy import func, select
from sqlalchemy.orm import Session, selectinload

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.customers import customer_named
from shoptrack.store.edits import edit
from shoptrack.store.patterns import refuse_cycle
from shoptrack.store.tables import (
    JobRow,
    PatternRevisionRow,
    PatternStageRow,
    StageClampRow,
    StageNeedRow,
    StageRow,
    StageToolRow,
)
from shoptrack.store.tables.planned import PLANNED

TAG_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I or O: pencilled, they read as 1 and 0
TAG_DIGITS = "23456789"


def open_jobs(session: Session) -> list[JobRow]:
    """The jobs in progress with their stages, the earliest promised first."""
    chosen = select(JobRow).where(JobRow.closed_at.is_(None)).options(selectinload(JobRow.stages))
    return list(session.scalars(chosen.order_by(JobRow.promised_on.nulls_last(), JobRow.id)))


def closed_jobs(
    session: Session, limit: int, offset: int = 0, called_off: bool | None = None
) -> list[JobRow]:
    """Some of the jobs that are closed, the last closed first: all, those called off, or the others."""
    last = select(JobRow).where(JobRow.closed_at.is_not(None)).order_by(JobRow.closed_at.desc(), JobRow.id)
    if called_off is not None:
        why = JobRow.called_off_why
        last = last.where(why.is_not(None) if called_off else why.is_(None))
    return list(session.scalars(last.limit(limit).offset(offset)))


def job_row(session: Session, job_id: int) -> JobRow:
    """One job with its stages and what each needs. Raises NotFound."""
    stages = selectinload(JobRow.stages)
    row = session.get(
        JobRow,
        job_id,
        options=[
            stages.selectinload(StageRow.needs),
            stages.selectinload(StageRow.clamps),
            stages.selectinload(StageRow.tools),
        ],
    )
    if row is None:
        raise NotFound("There is no such job.")
    return row


def job_of_stage(session: Session, stage: int) -> int | None:
    """The job that a stage belongs to; None for a stage that is not there."""
    return session.scalar(select(StageRow.job_id).where(StageRow.id == stage))


def free_tag(session: Session) -> str:
    """A tag that no open job has: the next after the newest job's, so that one just wiped off rests.

    A letter and a digit; a letter and two digits once all of those are on open jobs.
    """
    taken = set(session.scalars(select(JobRow.tag).where(JobRow.closed_at.is_(None))))
    newest = session.scalar(select(JobRow.tag).order_by(JobRow.id.desc()).limit(1)) or ""
    for length in (1, 2):
        tags = list(_tags(length))
        start = tags.index(newest) + 1 if newest in tags else 0
        found = next((tag for tag in chain(tags[start:], tags[:start]) if tag not in taken), None)
        if found is not None:
            return found
    raise BadInput("Every tag is on an open job; close some first.", "tag")


def _tags(digits: int) -> Iterator[str]:
    # the letter changes first, so that neighbours on the bench don't read alike
    for number in product(TAG_DIGITS, repeat=digits):
        for letter in TAG_LETTERS:
            yield letter + "".join(number)


def add_job(
    session: Session,
    *,
    tag: str | None = None,
    title: str,
    customer: str | int,
    pieces: int,
    promised_on: date | None = None,
    revision_id: int | None,
    quantities: Mapping[int, float] | None = None,
    now: datetime,
    must_keep: bool = False,
    price_cents: int | None = None,
    notes: str = "",
) -> JobRow:
    """Make a job with the stages of a pattern's revision; None: without stages.

    Takes the customer by name (added where there is none) or by number and, for the stages whose measure is
    not the pattern's, the quantity by position. Raises BadInput for an unknown revision or position, stages
    that wait for each other, a quantity or number of pieces at nought or below, or a tag that is on another
    open job.
    """
    planned = [] if revision_id is None else _planned(session, revision_id)
    said = dict(quantities or {})
    _refuse(session, tag, pieces, said, {stage.position for stage in planned})
    job = JobRow(
        tag=tag or free_tag(session),
        title=title,
        customer_id=customer if isinstance(customer, int) else customer_named(session, customer).id,
        pieces=pieces,
        pattern_revision_id=revision_id,
        promised_on=promised_on,
        must_keep=must_keep,
        price_cents=price_cents,
        notes=notes,
        added_at=now,
    )
    session.add(job)
    session.flush()
    _copy_stages(session, job, planned, said)
    return job


def newest_job(session: Session) -> int:
    """The number of the job added last; 0 where there is none."""
    return session.scalar(select(func.max(JobRow.id))) or 0


def job_made_since(session: Session, after: int, **said: object) -> int | None:
    """The number of a job that was added after another with these very words; None: there is none."""
    since = select(JobRow.id).where(JobRow.id > after).filter_by(**said)
    return session.scalar(since.limit(1))


def close_job(
    session: Session, job_id: int, now: datetime, who: int | None = None, called_off_why: str | None = None
) -> None:
    """Take a job off the list of open ones, called off where that is why. Raises NotFound."""
    row = job_row(session, job_id)
    edit(session, row, who, now, why=called_off_why or "", closed_at=now, called_off_why=called_off_why)


def reopen_job(session: Session, job_id: int, now: datetime, who: int | None = None) -> None:
    """Put a closed job back among the open ones, with another tag where an open job has its own by now.

    Raises NotFound.
    """
    row = job_row(session, job_id)
    edit(session, row, who, now, closed_at=None, called_off_why=None)
    others = select(JobRow.id).where(JobRow.tag == row.tag, JobRow.id != job_id, JobRow.closed_at.is_(None))
    if session.scalar(others.limit(1)) is not None:
        edit(session, row, who, now, why=f"{row.tag} is on another open job by now", tag=free_tag(session))


def _planned(session: Session, revision_id: int) -> list[PatternStageRow]:
    if session.get(PatternRevisionRow, revision_id) is None:
        raise BadInput("There is no such pattern.", "pattern")
    chosen = (
        select(PatternStageRow)
        .where(PatternStageRow.revision_id == revision_id)
        .order_by(PatternStageRow.position)
        .options(
            selectinload(PatternStageRow.needs),
            selectinload(PatternStageRow.clamps),
            selectinload(PatternStageRow.tools),
        )
    )
    planned = list(session.scalars(chosen))
    places = {stage.id: stage.position for stage in planned}
    refuse_cycle({s.position: [places.get(need.needs_id, 0) for need in s.needs] for s in planned})
    return planned


def _refuse(
    session: Session, tag: str | None, pieces: int, said: Mapping[int, float], positions: set[int]
) -> None:
    if pieces <= 0:
        raise BadInput("A job has at least one piece.", "pieces")
    if unknown := sorted(set(said) - positions):
        raise BadInput(f"The pattern has no stage {unknown[0]}.", "quantities")
    if any(quantity <= 0 for quantity in said.values()):
        raise BadInput("A measure must be above nought.", "quantities")
    taken = select(JobRow.id).where(JobRow.tag == tag, JobRow.closed_at.is_(None))
    if tag is not None and session.scalar(taken.limit(1)) is not None:
        raise BadInput(f"{tag} is on another open job.", "tag")


def _copy_stages(
    session: Session, job: JobRow, planned: list[PatternStageRow], said: Mapping[int, float]
) -> None:
    rows = {stage.id: _stage_row(job, stage, said) for stage in planned}
    session.add_all(rows.values())
    session.flush()
    for stage in planned:
        row = rows[stage.id]
        for need in stage.needs:
            session.add(
                StageNeedRow(
                    stage_id=row.id,
                    needs_id=rows[need.needs_id].id,
                    by_rounds=need.by_rounds,
                    least_wait_min=need.least_wait_min,
                    greatest_wait_min=need.greatest_wait_min,
                )
            )
        for clamp in stage.clamps:
            demand = StageClampRow(stage_id=row.id, pool_id=clamp.pool_id, count=clamp.count)
            demand.per_piece = clamp.per_piece
            session.add(demand)
        session.add_all(StageToolRow(stage_id=row.id, tool_id=t.tool_id, share=t.share) for t in stage.tools)
    session.flush()
    session.expire(job, ["stages"])


def _stage_row(job: JobRow, stage: PatternStageRow, said: Mapping[int, float]) -> StageRow:
    quantity = said.get(stage.position, stage.fixed + stage.per_piece * job.pieces)
    return StageRow(job_id=job.id, quantity=quantity, **{name: getattr(stage, name) for name in PLANNED})
