"""A tap that was somebody else's becomes theirs: made again in their name, and struck as it was."""

from datetime import datetime

from shoptrack.engine.replay import book_lines
from shoptrack.engine.shapes import Entry
from shoptrack.errors import NotFound, Refused
from shoptrack.flows.record import KINDS, tap
from shoptrack.store import log
from shoptrack.store.db import Store
from shoptrack.store.tables import EntryRow

OTHERS = frozenset({"strike", "retime"})


def hand_over(store: Store, of: str, person: int, id: str, now: datetime) -> None:
    """Give an entry to another person at the instant it counted from.

    Takes the entry's id, the person, a new id from the form. Raises NotFound for an unknown entry, Refused
    where the tap can't be theirs; then nothing is struck. Sent twice it is done once.
    """
    with store.reading() as session:
        lines = book_lines(log.log_about(session, EntryRow.id == of), {})
        before = log.entry(session, f"{id}-theirs")
    line = next((line for line in lines if line.entry.id == of), None)
    if line is None or line.entry.kind in OTHERS:
        raise NotFound("That tap is not in the book, so it can't be given to anybody.")
    entry = line.entry
    if before is None:
        ago_min = max(0.0, (now - line.at).total_seconds() / 60)
        again = tap(
            store,
            id=f"{id}-theirs",
            person=person,
            kind=entry.kind,
            now=now,
            ago_min=ago_min,
            **said_by(entry),
        )
        if again.status == "set aside":
            raise Refused(f"That tap can't be theirs: {again.reason}")
    tap(store, id=id, person=person, kind="strike", now=now, of=of)


def said_by(entry: Entry) -> dict[str, object]:
    """What an entry says beside who, when and which: the members its kind may carry."""
    said: dict[str, object] = {"stages": list(entry.stages), "job": entry.job, "of": entry.of}
    said |= log.body_of(entry)
    own = KINDS[entry.kind].allowed - {"id", "seq", "kind", "at", "ago_min", "person"}
    return {name: value for name, value in said.items() if name in own}
