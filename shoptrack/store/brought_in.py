"""Customers and materials as lists of plain lines, and such lines from a file as new rows with history."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.customers import Called
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import CustomerRow, MaterialPriceRow, MaterialRow, MaterialWearRow

USUAL_WEAR = 1.0  # the shop's usual wood
WHY = "brought in from a file"
_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class ListedCustomer:
    """A customer that there is: what is written down, the row's id, and whether it was put away."""

    line: Called
    id: int
    retired: bool


@dataclass(frozen=True, slots=True)
class BroughtCustomer:
    """A customer from a file: new, or one that there is (``id``) with what was empty filled in."""

    line: Called
    id: int | None = None


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """A material as a line of a table: the unit it is bought by, what one costs, its wear on an edge."""

    name: str
    unit: str
    cents: int | None
    wear: float | None


@dataclass(frozen=True, slots=True)
class ListedMaterial:
    """A material that there is, as it counts today, and whether it was put away."""

    line: MaterialLine
    retired: bool


def customers(session: Session) -> Iterator[ListedCustomer]:
    """All customers, oldest first."""
    said = (getattr(CustomerRow, field.name) for field in fields(Called))
    chosen = select(CustomerRow.id, CustomerRow.retired_at, *said).order_by(CustomerRow.id)
    for id, retired_at, *words in session.execute(chosen.execution_options(yield_per=_AT_ONCE)):
        yield ListedCustomer(Called(*words), id, retired_at is not None)


def add_customers(
    session: Session, brought: Sequence[BroughtCustomer], who: int | None, now: datetime
) -> None:
    """Add customers, or fill in what was empty of those that there are."""
    for one in brought:
        row = None if one.id is None else session.get(CustomerRow, one.id)
        if row is None:
            row = CustomerRow(**asdict(one.line))
            session.add(row)
            note_made(session, row, who, now, WHY)
        else:
            edit(session, row, who, now, why=WHY, **asdict(one.line))


def materials(session: Session, on: date, at: datetime) -> Iterator[ListedMaterial]:
    """All materials by name, with the price of a day and the wear at an instant."""
    cents, wear = _prices(session, on), _wears(session, at)
    for row in session.scalars(select(MaterialRow).order_by(MaterialRow.name)):
        line = MaterialLine(row.name, row.unit or "", cents.get(row.id), wear.get(row.id))
        yield ListedMaterial(line, row.retired_at is not None)


def _prices(session: Session, on: date) -> Mapping[int, int]:
    said = select(MaterialPriceRow.material_id, MaterialPriceRow.cents).where(MaterialPriceRow.from_on <= on)
    return {id: cents for id, cents in session.execute(said.order_by(MaterialPriceRow.from_on))}


def _wears(session: Session, at: datetime) -> Mapping[int, float]:
    said = select(MaterialWearRow.material_id, MaterialWearRow.factor).where(MaterialWearRow.from_at <= at)
    return {id: factor for id, factor in session.execute(said.order_by(MaterialWearRow.from_at))}


def add_materials(
    session: Session, lines: Sequence[MaterialLine], on: date, who: int | None, now: datetime
) -> None:
    """Add materials with what they cost from a day on; wear not said is the usual wood's, to start."""
    for line in lines:
        row = MaterialRow(name=line.name, unit=line.unit or None)
        session.add(row)
        note_made(session, row, who, now, WHY)
        wear = USUAL_WEAR if line.wear is None else line.wear
        session.add(MaterialWearRow(material_id=row.id, from_at=now, factor=wear, starting=line.wear is None))
        if line.cents is not None:
            session.add(MaterialPriceRow(material_id=row.id, from_on=on, cents=line.cents))
    session.flush()
