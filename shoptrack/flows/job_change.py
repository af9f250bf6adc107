"""What was typed about a job → its row, with a line of history for each thing that changed."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from shoptrack.errors import BadInput
from shoptrack.flows.let_go import let_go
from shoptrack.store.customers import customer_meant
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.histories import lines_about
from shoptrack.store.jobs import close_job, job_row
from shoptrack.store.overtaken import not_overtaken


@dataclass(frozen=True, slots=True)
class Described:
    """A job as it was typed; ``customer`` as the list of customers writes it."""

    title: str
    customer: str
    new_customer: bool
    pieces: int
    notes: str
    must_keep: bool
    price_cents: int | None
    deposit_cents: int | None
    deposit_on: date | None
    delivered_on: date | None


def describe(
    store: Store,
    job_id: int,
    said: Described,
    who: int | None,
    now: datetime,
    today: date,
    seen: int | None = None,
) -> None:
    """Write down what is different; the same sent again changes nothing.

    Takes ``today`` by the shop's wall, and the newest line of history when the form was shown. Raises
    NotFound, BadInput for a deposit without its day, a day that is still to come, or a customer who could be
    one of several; ChangedMeanwhile where somebody changed the job since.
    """
    _refuse(said, today)
    with store.writing() as session:
        row = job_row(session, job_id)
        # a new one of the same name is asked for once: sent again, the job has that customer already
        same = said.new_customer and row.buyer.name == said.customer
        customer = row.customer_id if same else customer_meant(session, said.customer, said.new_customer).id
        words: dict[str, Any] = {
            name: getattr(said, name) for name in Described.__slots__ if "customer" not in name
        } | {"customer_id": customer}
        with not_overtaken(session, lines_about(row), seen, tuple(words)):
            edit(session, row, who, now, **words)
        session.expire(row, ["buyer"])


def _refuse(said: Described, today: date) -> None:
    if said.deposit_cents and said.deposit_on is None:
        raise BadInput("Say on which day the deposit came.", "deposit_on")
    if said.deposit_on is not None and not said.deposit_cents:
        raise BadInput("Say how much the deposit was.", "deposit")
    for day, field in ((said.deposit_on, "deposit_on"), (said.delivered_on, "delivered_on")):
        if day is not None and day > today:
            raise BadInput("That day is still to come.", field)


def promise(
    store: Store,
    job_id: int,
    promised_on: date | None,
    why: str,
    who: int | None,
    now: datetime,
    seen: int | None = None,
) -> None:
    """Move the promised date, with the reason; the date that it has already changes nothing.

    Takes the newest line of history when the form was shown. Raises NotFound, BadInput for a change without
    a reason, ChangedMeanwhile where somebody moved it since.
    """
    with store.writing() as session:
        row = job_row(session, job_id)
        if row.promised_on == promised_on:
            return
        if not why:
            raise BadInput("Say why the date moves.", "why")
        with not_overtaken(session, lines_about(row), seen, ("promised_on",)):
            edit(session, row, who, now, why=why, promised_on=promised_on)


def close(store: Store, job_id: int, delivered_on: date | None, who: int | None, now: datetime) -> None:
    """Close an open job, and write down when it was delivered where that is said; again: nothing.

    Whoever has it in hand is taken off it. Raises NotFound.
    """
    let_go(store, job_id, now)
    with store.writing() as session:
        row = job_row(session, job_id)
        if row.closed_at is None:
            close_job(session, job_id, now, who)
            if delivered_on is not None:
                edit(session, row, who, now, delivered_on=delivered_on)


def call_off(store: Store, job_id: int, why: str, who: int | None, now: datetime) -> None:
    """Take an open job off the list because it is called off, with the reason; again: nothing.

    Whoever has it in hand is taken off it. Raises NotFound, or BadInput without a reason.
    """
    if not why:
        raise BadInput("Say why it is called off.", "called_off_why")
    let_go(store, job_id, now)
    with store.writing() as session:
        if job_row(session, job_id).closed_at is None:
            close_job(session, job_id, now, who, why)
