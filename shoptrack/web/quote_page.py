"""A quote and its revisions → what its page and sheets show: where it stands, and what changed when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.flows.quoting.compare import Difference, compare
from shoptrack.flows.quoting.kept import Kept, kept_of
from shoptrack.store.jobs import job_row
from shoptrack.store.names import people_names
from shoptrack.store.quotes import Standing, quote_row, standing_on
from shoptrack.web.render import Wall


@dataclass(frozen=True, slots=True)
class Revision:
    """One revision in the list: who made it when, its price without tax, and what is new against the last."""

    number: int
    made_at: datetime
    who: str
    price_cents: int
    changes: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class QuotePage:
    """A quote as its page shows it: where it stands, the revision that is shown, and all there are.

    ``dated_on`` and ``holds_until_on`` are what its sheet says: of one that is not out, as if it went today.
    """

    id: int
    title: str
    customer_id: int
    customer: str
    address: str
    standing: Standing
    out_at: datetime | None
    valid_until_on: date | None
    answered_at: datetime | None
    why: str
    job_id: int | None
    job_tag: str
    kept: Kept
    revision_id: int
    newest: int
    revisions: tuple[Revision, ...]
    dated_on: date
    holds_until_on: date

    @property
    def is_newest(self) -> bool:
        """Whether the revision that is shown is the newest."""
        return self.kept.number == self.newest

    @property
    def answered(self) -> bool:
        """Whether it was taken or turned down, so that it stays as it is."""
        return self.answered_at is not None


def quote_page(session: Session, quote: int, number: int | None, now: datetime, wall: Wall) -> QuotePage:
    """A quote with one of its revisions, the newest where no ``number`` is said. Raises NotFound."""
    row = quote_row(session, quote)
    kept = [kept_of(revision) for revision in row.revisions]
    shown = kept[-1] if number is None else next((k for k in kept if k.number == number), None)
    if shown is None:
        raise NotFound(f"This quote has no revision {number}.")
    today = wall.local(now).date()
    out_on = wall.local(row.out_at).date() if row.out_at and shown is kept[-1] else None
    dated_on = out_on or (today if shown is kept[-1] else shown.made.on)
    until = row.valid_until_on if out_on else None
    return QuotePage(
        id=row.id,
        title=shown.wanted.title,
        customer_id=row.customer_id,
        customer=row.buyer.name,
        address=row.buyer.address,
        standing=standing_on(row, today),
        out_at=row.out_at,
        valid_until_on=row.valid_until_on,
        answered_at=row.answered_at,
        why=row.turned_down_why,
        job_id=row.job_id,
        job_tag=job_row(session, row.job_id).tag if row.job_id is not None else "",
        kept=shown,
        revision_id=row.revisions[shown.number - 1].id,
        newest=len(kept),
        revisions=_revisions(kept, people_names(session)),
        dated_on=dated_on,
        holds_until_on=until or dated_on + timedelta(days=shown.terms.valid_days),
    )


def _revisions(kept: Sequence[Kept], names: dict[int, str]) -> tuple[Revision, ...]:
    """The newest first; the first one is new against nothing."""
    before = [None, *kept[:-1]]
    found = [
        Revision(
            number=k.number,
            made_at=k.made_at,
            who=names.get(k.who or 0, ""),
            price_cents=k.sums.price_cents,
            changes=() if old is None else compare(old, k),
        )
        for old, k in zip(before, kept, strict=True)
    ]
    return tuple(reversed(found))
