"""What was typed about a job → its row, with a line of history for each thing that changed."""

from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.errors import BadInput
from shoptrack.store.customers import customer_meant
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.jobs import close_job, job_row


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


def describe(store: Store, job_id: int, said: Described, who: int | None, now: datetime, today: date) -> None:
    """Write down what is different; the same sent again changes nothing.

    Takes ``today`` by the shop's wall. Raises NotFound, or BadInput for a deposit without its day, a day
    that is still to come, or a customer who could be one of several.
    """
    _refuse(said, today)
    with store.writing() as session:
        row = job_row(session, job_id)
        # a new one of the same name is asked for once: sent again, the job has that customer already
        same = said.new_customer and row.buyer.name == said.customer
        customer = row.customer_id if same else customer_meant(session, said.customer, said.new_customer).id
        edit(
            session,
            row,
            who,
            now,
            title=said.title,
            customer_id=customer,
            pieces=said.pieces,
            notes=said.notes,
            must_keep=said.must_keep,
            price_cents=said.price_cents,
            deposit_cents=said.deposit_cents,
            deposit_on=said.deposit_on,
            delivered_on=said.delivered_on,
        )
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
    store: Store, job_id: int, promised_on: date | None, why: str, who: int | None, now: datetime
) -> None:
    """Move the promised date, with the reason; the date that it has already changes nothing.

    Raises NotFound, or BadInput for a change without a reason.
    """
    with store.writing() as session:
        row = job_row(session, job_id)
        if row.promised_on == promised_on:
            return
        if not why:
            raise BadInput("Say why the date moves.", "why")
        edit(session, row, who, now, why=why, promised_on=promised_on)


def close(store: Store, job_id: int, delivered_on: date | None, who: int | None, now: datetime) -> None:
    """Close an open job, and write down when it was delivered where that is said; again: nothing.

    Raises NotFound.
    """
    with store.writing() as session:
        row = job_row(session, job_id)
        if row.closed_at is None:
            close_job(session, job_id, now, who)
            if delivered_on is not None:
                edit(session, row, who, now, delivered_on=delivered_on)


def call_off(store: Store, job_id: int, why: str, who: int | None, now: datetime) -> None:
    """Take an open job off the list because it is called off, with the reason; again: nothing.

    Raises NotFound, or BadInput without a reason.
    """
    if not why:
        raise BadInput("Say why it is called off.", "called_off_why")
    with store.writing() as session:
        if job_row(session, job_id).closed_at is None:
            close_job(session, job_id, now, who, why)
