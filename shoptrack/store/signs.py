"""One query to what every look at the Floor asks first: head, the shop's ways, newest tap, taps that wait."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from shoptrack.store.db import Head
from shoptrack.store.tables import EntryRow, HeadRow, KeptRow, SetAsideRow, ShopRow


@dataclass(frozen=True, slots=True)
class Signs:
    """How far the database is, and what in it waits for somebody.

    ``newest_at`` is the latest instant that any tap was made or counts at; ``kept`` taps wait for the
    server's clock, ``set_aside`` taps for somebody to look at them. ``shop`` is None before the set-up.
    """

    head: Head
    shop: ShopRow | None
    newest_at: datetime | None
    kept: int
    set_aside: int


def read_signs(session: Session) -> Signs:
    """The signs as this session sees them, by one query."""
    row = session.execute(_asked()).one()
    newest = [at for at in (row.newest_tap, row.newest_entry) if at is not None]
    return Signs(
        head=Head(row.database_id, row.revision),
        shop=row.ShopRow,
        newest_at=max(newest, default=None),
        kept=row.kept,
        set_aside=row.set_aside,
    )


def taps_since(session: Session, at: datetime) -> int:
    """How many taps reached the log after an instant."""
    return session.scalar(select(func.count()).where(EntryRow.received_at > at)) or 0


def _asked() -> Select[Any]:
    last = select(EntryRow.tapped_at).order_by(EntryRow.n.desc()).limit(1).scalar_subquery()
    unseen = select(func.count()).select_from(SetAsideRow).where(SetAsideRow.seen_at.is_(None))
    return (
        select(
            HeadRow.database_id,
            HeadRow.revision,
            ShopRow,
            last.label("newest_tap"),
            select(func.max(EntryRow.at)).scalar_subquery().label("newest_entry"),
            select(func.count()).select_from(KeptRow).scalar_subquery().label("kept"),
            unseen.scalar_subquery().label("set_aside"),
        )
        .select_from(HeadRow)
        .outerjoin(ShopRow, ShopRow.id == HeadRow.id)
    )
