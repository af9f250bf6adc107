"""Entries go into the log of work and come out of it; taps that can't be taken yet lie beside it."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import MISSING, dataclass, fields
from datetime import UTC, date, datetime, timedelta
from itertools import groupby
from typing import Any

from sqlalchemy import (
    CTE,
    ColumnElement,
    CompoundSelect,
    and_,
    delete,
    func,
    or_,
    select,
    union,
)
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.orm import Session, aliased

from shoptrack.engine.shapes import Entry
from shoptrack.store.tables import EntryRow, EntryStageRow, KeptRow, SetAsideRow
from shoptrack.store.windows import Lines, Windows, windows

READINGS_FOR = timedelta(days=70)

VERSION = 1
"""How the entries that this program writes are to be read."""

_TABLE = EntryRow.metadata.tables["entries"]  # without the mapper: a tap waits for this
_PLACES = EntryRow.metadata.tables["entry_stages"]

COLUMNS = {
    "id": EntryRow.id,
    "device": EntryRow.device,
    "seq": EntryRow.seq,
    "at": EntryRow.at,
    "kind": EntryRow.kind,
    "person": EntryRow.person_id,
    "job": EntryRow.job_id,
    "of": EntryRow.of_id,
    "limit_min": EntryRow.limit_min,
    "tapped_at": EntryRow.tapped_at,
}
"""The fields of an entry that have a column; its stages have rows of their own, the rest is the body."""

_IN_BODY = {
    f.name: f.default
    for f in fields(Entry)
    if f.name not in COLUMNS and f.name != "stages" and f.default is not MISSING
}


def body_of(entry: Entry) -> dict[str, object]:
    """The part of an entry that has no column, as JSON values; only what differs from the default."""
    said = {name: getattr(entry, name) for name in _IN_BODY}
    return {name: _plain(value) for name, value in said.items() if value != _IN_BODY[name]}


def entry_of(row: Any, stages: Iterable[int]) -> Entry:
    """The entry of a row of the log and its stages in order."""
    columns = {name: getattr(row, column.key) for name, column in COLUMNS.items()}
    said = {name: _shaped(name, value) for name, value in row.body.items() if name in _IN_BODY}
    return Entry(**columns, **said, stages=tuple(stages))


def _plain(value: object) -> object:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date) else value


def _shaped(name: str, value: Any) -> Any:
    if name == "held" and value is not None:
        return tuple((job, count) for job, count in value)
    if name == "to_at" and value is not None:
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if name == "look_again_on" and value is not None else value


@dataclass(frozen=True, slots=True)
class Written:
    """An entry with what the tablet said beside it and the fingerprint of all that it sent."""

    entry: Entry
    body: dict[str, object]
    body_hash: str


def append(session: Session, lines: Sequence[Written], received_at: datetime) -> None:
    """Write entries at the end of the log, in their order."""
    session.execute(insert(_TABLE), [_row(line, received_at) for line in lines])
    ids = EntryRow.id.in_([line.entry.id for line in lines])
    numbers = {row.id: row.n for row in session.execute(select(EntryRow.id, EntryRow.n).where(ids))}
    places = [
        {"entry_n": numbers[line.entry.id], "place": place, "stage_id": stage}
        for line in lines
        for place, stage in enumerate(line.entry.stages)
    ]
    if places:
        session.execute(insert(_PLACES), places)


def _row(line: Written, received_at: datetime) -> dict[str, object]:
    entry = line.entry
    row = {column.key: getattr(entry, name) for name, column in COLUMNS.items()}
    row["tapped_at"] = entry.tapped_at or entry.at
    said = {**line.body, **body_of(entry)}
    return {**row, "body": said, "body_hash": line.body_hash, "received_at": received_at, "version": VERSION}


def stored(session: Session, ids: Collection[str]) -> dict[str, str]:
    """The fingerprints of those of the ids that the log has."""
    rows = session.execute(select(EntryRow.id, EntryRow.body_hash).where(EntryRow.id.in_(ids)))
    return {row.id: row.body_hash for row in rows}


def next_seq(session: Session, device: str) -> int:
    """The number after the highest that a device has used, in the log or kept beside it."""
    logged = session.scalar(select(func.max(EntryRow.seq)).where(EntryRow.device == device))
    kept_one = session.scalar(select(func.max(KeptRow.seq)).where(KeptRow.device == device))
    return max(logged or 0, kept_one or 0) + 1


def entry(session: Session, id: str) -> Entry | None:
    """One entry by its id."""
    found = _read(session, _whole().where(EntryRow.id == id))
    return found[0] if found else None


def whole_log(session: Session) -> list[Entry]:
    """Every entry there is, in the order of the log."""
    return _read(session, _whole())


def open_log(session: Session, jobs: Collection[int] = ()) -> list[Entry]:
    """Every entry that replay needs for the right state of all open jobs and of ``jobs``, as they came.

    All from the earliest instant at which an open job was worked on, other jobs' too, since what people did
    there ended or helped their stints here (moved entries count at both their instants), with whatever
    strikes, moves or answers these or is struck, moved or answered by them, however old; the recounts of
    clamps; what was said of edges; ten weeks of temperatures; and a week for where people are. Of closed
    ``jobs``, all from their first instant to some weeks after their last.
    """
    wanted = windows(session, jobs)
    if wanted is None:
        return []
    lasting = or_(
        EntryRow.kind.in_(("recount", "edge")),
        and_(EntryRow.kind == "temperature", EntryRow.at >= wanted.newest - READINGS_FOR),
    )
    seed: CompoundSelect[Any] = union(
        *_over_the_edge(wanted), select(EntryRow.n, EntryRow.id, EntryRow.of_id).where(lasting)
    )
    inside = select(EntryRow.n).where(wanted.hold(EntryRow))
    return _read(session, _whole().where(EntryRow.n.in_(union(inside, select(_linked(seed).c.n)))))


def log_with_links(session: Session, seed: CompoundSelect[Any]) -> list[Entry]:
    """The entries that a selection of (n, id, of_id) chooses, as they came, with whatever strikes, moves or
    answers these or is so spoken of, however much later.
    """
    return _read(session, _whole().where(EntryRow.n.in_(select(_linked(seed).c.n))))


def log_about(session: Session, chosen: ColumnElement[bool]) -> list[Entry]:
    """The entries that a condition chooses, as they came, with whatever strikes, moves or answers these or
    is so spoken of.
    """
    seed: Lines = select(EntryRow.n, EntryRow.id, EntryRow.of_id).where(chosen)
    return _read(session, _whole().where(EntryRow.n.in_(select(_linked(seed).c.n))))


def _over_the_edge(wanted: Windows) -> tuple[Lines, Lines]:
    """The entries outside that entries inside speak of, and those outside that speak of them."""
    other, inner = aliased(EntryRow), aliased(EntryRow)
    these = select(EntryRow.n, EntryRow.id, EntryRow.of_id)
    # by number, not by instant: else the index of instants is walked through all that lies outside
    outside = EntryRow.n.not_in(select(inner.n).where(wanted.hold(inner)))
    edge = and_(wanted.hold(other), outside)
    spoken_of = these.join(other, other.of_id == EntryRow.id).where(edge)
    speaking = these.join(other, other.id == EntryRow.of_id).where(edge)
    return spoken_of, speaking


def _linked(seed: CompoundSelect[Any] | Lines) -> CTE:
    """The seed with everything that strikes, moves or answers, or is so spoken of, in chains."""
    start = seed.subquery()
    linked = select(start.c.n, start.c.id, start.c.of_id).cte("linked", recursive=True)
    other = aliased(EntryRow)
    onward = select(other.n, other.id, other.of_id).join(
        linked, or_(other.id == linked.c.of_id, other.of_id == linked.c.id)
    )
    return linked.union(onward)


def _whole() -> Lines:
    return (
        select(*COLUMNS.values(), EntryRow.n, EntryRow.body, EntryStageRow.stage_id)
        .outerjoin(EntryStageRow, EntryStageRow.entry_n == EntryRow.n)
        .order_by(EntryRow.n, EntryStageRow.place)
    )


def _read(session: Session, chosen: Lines) -> list[Entry]:
    entries = []
    for _, rows in groupby(session.execute(chosen), key=lambda row: row.n):
        lines = list(rows)
        entries.append(entry_of(lines[0], [r.stage_id for r in lines if r.stage_id is not None]))
    return entries


def set_aside(
    session: Session,
    *,
    id: str,
    device: str,
    body: object,
    body_hash: str,
    reason: str,
    received_at: datetime,
) -> None:
    """Keep a tap that can't be taken, once, with the reason in plain words."""
    row = insert(SetAsideRow).values(
        id=id, device=device, body=body, body_hash=body_hash, reason=reason, received_at=received_at
    )
    session.execute(row.on_conflict_do_nothing(index_elements=["id", "body_hash"]))


def set_aside_reasons(session: Session, ids: Collection[str]) -> dict[tuple[str, str], str]:
    """Why taps with these ids were set aside, by id and fingerprint."""
    rows = session.execute(
        select(SetAsideRow.id, SetAsideRow.body_hash, SetAsideRow.reason).where(SetAsideRow.id.in_(ids))
    )
    return {(row.id, row.body_hash): row.reason for row in rows}


def list_set_aside(session: Session) -> list[SetAsideRow]:
    """The taps set aside that nobody has seen to, oldest first."""
    unseen = select(SetAsideRow).where(SetAsideRow.seen_at.is_(None)).order_by(SetAsideRow.n)
    return list(session.scalars(unseen))


def keep(
    session: Session,
    *,
    id: str,
    device: str,
    seq: int,
    device_at: datetime,
    body: object,
    body_hash: str,
    received_at: datetime,
) -> None:
    """Keep a tap whose time can't be settled yet, once."""
    row = insert(KeptRow).values(
        id=id,
        device=device,
        seq=seq,
        device_at=device_at,
        body=body,
        body_hash=body_hash,
        received_at=received_at,
    )
    session.execute(row.on_conflict_do_nothing(index_elements=["id"]))


def kept(session: Session, device: str | None = None) -> list[KeptRow]:
    """The taps of one device, or of all, whose time is not settled, in the device's own order."""
    rows = select(KeptRow).order_by(KeptRow.device, KeptRow.seq)
    return list(session.scalars(rows if device is None else rows.where(KeptRow.device == device)))


def drop_kept(session: Session, ids: Collection[str]) -> None:
    """Let go of kept taps that have been settled."""
    session.execute(delete(KeptRow).where(KeptRow.id.in_(ids)))
