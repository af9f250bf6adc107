"""A person's PIN as a slow salted hash, and its wrong tries as a wait that doubles."""

import hashlib
import hmac
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.store.tables import PersonRow, PinRow

LONGEST_WAIT = timedelta(hours=1)
_COST = {"n": 2**14, "r": 8, "p": 1}  # RFC 7914 section 2; 16 MiB and some 50 ms a try


def derive(pin: str, salt: str) -> str:
    """The hash of a PIN under a salt, by scrypt (RFC 7914), both in hexadecimal."""
    return hashlib.scrypt(pin.encode(), salt=bytes.fromhex(salt), dklen=32, **_COST).hex()


def is_right(row: PinRow, pin: str) -> bool:
    """Whether this is the PIN, compared in a time that tells nothing."""
    return hmac.compare_digest(row.hash, derive(pin, row.salt))


def find(session: Session, person: int) -> PinRow | None:
    """A person's PIN; None where there is none."""
    return session.get(PinRow, person)


def holders(session: Session) -> dict[int, datetime]:
    """When each of the people who work here and have a PIN set it. Empty: the office asks for none."""
    chosen = select(PinRow.person_id, PinRow.set_at).join(PersonRow, PersonRow.id == PinRow.person_id)
    here = chosen.where(PersonRow.retired_at.is_(None))
    return {row.person_id: row.set_at for row in session.execute(here)}


def put(session: Session, person: int, salt: str, hashed: str, now: datetime) -> PinRow:
    """Give a person a PIN in place of any other; the wrong tries of the old one are forgotten."""
    row = session.get(PinRow, person) or PinRow(person_id=person)
    row.salt, row.hash, row.set_at, row.failures, row.wait_until = salt, hashed, now, 0, None
    session.add(row)
    session.flush()
    return row


def remove(session: Session, person: int) -> bool:
    """Take a person's PIN away; whether there was one."""
    row = session.get(PinRow, person)
    if row is not None:
        session.delete(row)
        session.flush()
    return row is not None


def wait_left(row: PinRow, now: datetime) -> timedelta:
    """How long the next try has to wait; nothing where it may be made.

    A wait longer than any that is given is one of a clock that was wrong, and does not count.
    """
    left = (row.wait_until - now) if row.wait_until is not None else timedelta(0)
    return left if timedelta(0) < left <= LONGEST_WAIT else timedelta(0)


def note_try(session: Session, person: int, right: bool, now: datetime) -> None:
    """Keep a try: a right one ends all waiting, each wrong one doubles it: 1 s, 2 s, 4 s … to an hour."""
    row = session.get(PinRow, person)
    if row is None:
        return
    if right:
        row.failures, row.wait_until = 0, None
        return
    row.failures += 1
    row.wait_until = now + min(LONGEST_WAIT, timedelta(seconds=2 ** min(row.failures - 1, 20)))
