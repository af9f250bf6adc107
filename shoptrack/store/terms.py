"""What a quote asks for by itself, by date: margin, waste, tax, least charge, deposit, days it is valid."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from shoptrack.engine.prices import WHOLE_BP, markup_of
from shoptrack.errors import BadInput
from shoptrack.store.dated_rows import say_from
from shoptrack.store.tables import EditRow, TermsRow

MOST_MARGIN_BP = 9_500
MOST_WASTE_BP = 30_000
MOST_DAYS = 3_650


@dataclass(frozen=True, slots=True)
class Terms:
    """What the shop asks for. Shares are in hundredths of a per cent, money in the smallest unit.

    ``margin_bp`` is of the price without tax; ``waste_bp`` is bought on top of what a piece takes; ``tax_bp``
    is on the price (0: none; 887.5: 8.875 %) and ``tax_name`` what it is called; ``least_cents`` is the least
    that any order is done for; ``deposit_bp`` is of what is paid; ``valid_days`` is how long a quote stands.
    ``starting``: nobody said any; these are what a shop begins with.
    """

    margin_bp: int
    waste_bp: int
    tax_bp: float
    tax_name: str
    least_cents: int
    deposit_bp: int
    valid_days: int
    starting: bool = False

    @property
    def markup_bp(self) -> int:
        """The share of the cost that the margin is, rounded: a margin of 40 % is a markup of 66.67 %."""
        return round(markup_of(self.margin_bp / WHOLE_BP) * WHOLE_BP)


STARTING = Terms(
    margin_bp=3_000,
    waste_bp=2_000,
    tax_bp=0,
    tax_name="",
    least_cents=0,
    deposit_bp=5_000,
    valid_days=30,
    starting=True,
)
"""What counts until the shop says its own: common practice, no source. Nobody can guess a shop's tax."""


def say_terms(session: Session, terms: Terms, *, from_on: date, who: int | None, now: datetime) -> bool:
    """Say terms from a day on; quotes that were made keep those they were made with.

    Gives whether anything changed. Raises BadInput with the field that can't be meant.
    """
    _check(terms)
    values = asdict(terms)
    del values["starting"]  # whoever says the starting values has said them
    return say_from(session, TermsRow, {}, from_on, who, now, **values)


def _check(terms: Terms) -> None:
    if not 0 <= terms.margin_bp <= MOST_MARGIN_BP:
        raise BadInput("A margin is a share of the price: from 0 % to 95 %.", "margin")
    if not 0 <= terms.waste_bp <= MOST_WASTE_BP:
        raise BadInput("The waste on top lies between 0 % and 300 %.", "waste")
    if not 0 <= terms.tax_bp <= WHOLE_BP:
        raise BadInput("A tax lies between 0 % and 100 %.", "tax")
    if terms.tax_bp and not terms.tax_name:
        raise BadInput("Say what the tax is called, like VAT.", "tax_name")
    if terms.least_cents < 0:
        raise BadInput("An order can’t cost less than nothing.", "least")
    if not 0 <= terms.deposit_bp <= WHOLE_BP:
        raise BadInput("A deposit is a share of what is paid: from 0 % to 100 %.", "deposit")
    if not 1 <= terms.valid_days <= MOST_DAYS:
        raise BadInput(f"A quote holds from 1 to {MOST_DAYS} days.", "valid_days")


def list_terms(session: Session) -> Sequence[TermsRow]:
    """All terms there ever were, the oldest first."""
    return session.scalars(select(TermsRow).order_by(TermsRow.from_on)).all()


def terms_on(session: Session, day: date) -> Terms:
    """The terms that count on a day. Empty: ``STARTING`` where none are said for that day or before it."""
    newest = select(TermsRow).where(TermsRow.from_on <= day).order_by(TermsRow.from_on.desc()).limit(1)
    row = session.scalar(newest)
    return STARTING if row is None else terms_of(row)


def terms_of(row: TermsRow) -> Terms:
    """The terms that a row says."""
    return Terms(
        row.margin_bp,
        row.waste_bp,
        row.tax_bp,
        row.tax_name,
        row.least_cents,
        row.deposit_bp,
        row.valid_days,
    )


def lines_about_terms() -> ColumnElement[bool]:
    """Which lines of history speak of terms."""
    return EditRow.table_name == TermsRow.__tablename__
