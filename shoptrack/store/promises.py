"""What was reckoned of the day by which a quote can be ready → kept once, and read back as it was shown."""

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound, Refused
from shoptrack.store.db import Head
from shoptrack.store.tables import PromiseRow, QuoteRevisionRow

MOST_BYTES = 64 * 1024 * 1024
"""What an unpacked snapshot may be at most; one that is larger was not packed here."""


@dataclass(frozen=True, slots=True)
class Promised:
    """What was reckoned for a revision of a quote, and all that it was reckoned from.

    ``result`` and ``priority`` are as JSON holds them, ``snapshot`` the bytes of the problem; ``head`` says
    how the database stood, ``versions`` which programs reckoned. With others ``result`` stands as it is; by
    the same ones it can be reckoned again from the rest.
    """

    revision: int
    made_at: datetime
    seed: int
    draws: int
    versions: str
    head: Head
    result: Any
    priority: Sequence[int]
    snapshot: bytes


def keep(session: Session, promised: Promised) -> Promised:
    """Keep what was reckoned for a revision of a quote; where there is one already, that one stays.

    Gives the one that is kept. Raises NotFound for a revision that is not there.
    """
    if session.get(QuoteRevisionRow, promised.revision) is None:
        raise NotFound("There is no such revision of a quote.")
    if (there := of_revision(session, promised.revision)) is not None:
        return there
    session.add(
        PromiseRow(
            quote_revision_id=promised.revision,
            made_at=promised.made_at,
            seed=promised.seed,
            draws=promised.draws,
            versions=promised.versions,
            head_database=promised.head.database_id,
            head_revision=promised.head.revision,
            result=promised.result,
            priority=list(promised.priority),
            snapshot=zlib.compress(promised.snapshot),
        )
    )
    session.flush()
    return promised


def of_revision(session: Session, revision: int) -> Promised | None:
    """What was kept for a revision of a quote; None where nothing was.

    Raises Refused where its snapshot can't be unpacked.
    """
    row = session.scalar(select(PromiseRow).where(PromiseRow.quote_revision_id == revision))
    if row is None:
        return None
    return Promised(
        revision=row.quote_revision_id,
        made_at=row.made_at,
        seed=row.seed,
        draws=row.draws,
        versions=row.versions,
        head=Head(row.head_database, row.head_revision),
        result=row.result,
        priority=tuple(row.priority),
        snapshot=_unpacked(row.snapshot),
    )


def result_of(session: Session, revision: int) -> Any:
    """The result alone, as it was shown, without unpacking the rest; None where nothing was kept."""
    return session.scalar(select(PromiseRow.result).where(PromiseRow.quote_revision_id == revision))


def _unpacked(packed: bytes) -> bytes:
    unpacking = zlib.decompressobj()
    try:
        found = unpacking.decompress(packed, MOST_BYTES)
    except zlib.error as problem:
        raise Refused("What a promise was reckoned from is damaged.") from problem
    if not unpacking.eof:
        raise Refused("What a promise was reckoned from is damaged.")
    return found
