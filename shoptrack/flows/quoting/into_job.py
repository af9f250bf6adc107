"""A quote that was taken → the job: its stages and measures, its price, its customer, and what was agreed."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Need
from shoptrack.flows.quoting.kept import Kept
from shoptrack.store.edits import note_made
from shoptrack.store.job_stages import StageSaid, add_stage
from shoptrack.store.jobs import add_job
from shoptrack.store.tables import QuoteRow


def job_of(
    session: Session,
    row: QuoteRow,
    kept: Kept,
    who: int | None,
    now: datetime,
    promised_on: date | None,
    must_keep: bool,
) -> int:
    """Make the job of a quote and give its number.

    Stages of a pattern wait for each other as the pattern's do; stages said one by one wait each for the one
    before. What the customer pays in advance is asked for in the quote; the job says what came of it.
    """
    wanted = kept.wanted
    job = add_job(
        session,
        title=row.title,
        customer=row.customer_id,
        pieces=wanted.pieces,
        revision_id=wanted.revision,
        quantities={stage.position: stage.quantity for stage in kept.made.stages if wanted.revision},
        promised_on=promised_on,
        must_keep=must_keep,
        price_cents=kept.sums.price_cents,
        notes=notes_of(row, kept),
        now=now,
    )
    note_made(session, job, who, now, why=f"from quote {row.id}, revision {kept.number}")
    if wanted.revision is None:
        _add_stages(session, job.id, kept, who, now)
    return job.id


def notes_of(row: QuoteRow, kept: Kept) -> str:
    """What the bench and the office have to know of what was agreed: words, notes, options, charges."""
    wanted = kept.wanted
    agreed = [option.words for option in wanted.options if option.in_total]
    charged = [charge.words or charge.kind for charge in wanted.charges]
    lines = (
        wanted.words.strip(),
        wanted.notes.strip(),
        f"Chosen: {'; '.join(agreed)}." if agreed else "",
        f"Charged beside the work: {'; '.join(charged)}." if charged else "",
        f"From quote {row.id}, revision {kept.number}.",
    )
    return "\n".join(line for line in lines if line)


def _add_stages(session: Session, job: int, kept: Kept, who: int | None, now: datetime) -> None:
    last: tuple[Need, ...] = ()
    for stage in kept.made.stages:
        said = StageSaid(
            kind_id=stage.kind,
            name=stage.name,
            quantity=stage.quantity,
            station_id=stage.station,
            needs=last,
        )
        last = (Need(add_stage(session, job, said, who, now).id),)
