"""Money that a job cost beside its hours: listed, added, taken back, with a material's price on a day."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import CostRow, MaterialPriceRow, MaterialRow

COST_KINDS = ("material", "hardware", "outside work", "other")


@dataclass(frozen=True, slots=True)
class Spent:
    """A cost as it is written down. ``cents`` None: the material's quantity at its price on that day."""

    kind: str
    words: str
    spent_on: date
    material_id: int | None = None
    quantity: float | None = None
    cents: int | None = None


def costs_of(session: Session, job_id: int) -> list[CostRow]:
    """The costs of a job that count, by day. Empty: none."""
    own = select(CostRow).where(CostRow.job_id == job_id, CostRow.retired_at.is_(None))
    return list(session.scalars(own.order_by(CostRow.spent_on, CostRow.id)))


def newest_cost(session: Session, job_id: int) -> int:
    """The number of the cost of a job that was added last; 0 where there is none."""
    return session.scalar(select(func.max(CostRow.id)).where(CostRow.job_id == job_id)) or 0


def price_on(session: Session, material_id: int, on: date) -> int | None:
    """What one unit of a material cost on a day, in cents; None where no price was in force."""
    dated = select(MaterialPriceRow.cents).where(
        MaterialPriceRow.material_id == material_id, MaterialPriceRow.from_on <= on
    )
    return session.scalar(dated.order_by(MaterialPriceRow.from_on.desc()).limit(1))


def add_cost(
    session: Session, job_id: int, spent: Spent, *, after: int, who: int | None, now: datetime
) -> CostRow:
    """Write a cost down.

    ``after`` is the number of the job's newest cost when the form was shown: the same form sent again finds
    the cost that it made. Raises BadInput where there is neither an amount nor a price to reckon it from.
    """
    said = {
        "job_id": job_id,
        "kind": spent.kind,
        "words": spent.words,
        "spent_on": spent.spent_on,
        "material_id": spent.material_id,
        "quantity": spent.quantity,
        "cents": _cents(session, spent),
    }
    since = select(CostRow).where(CostRow.id > after, CostRow.retired_at.is_(None)).filter_by(**said)
    if (again := session.scalars(since.limit(1)).first()) is not None:
        return again
    row = CostRow(**said, added_at=now)
    session.add(row)
    note_made(session, row, who, now)
    return row


def take_back(session: Session, job_id: int, cost_id: int, who: int | None, now: datetime) -> None:
    """A cost counts no longer; it stays in the history. Said again it changes nothing. Raises NotFound."""
    row = session.get(CostRow, cost_id)
    if row is None or row.job_id != job_id:
        raise NotFound("There is no such cost on this job.")
    if row.retired_at is None:
        edit(session, row, who, now, retired_at=now)


def _cents(session: Session, spent: Spent) -> int:
    if spent.cents is not None:
        return spent.cents
    if spent.material_id is None or spent.quantity is None:
        raise BadInput("Write the amount, or choose a material and how much of it.", "cost")
    material = session.get(MaterialRow, spent.material_id)
    if material is None:
        raise BadInput("There is no such material.", "material")
    price = price_on(session, spent.material_id, spent.spent_on)
    if price is None:
        raise BadInput(f"There is no price for {material.name} on that day: write the amount.", "cost")
    return times_price(spent.quantity, price)


def times_price(quantity: float, price_cents: int) -> int:
    """A quantity at a price in whole cents, halves up, by the decimals that were typed: 2.3 at 50 is 115."""
    return int((Decimal(str(quantity)) * price_cents).quantize(Decimal(1), ROUND_HALF_UP))
