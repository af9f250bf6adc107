"""Customers: listed, found by what was typed, added, changed, retired; two of one name are kept apart."""

import re
from collections import Counter
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import CustomerRow, JobRow

_NUMBERED = re.compile(r"(.*) \(no\. (\d{1,9})\)")


@dataclass(frozen=True, slots=True)
class CustomerLine:
    """A customer in the list, with how many jobs there were and how many are open."""

    id: int
    name: str
    contact: str
    phone: str
    jobs: int
    open_jobs: int
    retired: bool


@dataclass(frozen=True, slots=True)
class Called:
    """What is written down of a customer."""

    name: str
    contact: str = ""
    email: str = ""
    phone: str = ""
    address: str = ""
    notes: str = ""


def list_customers(session: Session) -> list[CustomerLine]:
    """All customers by name, the retired ones last."""
    still = func.sum(case((JobRow.closed_at.is_(None), 1), else_=0))
    counted = (
        select(JobRow.customer_id, func.count().label("jobs"), still.label("still"))
        .group_by(JobRow.customer_id)
        .subquery()
    )
    rows = session.execute(
        select(CustomerRow, counted.c.jobs, counted.c.still).outerjoin(
            counted, counted.c.customer_id == CustomerRow.id
        )
    )
    lines = [
        CustomerLine(c.id, c.name, c.contact, c.phone, jobs or 0, still or 0, c.retired_at is not None)
        for c, jobs, still in rows
    ]
    return sorted(lines, key=lambda line: (line.retired, line.name.casefold(), line.id))


def customer_row(session: Session, customer_id: int) -> CustomerRow:
    """One customer. Raises NotFound."""
    row = session.get(CustomerRow, customer_id)
    if row is None:
        raise NotFound("There is no such customer.")
    return row


def jobs_of_customer(session: Session, customer_id: int) -> list[JobRow]:
    """A customer's jobs, the newest first."""
    own = select(JobRow).where(JobRow.customer_id == customer_id)
    return list(session.scalars(own.order_by(JobRow.added_at.desc(), JobRow.id.desc())))


def names_to_choose(session: Session) -> tuple[str, ...]:
    """The customers as a list offers them: by name, with a number where a name comes twice."""
    living = select(CustomerRow.id, CustomerRow.name).where(CustomerRow.retired_at.is_(None))
    rows = session.execute(living.order_by(CustomerRow.name, CustomerRow.id)).all()
    times = Counter(row.name.casefold() for row in rows)
    return tuple(row.name if times[row.name.casefold()] == 1 else numbered(row.name, row.id) for row in rows)


def numbered(name: str, customer_id: int) -> str:
    """A customer's name with the number that tells them from others of that name."""
    return f"{name} (no. {customer_id})"


def chosen_name(session: Session, customer: CustomerRow) -> str:
    """How a customer is written in a field that offers the list."""
    same = sum(c.name.casefold() == customer.name.casefold() for c in _living(session))
    return (
        customer.name if same == 1 and customer.retired_at is None else numbered(customer.name, customer.id)
    )


def customer_meant(session: Session, typed: str, new: bool = False) -> CustomerRow:
    """The customer that was typed or chosen from the list; added where there is none of that name.

    ``new`` adds one though others have that name. Raises BadInput where it could be one of several.
    """
    found = _NUMBERED.fullmatch(typed)
    row = session.get(CustomerRow, int(found[2])) if found is not None else None
    if row is not None and typed == numbered(row.name, row.id):
        return row
    same = [] if new else [c for c in _living(session) if c.name.casefold() == typed.casefold()]
    if len(same) > 1:
        raise BadInput(
            f"There are {len(same)} customers called {typed}: choose one with its number, or add a new one.",
            "customer",
        )
    return same[0] if same else _added(session, CustomerRow(name=typed))


def customer_named(session: Session, name: str) -> CustomerRow:
    """The customer of that name, the newest of several; added where there is none."""
    named = select(CustomerRow).where(CustomerRow.name == name, CustomerRow.retired_at.is_(None))
    row = session.scalars(named.order_by(CustomerRow.id.desc()).limit(1)).first()
    return row or _added(session, CustomerRow(name=name))


def add_customer(
    session: Session, called: Called, who: int | None, now: datetime, after: int = 2**31
) -> CustomerRow:
    """Add a customer, though others have that name.

    ``after`` is the newest customer's number when the form was shown: the same words sent again from that
    form find the one that was made, and make no second.
    """
    said = {name: getattr(called, name) for name in Called.__slots__}
    since = select(CustomerRow).where(CustomerRow.id > after).filter_by(**said)
    if (row := session.scalars(since.limit(1)).first()) is not None:
        return row
    row = _added(session, CustomerRow(**said))
    note_made(session, row, who, now)
    return row


def newest_customer(session: Session) -> int:
    """The number of the customer added last; 0 where there is none."""
    return session.scalar(select(func.max(CustomerRow.id))) or 0


def change_customer(
    session: Session, customer_id: int, called: Called, who: int | None, now: datetime
) -> None:
    """Write down what is different of a customer. Raises NotFound."""
    changes = {name: getattr(called, name) for name in Called.__slots__}
    edit(session, customer_row(session, customer_id), who, now, **changes)


def retire_customer(session: Session, customer_id: int, back: bool, who: int | None, now: datetime) -> None:
    """Take a customer off the lists to choose from, or put them back; said again it changes nothing."""
    row = customer_row(session, customer_id)
    if back == (row.retired_at is not None):
        edit(session, row, who, now, retired_at=None if back else now)


def _living(session: Session) -> list[CustomerRow]:
    living = select(CustomerRow).where(CustomerRow.retired_at.is_(None))
    return list(session.scalars(living.order_by(CustomerRow.id)))


def _added(session: Session, row: CustomerRow) -> CustomerRow:
    session.add(row)
    session.flush()
    return row
