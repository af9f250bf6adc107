"""Quotes: listed and found, one with its revisions, made, and where each stands on a day."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal, cast

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased, selectinload

from shoptrack.engine.shapes.quoted import Range
from shoptrack.errors import NotFound
from shoptrack.store.edits import note_made
from shoptrack.store.tables import (
    CustomerRow,
    JobRow,
    MaterialPriceRow,
    MaterialRow,
    PatternRevisionRow,
    PatternRow,
    QuoteRevisionRow,
    QuoteRow,
)

Standing = Literal["draft", "out", "lapsed", "taken", "turned down"]
STANDINGS: tuple[Standing, ...] = ("draft", "out", "lapsed", "taken", "turned down")


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """A quote in the list, as its newest revision has it. ``price_cents`` is without tax.

    ``pattern`` is the name of the pattern, empty where it has none; ``job_tag`` that of the job it became.
    """

    id: int
    title: str
    customer_id: int
    customer: str
    standing: Standing
    number: int
    pieces: int
    pattern: str
    price_cents: int
    made_at: datetime
    out_at: datetime | None
    valid_until_on: date | None
    answered_at: datetime | None
    turned_down_why: str
    job_id: int | None
    job_tag: str


@dataclass(frozen=True, slots=True)
class Price:
    """What one unit of a material costs, since when the shop has that price, and its name and unit."""

    name: str
    unit: str
    cents: int | None
    from_on: date | None


def standing_on(row: QuoteRow, today: date) -> Standing:
    """Where a quote stands on a day: one that is out past its last day has lapsed."""
    if row.standing == "out" and row.valid_until_on is not None and row.valid_until_on < today:
        return "lapsed"
    return cast(Standing, row.standing)


def quote_row(session: Session, quote_id: int) -> QuoteRow:
    """One quote with its revisions, the oldest first. Raises NotFound."""
    chosen = selectinload(QuoteRow.revisions)
    row = session.get(QuoteRow, quote_id, options=[chosen]) if 0 < quote_id < 2**63 else None
    if row is None:
        raise NotFound("There is no such quote.")
    return row


def quote_made_by(session: Session, form_id: str) -> QuoteRow | None:
    """The quote that this very form made already; None: none."""
    return session.scalars(select(QuoteRow).where(QuoteRow.form_id == form_id)).first()


def quote_of_job(session: Session, job_id: int) -> QuoteRow | None:
    """The quote that a job was made of, with its revisions; None for a job that was never quoted."""
    chosen = select(QuoteRow).where(QuoteRow.job_id == job_id).options(selectinload(QuoteRow.revisions))
    return session.scalars(chosen).first()


def quotes_of_jobs(session: Session, most: int) -> list[QuoteRow]:
    """The newest quotes that became jobs, so many at most, the oldest first, with their revisions."""
    taken = select(QuoteRow).where(QuoteRow.job_id.is_not(None))
    newest = taken.order_by(QuoteRow.answered_at.desc(), QuoteRow.id.desc()).limit(most)
    return list(session.scalars(newest.options(selectinload(QuoteRow.revisions))))[::-1]


def list_quotes(
    session: Session,
    today: date,
    standing: Standing | None = None,
    words: str = "",
    limit: int = 100,
    offset: int = 0,
) -> list[QuoteLine]:
    """Some of the quotes, the newest first: of one standing, of a customer or title with all these words, a
    quote's number among them.

    Large and small letters are the same. Empty: none.
    """
    chosen = _of_standing(_lines(), standing, today)
    if wanted := words.casefold().split():
        found = _with_words(session, wanted, standing, today)
        chosen = chosen.where(QuoteRow.id.in_(found[offset : offset + limit]))
    else:
        chosen = chosen.limit(limit).offset(offset)
    return [_line(row, today) for row in session.execute(chosen)]


def quote_line(session: Session, row: QuoteRow, today: date) -> QuoteLine:
    """One quote as the list has it."""
    return _line(session.execute(_lines().where(QuoteRow.id == row.id)).one(), today)


def quotes_of_customer(session: Session, customer: int, today: date) -> list[QuoteLine]:
    """What a customer was quoted, the newest first. Empty: nothing yet."""
    own = _lines().where(QuoteRow.customer_id == customer)
    return [_line(row, today) for row in session.execute(own)]


def quote_number_of_job(session: Session, job_id: int) -> int | None:
    """The number of the quote that a job was made of; None for a job that was never quoted."""
    return session.scalar(select(QuoteRow.id).where(QuoteRow.job_id == job_id))


def hands_of(session: Session, quotes: Sequence[QuoteLine]) -> dict[int, Range]:
    """The range of minutes of hands that the newest revision of each of some quotes came to."""
    newest = {line.id: line.number for line in quotes}
    revision = QuoteRevisionRow
    chosen = select(revision.quote_id, revision.number, revision.worked).where(revision.quote_id.in_(newest))
    rows = session.execute(chosen).all()
    return {
        quote: Range(**worked["worked"]["hands_min"])
        for quote, number, worked in rows
        if newest[quote] == number
    }


def count_quotes(session: Session, today: date) -> dict[Standing, int]:
    """How many quotes there are of each standing."""
    lapsed = (QuoteRow.standing == "out") & (QuoteRow.valid_until_on < today)
    rows = session.execute(
        select(QuoteRow.standing, lapsed, func.count()).group_by(QuoteRow.standing, lapsed)
    )
    found = Counter[str]()
    for standing, is_lapsed, count in rows:
        found["lapsed" if is_lapsed else standing] += count
    return {standing: found[standing] for standing in STANDINGS}


def newest_of_pattern(session: Session, pattern: int) -> QuoteRevisionRow | None:
    """The newest revision of the newest quote of a pattern, whatever became of it; None: never quoted."""
    chosen = (
        select(QuoteRevisionRow)
        .join(PatternRevisionRow, PatternRevisionRow.id == QuoteRevisionRow.pattern_revision_id)
        .where(PatternRevisionRow.pattern_id == pattern)
        .order_by(QuoteRevisionRow.quote_id.desc(), QuoteRevisionRow.number.desc())
    )
    return session.scalars(chosen.limit(1)).first()


def material_price(session: Session, material: int, on: date) -> Price | None:
    """A material with what it costs on a day; None where there is no such material."""
    row = session.get(MaterialRow, material)
    if row is None:
        return None
    dated = select(MaterialPriceRow).where(
        MaterialPriceRow.material_id == material, MaterialPriceRow.from_on <= on
    )
    price = session.scalars(dated.order_by(MaterialPriceRow.from_on.desc()).limit(1)).first()
    if price is None:
        return Price(row.name, row.unit or "", None, None)
    return Price(row.name, row.unit or "", price.cents, price.from_on)


def add_quote(
    session: Session, *, form_id: str, customer: int, title: str, who: int | None, now: datetime
) -> QuoteRow:
    """Add a quote without a revision yet."""
    row = QuoteRow(form_id=form_id, customer_id=customer, title=title, made_at=now, person_id=who)
    row.standing = "draft"
    session.add(row)
    note_made(session, row, who, now)
    return row


def _lines() -> Any:
    revision, other = QuoteRevisionRow, aliased(QuoteRevisionRow)
    newest = select(func.max(other.number)).where(other.quote_id == QuoteRow.id).scalar_subquery()
    return (
        select(QuoteRow, revision.number, revision.pieces, revision.price_cents, PatternRow.name, JobRow.tag)
        .select_from(QuoteRow)
        .join(revision, (revision.quote_id == QuoteRow.id) & (revision.number == newest))
        .outerjoin(PatternRevisionRow, PatternRevisionRow.id == revision.pattern_revision_id)
        .outerjoin(PatternRow, PatternRow.id == PatternRevisionRow.pattern_id)
        .outerjoin(JobRow, JobRow.id == QuoteRow.job_id)
        .order_by(QuoteRow.id.desc())
    )


def _of_standing(chosen: Any, standing: Standing | None, today: date) -> Any:
    until = QuoteRow.valid_until_on
    if standing == "lapsed":
        return chosen.where(QuoteRow.standing == "out", until < today)
    if standing == "out":
        return chosen.where(QuoteRow.standing == "out", until.is_(None) | (until >= today))
    return chosen if standing is None else chosen.where(QuoteRow.standing == standing)


def _line(row: Any, today: date) -> QuoteLine:
    quote, number, pieces, price_cents, pattern, tag = row
    return QuoteLine(
        id=quote.id,
        title=quote.title,
        customer_id=quote.customer_id,
        customer=quote.buyer.name,
        standing=standing_on(quote, today),
        number=number,
        pieces=pieces,
        pattern=pattern or "",
        price_cents=price_cents,
        made_at=quote.made_at,
        out_at=quote.out_at,
        valid_until_on=quote.valid_until_on,
        answered_at=quote.answered_at,
        turned_down_why=quote.turned_down_why,
        job_id=quote.job_id,
        job_tag=tag or "",
    )


def _with_words(session: Session, words: list[str], standing: Standing | None, today: date) -> list[int]:
    """The quotes with all these words in title and customer, or as their number, the newest first."""
    named = select(QuoteRow.id, QuoteRow.title, CustomerRow.name)
    named = named.join(CustomerRow, CustomerRow.id == QuoteRow.customer_id).order_by(QuoteRow.id.desc())
    rows = session.execute(_of_standing(named, standing, today))
    said = ((id_, f"{title} {name}".casefold()) for id_, title, name in rows)
    return [id_ for id_, text in said if all(word in text or word == str(id_) for word in words)]
