"""A name and a PIN to who may work in the office, one try at a time, and PINs set, changed and taken away."""

import math
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotAllowed, NotFound
from shoptrack.store import pins
from shoptrack.store.db import Store
from shoptrack.store.shop import list_people
from shoptrack.store.tables import PinRow

LEAST, MOST = 4, 12
_one_try = threading.Lock()  # a second guess made at once waits, and then meets the wait of the first


@dataclass(frozen=True, slots=True)
class Door:
    """Who may go into the office: everybody who works here, or those with a PIN once somebody has one.

    ``stamps`` has what a visit of each rests on, the instant at which their PIN was set or nothing: a visit
    ends when it changes.
    """

    people: tuple[int, ...]
    names: Mapping[int, str]
    stamps: Mapping[int, str]
    locked: bool


def door(session: Session) -> Door:
    """The door as it is now; the people in their order."""
    people = list_people(session)
    held = pins.holders(session)
    stamps = {id: at.isoformat() for id, at in held.items()} if held else {p.id: "" for p in people}
    return Door(tuple(p.id for p in people), {p.id: p.name for p in people}, stamps, bool(held))


def enter(store: Store, person: int, pin: str, now: datetime) -> str:
    """Let a person into the office; gives the stamp that the visit rests on.

    Raises BadInput for a name that is not on the door or a wrong PIN, NotAllowed where the next try has to
    wait or the person has no PIN while others have one.
    """
    with store.reading() as session:
        seen = door(session)
    if person not in seen.people:
        raise BadInput("Nobody of that name works here.", "person")
    if person not in seen.stamps:
        raise NotAllowed(f"{seen.names[person]} has no PIN. Somebody who has one can set it in the office.")
    if seen.locked:
        prove(store, person, pin, now, "pin")
    return seen.stamps[person]


def prove(store: Store, person: int, pin: str, now: datetime, field: str) -> None:
    """See that this is the person's PIN. Raises BadInput when it is not, NotAllowed when it is too soon."""
    with _one_try:
        with store.reading() as session:
            row = pins.find(session, person)
        if row is None:
            raise BadInput("There is no PIN to compare with.", field)
        _see_wait(row, now)
        right = len(pin) <= MOST and pins.is_right(row, pin)
        if right and not row.failures:
            return
        with store.writing() as session:
            pins.note_try(session, person, right, now)
    if not right:
        raise BadInput("That is not the PIN.", field)


def set_pin(store: Store, by: int, proof: str, person: int, pin: str, salt: str, now: datetime) -> None:
    """Give a person a PIN, or another one.

    Takes who does it and their own PIN, whose it shall be, the new PIN, 16 random bytes in hexadecimal, now.
    Raises BadInput for a PIN that is none, or as ``prove``; NotAllowed where somebody without a PIN would set
    one for another.
    """
    if not (pin.isascii() and pin.isdigit() and LEAST <= len(pin) <= MOST):
        raise BadInput(f"A PIN is {LEAST} to {MOST} figures.", "pin")
    _allow(store, by, proof, person, now)
    hashed = pins.derive(pin, salt)
    with store.writing() as session:
        pins.put(session, person, salt, hashed, now)


def remove_pin(store: Store, by: int, proof: str, person: int, now: datetime) -> None:
    """Take a person's PIN away. Raises as ``set_pin``; where there is none, nothing happens."""
    _allow(store, by, proof, person, now)
    with store.writing() as session:
        pins.remove(session, person)


def forget_pin(store: Store, name: str) -> None:
    """Take away the PIN of the person of that name, for when it is forgotten.

    Raises NotFound where nobody of that name works here or has a PIN.
    """
    with store.writing() as session:
        found = [p for p in list_people(session) if p.name.casefold() == name.strip().casefold()]
        if not found:
            raise NotFound(f"Nobody called {name} works here.")
        if not any([pins.remove(session, p.id) for p in found]):
            raise NotFound(f"{name} has no PIN.")


def _allow(store: Store, by: int, proof: str, person: int, now: datetime) -> None:
    """Whoever has a PIN proves it by typing it; who has none can only get their own first one."""
    with store.reading() as session:
        seen = door(session)
    if person not in seen.people or by not in seen.people:
        raise BadInput("Nobody of that name works here.", "person")
    if seen.locked and by in seen.stamps:
        if not proof:  # a form from before there was one, sent again: nobody guessed
            raise BadInput("You have a PIN: type it first.", "proof")
        prove(store, by, proof, now, "proof")
    elif by != person:
        raise NotAllowed("Set a PIN of your own first; then you can set one for others.")


def _see_wait(row: PinRow, now: datetime) -> None:
    left_s = math.ceil(pins.wait_left(row, now).total_seconds())
    if left_s > 0:
        words = f"{left_s} s" if left_s < 120 else f"{math.ceil(left_s / 60)} minutes"
        raise NotAllowed(f"That was wrong before: wait {words}, then try again.")
