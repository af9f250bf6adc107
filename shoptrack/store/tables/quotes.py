"""Tables of quotes with their revisions, and of the terms and the cost of an hour that they are made with."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from shoptrack.store.base import Base, Instant, Json
from shoptrack.store.tables.customers import CustomerRow


class TermsRow(Base):
    """What the shop asks for by itself, from a date on; shares are in hundredths of a per cent (2500: 25 %).

    ``margin_bp`` is of the price; ``waste_bp`` is bought on top of what a piece takes; ``tax_bp`` may have
    one decimal (887.5: 8.875 %); ``least_cents`` is the least that any order is done for.
    """

    __tablename__ = "terms"
    id: Mapped[int] = mapped_column(primary_key=True)
    from_on: Mapped[date] = mapped_column(unique=True)
    margin_bp: Mapped[int]
    waste_bp: Mapped[int]
    tax_bp: Mapped[float]
    tax_name: Mapped[str] = mapped_column(default="")
    least_cents: Mapped[int] = mapped_column(default=0)
    deposit_bp: Mapped[int] = mapped_column(default=0)
    valid_days: Mapped[int] = mapped_column(default=30)
    __table_args__ = (
        CheckConstraint("margin_bp BETWEEN 0 AND 9500", name="margin"),
        CheckConstraint("waste_bp BETWEEN 0 AND 30000", name="waste"),
        CheckConstraint("tax_bp BETWEEN 0 AND 10000 AND deposit_bp BETWEEN 0 AND 10000", name="shares"),
        CheckConstraint("least_cents >= 0 AND valid_days > 0", name="not_negative"),
    )


class HourCostRow(Base):
    """What a year costs the shop and how many hours it pays, from a date on: the cost of an hour on jobs.

    ``on_jobs_bp`` is the share of paid hours that are on jobs; NULL: as the log says.
    """

    __tablename__ = "hour_costs"
    id: Mapped[int] = mapped_column(primary_key=True)
    from_on: Mapped[date] = mapped_column(unique=True)
    wages_cents: Mapped[int]
    taxes_cents: Mapped[int]
    benefits_cents: Mapped[int]
    overhead_cents: Mapped[int]
    paid_h: Mapped[float]
    on_jobs_bp: Mapped[int | None]
    __table_args__ = (
        CheckConstraint(
            "wages_cents >= 0 AND taxes_cents >= 0 AND benefits_cents >= 0 AND overhead_cents >= 0",
            name="not_negative",
        ),
        CheckConstraint("paid_h > 0", name="paid"),
        CheckConstraint("on_jobs_bp BETWEEN 1 AND 10000", name="on_jobs"),
    )


class QuoteRow(Base):
    """What somebody was or will be offered. A quote that is out past its last day has lapsed.

    ``form_id`` is the hidden id of the form that made it, so that a form sent twice makes one.
    """

    __tablename__ = "quotes"
    id: Mapped[int] = mapped_column(primary_key=True)
    form_id: Mapped[str] = mapped_column(unique=True)
    customer_id: Mapped[int] = mapped_column(ForeignKey("customers.id"))
    title: Mapped[str]
    standing: Mapped[str] = mapped_column(default="draft")
    made_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    out_at: Mapped[datetime | None] = mapped_column(Instant)
    valid_until_on: Mapped[date | None]
    answered_at: Mapped[datetime | None] = mapped_column(Instant)
    turned_down_why: Mapped[str] = mapped_column(default="")
    job_id: Mapped[int | None] = mapped_column(ForeignKey("jobs.id"), unique=True)
    buyer: Mapped[CustomerRow] = relationship(lazy="joined", innerjoin=True)
    revisions: Mapped[list["QuoteRevisionRow"]] = relationship(
        order_by="QuoteRevisionRow.number", back_populates="quote"
    )
    __table_args__ = (
        CheckConstraint("standing IN ('draft', 'out', 'taken', 'turned down')", name="standing"),
        CheckConstraint("(standing = 'taken') = (job_id IS NOT NULL)", name="taken_is_a_job"),
        CheckConstraint(
            "(standing IN ('taken', 'turned down')) = (answered_at IS NOT NULL)", name="answered"
        ),
        Index(None, "customer_id"),
        Index(None, "standing"),
    )


class QuoteRevisionRow(Base):
    """One state of a quote: what went into it and what came out, kept so that it shows the same for ever.

    ``asked`` is all that it was made from (stages, measures, rates, prices, terms, what was foretold of each
    stage), ``worked`` what came out; neither is reckoned again.
    """

    __tablename__ = "quote_revisions"
    id: Mapped[int] = mapped_column(primary_key=True)
    quote_id: Mapped[int] = mapped_column(ForeignKey("quotes.id"))
    number: Mapped[int]
    made_at: Mapped[datetime] = mapped_column(Instant)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    pattern_revision_id: Mapped[int | None] = mapped_column(ForeignKey("pattern_revisions.id"))
    pieces: Mapped[int]
    method: Mapped[str]
    seed: Mapped[int]
    asked: Mapped[Any] = mapped_column(Json)
    worked: Mapped[Any] = mapped_column(Json)
    price_cents: Mapped[int]
    quote: Mapped[QuoteRow] = relationship(back_populates="revisions")
    __table_args__ = (
        UniqueConstraint("quote_id", "number"),
        CheckConstraint("pieces > 0", name="pieces"),
        CheckConstraint("price_cents >= 0", name="not_negative"),
    )
