"""The shop as it is → a zip of everything, a document, or one table alone, in pieces as they are made."""

import json
import os
import zipfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Table
from sqlalchemy.orm import Session

from shoptrack.engine.units import show_cents
from shoptrack.errors import NotFound, Refused
from shoptrack.flows.bring_in import ways_of
from shoptrack.flows.bring_in_customers import COLUMNS as CUSTOMER_COLUMNS
from shoptrack.flows.bring_in_materials import COLUMNS as MATERIAL_COLUMNS
from shoptrack.flows.bring_in_past_times import COLUMNS as TIME_COLUMNS
from shoptrack.flows.cells import Cell, csv_of
from shoptrack.store import everything
from shoptrack.store.backup import PHOTOS
from shoptrack.store.brought_in import customers, materials
from shoptrack.store.db import Store
from shoptrack.store.migrate import head_revision
from shoptrack.store.past_times import StageTime, logged_times, past_times

Source = Store | everything.Beside
FORMAT = 1
DOCUMENT = "shop.json"
READ_ME = "README.txt"
WORDS = """Everything of one shop, taken out by shoptrack.

shop.json   every table, exact; `shoptrack import` brings this file into an empty shop
tables/     the same tables, one CSV file each, to look at in a spreadsheet
lists/      times, customers and materials with their names; In and out can bring these in again
photos/     the photos, where they were asked for

PINs, the keys of tablets and the address of the calendar are not in it.
"""
_PIECE = 64 * 1024


class _Pieces:
    """A file that can only be written on, until what was written is taken away."""

    def __init__(self) -> None:
        self.parts: list[bytes] = []

    def write(self, part: bytes) -> int:
        self.parts.append(bytes(part))
        return len(part)

    def flush(self) -> None:
        """Nothing is held back."""

    def close(self) -> None:
        """What was written can still be taken."""

    def take(self) -> bytes:
        whole = b"".join(self.parts)
        self.parts = []
        return whole


@dataclass(frozen=True, slots=True)
class List:
    """A table with names in the place of numbers: its columns, and its rows."""

    columns: tuple[str, ...]
    rows: Callable[[Session, datetime], Iterator[tuple[Cell, ...]]]


def zip_of_everything(store: Source, now: datetime, *, photos: bool) -> Iterator[bytes]:
    """The zip in pieces: one document, every table and list as CSV, and the photos if wanted."""
    pieces = _Pieces()
    with zipfile.ZipFile(pieces, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as bundle:
        yield from _packed(bundle, pieces, READ_ME, iter([WORDS.encode()]), now)
        with store.reading() as session:
            for name, parts in _members(session, now):
                yield from _packed(bundle, pieces, name, parts, now)
        if photos:
            for file in sorted((store.instance / PHOTOS).rglob("*.jpg")):
                name = file.relative_to(store.instance).as_posix()
                yield from _packed(bundle, pieces, name, _bytes_of(file), now, small=False)
    yield pieces.take()


def _members(session: Session, now: datetime) -> Iterator[tuple[str, Iterator[bytes]]]:
    yield DOCUMENT, _document(session, now)
    for name in LISTS:
        yield f"lists/{name}.csv", _list(session, name, now)
    for table in everything.tables():
        yield f"tables/{table.name}.csv", _table(session, table)


def _packed(
    bundle: zipfile.ZipFile,
    pieces: _Pieces,
    name: str,
    parts: Iterator[bytes],
    now: datetime,
    *,
    small: bool = True,
) -> Iterator[bytes]:
    """One file of the zip, given away as it grows; a photo is small already."""
    info = zipfile.ZipInfo(name, now.astimezone(UTC).timetuple()[:6])
    info.compress_type = zipfile.ZIP_DEFLATED if small else zipfile.ZIP_STORED
    with bundle.open(info, "w", force_zip64=True) as member:
        for part in parts:
            member.write(part)
            yield pieces.take()


def _bytes_of(file: Path) -> Iterator[bytes]:
    with open(file, "rb") as opened:
        while part := opened.read(_PIECE):
            yield part


def document_of_everything(store: Source, now: datetime) -> Iterator[bytes]:
    """Every table, exact, as one JSON document in pieces, a row a line."""
    with store.reading() as session:
        yield from _document(session, now)


def _document(session: Session, now: datetime) -> Iterator[bytes]:
    made_at = now.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    head = {"shoptrack": FORMAT, "tables_at": head_revision(), "made_at": made_at}
    lines = [f'{_json(head)[:-1]}, "tables": {{\n']
    size = 0
    for place, table in enumerate(everything.tables()):
        columns = _json(everything.columns_of(table))
        lines.append(
            f'{"" if not place else "," + chr(10)}{_json(table.name)}: {{"columns": {columns}, "rows": ['
        )
        comma = "\n"
        for row in everything.rows_of(session, table):
            lines.append(comma + _json(row))
            comma = ",\n"
            size += len(lines[-1])
            if size >= _PIECE:
                yield "".join(lines).encode()
                lines, size = [], 0
        lines.append("\n]}")
    lines.append("\n}}\n")
    yield "".join(lines).encode()


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def write_everything(store: Source, file: Path, now: datetime, *, photos: bool) -> None:
    """Write everything into a file: a zip, or the document alone where its name ends in .json.

    The file is there whole or not at all. Raises Refused where there is one already or it can't be written.
    """
    if file.exists():
        raise Refused(f"{file} is there already; give another name.")
    is_document = file.suffix.lower() == ".json"
    pieces = (
        document_of_everything(store, now) if is_document else zip_of_everything(store, now, photos=photos)
    )
    part = file.with_name(f".{file.name}.part")
    try:
        with open(part, "wb") as out:
            out.writelines(pieces)
            out.flush()
            os.fsync(out.fileno())
        os.replace(part, file)
    except OSError as problem:
        raise Refused(f"{file} can’t be written: {problem.strerror}.") from problem
    finally:
        part.unlink(missing_ok=True)


def table_csv(store: Store, name: str) -> Iterator[bytes]:
    """One table as CSV in pieces. Raises NotFound for one that is never taken out, or that there is not."""
    table = next((t for t in everything.tables() if t.name == name), None)
    if table is None:
        raise NotFound("There is no such table to take out.")
    return _in_session(store, lambda session: _table(session, table))


def list_csv(store: Store, name: str, now: datetime) -> Iterator[bytes]:
    """One of the lists as CSV in pieces. Raises NotFound."""
    if name not in LISTS:
        raise NotFound("There is no such list to take out.")
    return _in_session(store, lambda session: _list(session, name, now))


def _in_session(store: Store, make: Callable[[Session], Iterator[bytes]]) -> Iterator[bytes]:
    with store.reading() as session:
        yield from make(session)


def _table(session: Session, table: Table) -> Iterator[bytes]:
    rows = ([_cell(value) for value in row] for row in everything.rows_of(session, table))
    return csv_of(everything.columns_of(table), rows)


def _cell(value: object) -> Cell:
    return value if value is None or isinstance(value, (str, int, float)) else _json(value)


def _list(session: Session, name: str, now: datetime) -> Iterator[bytes]:
    return csv_of(LISTS[name].columns, LISTS[name].rows(session, now))


def _times(session: Session, now: datetime) -> Iterator[tuple[Cell, ...]]:
    for times in (past_times(session), logged_times(session)):
        yield from map(_time_cells, times)


def _time_cells(t: StageTime) -> tuple[Cell, ...]:
    on = t.finished_on.isoformat()
    return (on, t.job, t.pattern, t.stage, t.kind, t.quantity, t.unit, t.minutes, t.person)


def _customers(session: Session, now: datetime) -> Iterator[tuple[Cell, ...]]:
    for one in customers(session):
        if not one.retired:
            line = one.line
            yield line.name, line.contact, line.email, line.phone, line.address, line.notes


def _materials(session: Session, now: datetime) -> Iterator[tuple[Cell, ...]]:
    ways = ways_of(session, now)
    for one in materials(session, ways.today, ways.now):
        if not one.retired:
            line = one.line
            price = "" if line.cents is None else _price(line.cents, ways.currency)
            yield line.name, line.unit, price, line.wear


def _price(cents: int, currency: str) -> str:
    return show_cents(cents, currency).rsplit(" ", 1)[0].replace(",", "")


LISTS: Mapping[str, List] = {
    "times": List(tuple(column.name for column in TIME_COLUMNS), _times),
    "customers": List(tuple(column.name for column in CUSTOMER_COLUMNS), _customers),
    "materials": List(tuple(column.name for column in MATERIAL_COLUMNS), _materials),
}
