"""The entries as they stand in the book → the entries that count, at the instants they count at."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from shoptrack.engine.shapes import Entry, LogLine


def live_entries(entries: Iterable[Entry]) -> list[Entry]:
    """The entries that count, moved to where a retime put them, in the order of the log.

    Takes entries in any order, repeats allowed (same id, same entry). Gives them without the struck ones
    and without strikes and retimes. Empty: an empty list.
    Method: an entry is struck when a strike of it counts; a strike can itself be struck. Of several retimes
    that count, the last in the order of the log wins.
    """
    book = {e.id: e for e in entries}
    struck = _struck_by(book)
    moved = _moved_by(book, struck)
    live = [
        replace(e, at=moved[e.id].to_at or e.at) if e.id in moved else e
        for e in book.values()
        if e.id not in struck and e.kind not in ("strike", "retime")
    ]
    live.sort(key=lambda e: (e.at, e.device, e.seq))
    return live


def book_lines(entries: Iterable[Entry], notes: Mapping[str, str]) -> tuple[LogLine, ...]:
    """Every entry as a line of the book, struck and moved ones marked, by the instant each counts at."""
    book = {e.id: e for e in entries}
    struck = _struck_by(book)
    moved = _moved_by(book, struck)
    lines = [
        LogLine(
            entry=e,
            at=(moved[e.id].to_at or e.at) if e.id in moved else e.at,
            struck_by=struck[e.id].id if e.id in struck else "",
            moved_by=moved[e.id].id if e.id in moved else "",
            note=notes.get(e.id, ""),
        )
        for e in book.values()
    ]
    lines.sort(key=lambda line: (line.at, line.entry.device, line.entry.seq))
    return tuple(lines)


def _struck_by(book: Mapping[str, Entry]) -> dict[str, Entry]:
    """Each struck entry's id with the strike that counts.

    A strike names an entry that was there before it, so chains end; a ring, which the record refuses,
    would be cut where it closes.
    """
    strikes: dict[str, list[Entry]] = {}
    for e in sorted((e for e in book.values() if e.kind == "strike"), key=lambda e: e.order):
        if e.of is not None:
            strikes.setdefault(e.of, []).append(e)
    known: dict[str, Entry | None] = {}

    def striker(entry_id: str) -> Entry | None:
        if entry_id not in known:
            known[entry_id] = None
            known[entry_id] = next((s for s in strikes.get(entry_id, ()) if striker(s.id) is None), None)
        return known[entry_id]

    return {i: s for i in strikes if (s := striker(i)) is not None}


def _moved_by(book: Mapping[str, Entry], struck: Mapping[str, Entry]) -> dict[str, Entry]:
    retimes = [e for e in book.values() if e.kind == "retime" and e.id not in struck]
    retimes.sort(key=lambda e: e.order)
    return {e.of: e for e in retimes if e.of is not None and e.to_at is not None}
