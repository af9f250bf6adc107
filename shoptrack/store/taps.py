"""A stretch of time → the entries of the log in it: one person's, or everybody's with what led up to them."""

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, CompoundSelect, and_, func, or_, select, union
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Entry
from shoptrack.store.log import log_about, log_with_links
from shoptrack.store.tables import EntryRow, PersonRow

LED_UP = timedelta(days=14)
"""So long before a stretch somebody may have begun what they had in hand in it."""
SAID_LATE = timedelta(days=15)
"""No tap says that it was longer ago than 14 days (see flows/entry_fields), a day for the clocks."""
MOVED_BACK = timedelta(days=400)
"""No entry is moved further than this (see flows/desk)."""


def taps_of(session: Session, person: int, since: datetime, until: datetime) -> list[Entry]:
    """One person's entries that count, or were tapped, in [since, until), and those that speak of them."""
    own = select(EntryRow.n, EntryRow.id, EntryRow.of_id).where(EntryRow.person_id == person)
    tapped = and_(EntryRow.tapped_at >= since, EntryRow.tapped_at < until)
    seed: CompoundSelect[Any] = (
        union(  # not one condition with "or": that walks through all the person ever tapped
            own.where(EntryRow.at >= since, EntryRow.at < until),
            own.where(EntryRow.at >= since - SAID_LATE, tapped),
            own.where(EntryRow.id.in_(_moved_into(session, since, until))),
        )
    )
    return log_with_links(session, seed)


def entries_between(session: Session, since: datetime, until: datetime) -> list[Entry]:
    """Everybody's entries in [since, until) and two weeks before, and those that speak of them."""
    inside: ColumnElement[bool] = and_(EntryRow.at >= since - LED_UP, EntryRow.at < until)
    return log_about(session, or_(inside, EntryRow.id.in_(_moved_into(session, since - LED_UP, until))))


def at_the_log(session: Session) -> dict[int, tuple[datetime, datetime | None]]:
    """Whoever ever tapped → the instant of their first entry, and of their leaving where they left."""
    rows = session.execute(
        select(PersonRow.id, func.min(EntryRow.at), PersonRow.retired_at)
        .join(EntryRow, EntryRow.person_id == PersonRow.id)
        .group_by(PersonRow.id)
    )
    return {id_: (first_at, retired_at) for id_, first_at, retired_at in rows}


def _moved_into(session: Session, since: datetime, until: datetime) -> set[str]:
    """The entries that somebody moved to a time in a stretch."""
    chosen = select(EntryRow.of_id, EntryRow.body).where(
        EntryRow.kind == "retime", EntryRow.at >= since - MOVED_BACK
    )
    moved = [(row.of_id, row.body.get("to_at")) for row in session.execute(chosen)]
    return {of for of, to in moved if of and to and since <= datetime.fromisoformat(to) < until}


def before_newest(session: Session, count: int) -> datetime | None:
    """The instant of the tap before the ``count`` newest; None where there are no more than those."""
    return session.scalar(select(EntryRow.at).order_by(EntryRow.at.desc()).offset(count).limit(1))
