"""A code shown once to a tablet that is known from then on, until it is sent away."""

import hashlib
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import NotAllowed, NotFound
from shoptrack.store import edits
from shoptrack.store.tables import DeviceRow, PairingRow

CODE_LASTS = timedelta(minutes=10)
SEEN_EVERY = timedelta(minutes=5)
NO_GOOD = "This code is no good: it was used, or is older than ten minutes. Have the office show a new one."


def hash_of(secret: str) -> str:
    """What is kept of a code or a key: its SHA-256, from which neither can be had again.

    Codes and keys are 128 random bits and more, so a plain hash is enough; a PIN needs a slow one.
    """
    return hashlib.sha256(secret.encode()).hexdigest()


def offer(session: Session, code: str, name: str, kind: str, now: datetime) -> PairingRow:
    """Let whoever brings this code within ten minutes be a device of that name and kind, once."""
    row = PairingRow(token_hash=hash_of(code), name=name, kind=kind, made_at=now, expires_at=now + CODE_LASTS)
    session.add(row)
    session.flush()
    return row


def pair(session: Session, code: str, key: str, address: str, now: datetime) -> DeviceRow:
    """Use a code up and keep the device that brought it.

    Takes the code, the key that the device will show from now on (the same key again is the same form sent
    twice, and gives the same device) and the address that it came to. Raises NotAllowed for a code that never
    was, was used or is too old. Call it in a writing session: there is one at a time, so one device gets it.
    """
    offered = session.scalars(select(PairingRow).where(PairingRow.token_hash == hash_of(code))).one_or_none()
    if offered is None or now >= offered.expires_at:
        raise NotAllowed(NO_GOOD)
    if offered.used_at is not None:
        again = find(session, key)
        if again is None:
            raise NotAllowed(NO_GOOD)
        return again
    offered.used_at = now
    row = DeviceRow(
        name=offered.name,
        kind=offered.kind,
        key_hash=hash_of(key),
        paired_at=now,
        seen_at=now,
        paired_address=address,
    )
    session.add(row)
    session.flush()
    edits.note_made(session, row, None, now)
    return row


def find(session: Session, key: str) -> DeviceRow | None:
    """The device that shows this key; None for a key that nobody has, or whose device was sent away."""
    chosen = select(DeviceRow).where(DeviceRow.key_hash == hash_of(key), DeviceRow.revoked_at.is_(None))
    return session.scalars(chosen).one_or_none()


def list_devices(session: Session) -> list[DeviceRow]:
    """The devices that may come in, by name."""
    chosen = select(DeviceRow).where(DeviceRow.revoked_at.is_(None))
    return list(session.scalars(chosen.order_by(DeviceRow.name, DeviceRow.id)))


def elsewhere(session: Session, answered: set[str]) -> list[DeviceRow]:
    """The devices paired at an address that this machine does not answer at now."""
    return [row for row in list_devices(session) if row.paired_address not in answered]


def rename(session: Session, device: int, name: str, who: int | None, now: datetime) -> None:
    """Call a device something else. Raises NotFound for one that is not there."""
    edits.edit(session, _row(session, device), who, now, name=name)


def revoke(session: Session, device: int, who: int | None, now: datetime) -> None:
    """Send a device away for good; it holds from its next request on. Once more changes nothing.

    Raises NotFound for one that never was.
    """
    row = session.get(DeviceRow, device)
    if row is None:
        raise NotFound("There is no such tablet.")
    if row.revoked_at is None:
        edits.edit(session, row, who, now, revoked_at=now)


def is_due(row: DeviceRow, now: datetime) -> bool:
    """Whether it is time to note again that a device was seen: never for each request."""
    return row.seen_at is None or now - row.seen_at >= SEEN_EVERY


def note_seen(session: Session, device: int, now: datetime) -> None:
    """Note that a device was here. Raises NotFound for one that is not there."""
    _row(session, device).seen_at = now


def _row(session: Session, device: int) -> DeviceRow:
    row = session.get(DeviceRow, device)
    if row is None or row.revoked_at is not None:
        raise NotFound("There is no such tablet.")
    return row
