"""A job's row and its history → what its page says beside the stages: money, promise, delivery, end."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shoptrack.store.edits import history
from shoptrack.store.jobs import job_row
from shoptrack.store.names import people_names
from shoptrack.store.tables import EditRow, JobRow


@dataclass(frozen=True, slots=True)
class Moved:
    """A change of the promised date: from, to, when, by whom and why; an empty name where nobody said."""

    before: date | None
    after: date | None
    at: datetime
    who: str
    why: str


@dataclass(frozen=True, slots=True)
class JobFacts:
    """What is written down of a job. ``customer`` is written as the list of customers offers it."""

    id: int
    tag: str
    title: str
    customer_id: int
    pieces: int
    notes: str
    promised_on: date | None
    must_keep: bool
    price_cents: int | None
    deposit_cents: int | None
    deposit_on: date | None
    delivered_on: date | None
    closed_at: datetime | None
    called_off_why: str | None
    moves: tuple[Moved, ...]

    @property
    def owed_cents(self) -> int:
        """The deposit, while the work it was given for is still owed."""
        return (self.deposit_cents or 0) if self.delivered_on is None else 0


def job_facts(session: Session, job_id: int) -> JobFacts:
    """What is written down of one job. Raises NotFound."""
    row = job_row(session, job_id)
    return JobFacts(
        id=row.id,
        tag=row.tag,
        title=row.title,
        customer_id=row.customer_id,
        pieces=row.pieces,
        notes=row.notes,
        promised_on=row.promised_on,
        must_keep=row.must_keep,
        price_cents=row.price_cents,
        deposit_cents=row.deposit_cents,
        deposit_on=row.deposit_on,
        delivered_on=row.delivered_on,
        closed_at=row.closed_at,
        called_off_why=row.called_off_why,
        moves=_moves(session, row),
    )


def _moves(session: Session, row: JobRow) -> tuple[Moved, ...]:
    names = people_names(session)
    lines = [e for e in history(session, "jobs", row.id) if e.field == "promised_on"]
    return tuple(
        Moved(_day(e, "before"), _day(e, "after"), e.at, names.get(e.person_id or 0, ""), e.why or "")
        for e in lines
    )


def _day(line: EditRow, which: str) -> date | None:
    said = getattr(line, which)
    return date.fromisoformat(said) if said else None
