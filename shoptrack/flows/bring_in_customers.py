"""Rows of customers → customers to add, or to fill in where only the name was known."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields, replace
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.flows import bring_in_cells as cells
from shoptrack.flows.bring_in_shapes import Already, Found, Judge, Reading, Subject, Ways
from shoptrack.flows.bring_in_sheet import Column, Row
from shoptrack.store.brought_in import (
    BroughtCustomer,
    ListedCustomer,
    add_customers,
    customers,
)
from shoptrack.store.customers import Called

COLUMNS = (
    Column("name", needed=True),
    Column("contact"),
    Column("email"),
    Column("phone"),
    Column("address"),
    Column("notes"),
)
_LONG = ("address", "notes")
FILLED_IN = "Customers that were known by name get what was empty filled in."


class _Judge:
    """Says of each customer whether they are new, known, or known otherwise."""

    def __init__(self, there: Sequence[ListedCustomer]) -> None:
        self.there: dict[str, list[ListedCustomer]] = {}
        for one in there:
            self.there.setdefault(cells.fold(one.line.name), []).append(one)
        self.taken: set[int] = set()
        self.seen: set[Called] = set()

    def __call__(self, row: Row) -> Found[BroughtCustomer] | Already:
        reading = Reading(row)
        line = _read(reading)
        if line in self.seen:
            return Already.THERE
        self.seen.add(line)
        alike = self.there.get(cells.fold(line.name), [])
        if any(not _other(one.line, line) for one in alike):
            return Already.THERE
        if not alike:
            return Found(BroughtCustomer(line))
        return Found(self._filled(reading, line, alike), (FILLED_IN,))

    def _filled(self, reading: Reading, line: Called, alike: Sequence[ListedCustomer]) -> BroughtCustomer:
        """The one customer of that name with the gaps filled. Raises RowWrong where another thing is said."""
        (one, *more) = alike
        clash = [name for name in _other(one.line, line) if getattr(one.line, name)]
        if more or one.id in self.taken or one.retired:
            clash = clash or ["name"]
        for name in clash:
            reading.refuse(
                name, _CLASHES.get(name, f"This customer is there with another {name}; {_WAY_OUT}")
            )
        reading.settle()
        self.taken.add(one.id)
        kept: Mapping[str, str] = {n: value for n, value in asdict(line).items() if value}
        return BroughtCustomer(replace(one.line, **{**kept, "name": one.line.name}), one.id)


_WAY_OUT = "change it on the customer’s own page."
_CLASHES = {
    "name": f"There is a customer of that name already, with other details; {_WAY_OUT}",
    "notes": f"This customer is there with other notes; {_WAY_OUT}",
}


def _read(reading: Reading) -> Called:
    said = {
        field.name: reading.read(
            field.name,
            cells.note if field.name in _LONG else cells.words,
            "",
        )
        for field in fields(Called)
    }
    if not said["name"] and not reading.wrong:
        reading.refuse("name", "It is missing.")
    reading.settle()
    return Called(**said)


def _other(there: Called, line: Called) -> list[str]:
    """The cells of a line that say something, and something else than what is there."""
    return [
        field.name
        for field in fields(Called)
        if field.name != "name"
        and (said := getattr(line, field.name))
        and cells.plain_lines(said) != cells.plain_lines(getattr(there, field.name))
    ]


def judging(session: Session, ways: Ways, mark: str) -> Judge[BroughtCustomer]:
    """The judge of customers against those that the shop has."""
    return _Judge(list(customers(session)))


def write(
    session: Session, brought: Sequence[BroughtCustomer], ways: Ways, who: int | None, now: datetime
) -> None:
    """Add the customers, each with a line of history."""
    add_customers(session, brought, who, now)


CUSTOMERS = Subject("customers", "customers", "customer", COLUMNS, judging, write)
