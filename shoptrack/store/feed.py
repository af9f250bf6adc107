"""The part of the calendar's address that nobody can guess: kept, given, and made anew."""

import secrets
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.edits import note_made
from shoptrack.store.tables import EditRow, EntryRow, FeedRow, ShopRow

TOKEN_BYTES = 24


def feed_token(session: Session) -> str | None:
    """The token that the calendar's address ends in. Empty: None until somebody had it made."""
    row = session.get(FeedRow, 1)
    return None if row is None else row.token


def renew_token(session: Session, who: int | None, now: datetime) -> str:
    """Make the token, or a new one in the place of the old, which ends with that; gives the new one.

    The history says who did it and when; the token itself is never written there.
    """
    row = session.get(FeedRow, 1)
    if row is None:
        row = FeedRow(id=1)
        session.add(row)
    row.token = secrets.token_urlsafe(TOKEN_BYTES)
    row.made_at = now
    note_made(session, row, who, now, "calendar address")
    return row.token


def is_the_token(session: Session, said: str) -> bool:
    """Whether a token is the one in force, compared in a time that says nothing of how much was right."""
    kept = feed_token(session)
    return kept is not None and secrets.compare_digest(kept.encode(), said.encode())


def written_at(session: Session) -> datetime | None:
    """When something of the shop was last written down: a tap taken, a row edited, the shop set up (UTC).

    Empty: None before the shop is set up.
    """
    newest = (
        session.scalar(select(EntryRow.received_at).order_by(EntryRow.n.desc()).limit(1)),
        session.scalar(select(EditRow.at).order_by(EditRow.id.desc()).limit(1)),
        session.scalar(select(ShopRow.made_at)),
    )
    return max((at for at in newest if at is not None), default=None)
