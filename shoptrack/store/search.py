"""Everything that was written down → the words of each thing that a search looks through, and its place."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from shoptrack.store.tables import (
    CostRow,
    CustomerRow,
    EntryRow,
    EntryStageRow,
    ExtraRow,
    JobRow,
    PatternRevisionRow,
    PatternRow,
    PhotoRow,
    QuoteRevisionRow,
    QuoteRow,
    StageRow,
)


@dataclass(frozen=True, slots=True)
class Written:
    """One thing with its words: which it is, the job it belongs to, and how it reads in a list of finds.

    ``short`` is a short name that is searched for by itself (a job's tag, a quote's number).
    """

    id: int
    words: tuple[str, ...]
    job: int | None = None
    short: str = ""


@dataclass(frozen=True, slots=True)
class JobName:
    """A job by its tag and title."""

    id: int
    tag: str
    title: str
    closed: bool


def job_words(session: Session) -> Iterator[Written]:
    """Jobs, the newest first: title, customer, notes, why called off."""
    rows = session.execute(
        select(JobRow.id, JobRow.tag, JobRow.title, CustomerRow.name, JobRow.notes, JobRow.called_off_why)
        .join(CustomerRow, CustomerRow.id == JobRow.customer_id)
        .order_by(JobRow.id.desc())
    )
    for id_, tag, title, customer, notes, why in rows:
        yield Written(id_, (title, customer, notes, why or ""), id_, tag)


def quote_words(session: Session) -> Iterator[Written]:
    """Quotes, the newest first: "quote", title, customer; by the newest revision pattern, words, notes."""
    quote, revision, other = QuoteRow, QuoteRevisionRow, aliased(QuoteRevisionRow)
    newest = select(func.max(other.number)).where(other.quote_id == quote.id).scalar_subquery()
    # only these two out of all that the revision keeps: the whole is a hundred times as long
    said = (func.json_extract(revision.asked, f"$.made.wanted.{name}") for name in ("words", "notes"))
    rows = session.execute(
        select(quote.id, quote.title, CustomerRow.name, PatternRow.name, *said)
        .join(CustomerRow, CustomerRow.id == quote.customer_id)
        .join(revision, (revision.quote_id == quote.id) & (revision.number == newest))
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == revision.pattern_revision_id)
        .outerjoin(PatternRow, PatternRow.id == PatternRevisionRow.pattern_id)
        .order_by(quote.id.desc())
    )
    for id_, *words in rows:
        yield Written(id_, ("quote", *(word or "" for word in words)), short=str(id_))


def customer_words(session: Session) -> Iterator[Written]:
    """Customers by name, the retired ones too."""
    c = CustomerRow
    rows = session.execute(
        select(c.id, c.name, c.contact, c.email, c.phone, c.address, c.notes).order_by(c.name, c.id)
    )
    for id_, *words in rows:
        yield Written(id_, tuple(words))


def pattern_words(session: Session) -> Iterator[Written]:
    """Patterns by name."""
    for id_, name in session.execute(select(PatternRow.id, PatternRow.name).order_by(PatternRow.name)):
        yield Written(id_, (name,))


def stage_words(session: Session) -> Iterator[Written]:
    """What stages are called and set to, once for all that read the same, with the newest such job."""
    newest, own = func.max(StageRow.job_id), (StageRow.name, StageRow.settings, StageRow.caution)
    rows = session.execute(
        select(func.count(), newest, *own)
        .where(StageRow.removed_at.is_(None))
        .group_by(*own)
        .order_by(newest.desc())
    )
    for count, job, *words in rows:
        yield Written(count, tuple(words), job)


def note_words(session: Session, kinds: Sequence[str]) -> Iterator[Written]:
    """What was written to entries of some kinds, the newest first, with the job of the first stage named."""
    rows = session.execute(
        select(EntryRow.n, EntryRow.body, EntryRow.job_id, StageRow.job_id)
        .outerjoin(EntryStageRow, (EntryStageRow.entry_n == EntryRow.n) & (EntryStageRow.place == 0))
        .outerjoin(StageRow, StageRow.id == EntryStageRow.stage_id)
        .where(EntryRow.kind.in_(kinds))
        .order_by(EntryRow.n.desc())
    )
    for n, body, whole, staged in rows:
        words = _said(body)
        if words and (whole or staged) is not None:
            yield Written(n, words, whole or staged)


def _said(body: Any) -> tuple[str, ...]:
    return tuple(str(body[name]) for name in ("text", "reason", "cause") if body.get(name))


def extra_words(session: Session) -> Iterator[Written]:
    """Extras, the newest first."""
    rows = session.execute(select(ExtraRow).order_by(ExtraRow.id.desc())).scalars()
    for row in rows:
        yield Written(row.id, (row.words, row.approved_how), row.job_id)


def cost_words(session: Session) -> Iterator[Written]:
    """Costs that count, the newest first."""
    own = select(CostRow.id, CostRow.words, CostRow.kind, CostRow.job_id).where(CostRow.retired_at.is_(None))
    for id_, words, kind, job in session.execute(own.order_by(CostRow.id.desc())):
        yield Written(id_, (words, kind), job)


def photo_words(session: Session) -> Iterator[Written]:
    """Photos of jobs that something was written to, the newest first."""
    own = select(PhotoRow.id, PhotoRow.words, PhotoRow.job_id)
    own = own.where(PhotoRow.retired_at.is_(None), PhotoRow.words != "", PhotoRow.job_id.is_not(None))
    for id_, words, job in session.execute(own.order_by(PhotoRow.id.desc())):
        yield Written(id_, (words,), job)


def job_names(session: Session, jobs: Sequence[int]) -> dict[int, JobName]:
    """Some jobs by number."""
    own = select(JobRow.id, JobRow.tag, JobRow.title, JobRow.closed_at).where(JobRow.id.in_(jobs))
    return {r.id: JobName(r.id, r.tag, r.title, r.closed_at is not None) for r in session.execute(own)}


def instants_of_notes(session: Session, numbers: Sequence[int]) -> dict[int, datetime]:
    """When the entries with these places in the log counted first."""
    own = select(EntryRow.n, EntryRow.at).where(EntryRow.n.in_(numbers))
    return {r.n: r.at for r in session.execute(own)}
