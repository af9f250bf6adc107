"""The zip or document of a whole shop → the same shop in an empty database, or one sentence why not."""

import hashlib
import json
import os
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO, Any

from sqlalchemy import Table
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, Refused
from shoptrack.flows.take_out import DOCUMENT, FORMAT
from shoptrack.store import everything
from shoptrack.store.backup import PHOTOS
from shoptrack.store.db import Store
from shoptrack.store.migrate import head_revision
from shoptrack.store.photos import SMALL, write_whole

NOT_WHOLE = "The file is damaged or breaks off; nothing was brought in."
NOT_OURS = "This is not a file that shoptrack took out; nothing was brought in."
NOT_EMPTY = "There is a shop in this database already; a whole shop can only be brought into an empty one."
_AT_ONCE = 500
_LONGEST_LINE = 32 * 1024 * 1024
_GREATEST_SMALL = 1024 * 1024
_PHOTO = re.compile(rf"{PHOTOS}/({SMALL}/)?([1-9]\d{{0,18}})\.jpg")


@dataclass(frozen=True, slots=True)
class BroughtShop:
    """A whole shop that was brought in: how many rows of how many tables, and photos."""

    rows: int
    tables: int
    photos: int


def bring_shop(store: Store, file: IO[bytes]) -> BroughtShop:
    """Bring a whole shop into an empty database, ids and all, in one transaction.

    Takes a zip, or the JSON document alone, opened for reading. Raises BadInput for a file that is damaged,
    of another version or not ours, Refused where the database is not empty; then nothing has changed.
    """
    with store.reading() as session:
        _refuse_full(session)
    with TemporaryDirectory(dir=store.instance, prefix=".bringing-") as work:
        try:
            return _bring(store, file, Path(work))
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as problem:
            raise BadInput(NOT_WHOLE, "file") from problem


def bring_shop_file(store: Store, file: Path) -> BroughtShop:
    """The same by the name of the file. Raises BadInput where it can't be opened too."""
    if not file.is_file() or not os.access(file, os.R_OK):
        raise BadInput(f"There is no file {file} that can be read.")
    with open(file, "rb") as opened:
        return bring_shop(store, opened)


def _refuse_full(session: Session) -> None:
    if not everything.is_empty(session):
        raise Refused(NOT_EMPTY)


def _bring(store: Store, file: IO[bytes], work: Path) -> BroughtShop:
    with _opened(file) as (lines, bundle), store.writing() as session:
        _refuse_full(session)
        rows = sum(_put(session, table, parts) for table, parts in _tables(lines))
        if table := everything.points_at_nothing(session):
            raise BadInput(f"A row of {table} in the file points at something that is not in it.", "file")
        photos = _unpack(bundle, _photos_said(session), work) if bundle else 0
        everything.renew(session)
        placed = _place(work, store.instance / PHOTOS)
        try:
            session.commit()
        except BaseException:
            for photo in placed:
                photo.unlink(missing_ok=True)
            raise
    return BroughtShop(rows, len(everything.tables()), photos)


@contextmanager
def _opened(file: IO[bytes]) -> Iterator[tuple[Iterator[str], zipfile.ZipFile | None]]:
    """The lines of the document, and the zip that it lies in."""
    if not zipfile.is_zipfile(file):
        file.seek(0)
        yield _lines(file), None
        return
    with zipfile.ZipFile(file) as bundle:
        if DOCUMENT not in bundle.namelist():
            raise BadInput(NOT_OURS, "file")
        with bundle.open(DOCUMENT) as document:
            yield _lines(document), bundle


def _lines(document: IO[bytes]) -> Iterator[str]:
    while line := document.readline(_LONGEST_LINE):
        if said := line.decode("utf-8-sig").strip().removesuffix(","):
            yield said


def _tables(lines: Iterator[str]) -> Iterator[tuple[Table, Iterator[Sequence[Any]]]]:
    """Each table of the document with its rows; every table has to be there once, with our columns."""
    _refuse_other(_read(next(lines, ""), "", "}}", NOT_OURS))
    left = {table.name: table for table in everything.tables()}
    for line in lines:
        if line == "}}":
            break
        said = _read(line, "{", "]}}", NOT_WHOLE)
        table = left.pop(next(iter(said), ""), None)
        if table is None or said != _empty(table):
            raise BadInput(NOT_OURS, "file")
        yield table, _rows(lines)
    else:
        raise BadInput(NOT_WHOLE, "file")
    if left or any(lines):
        raise BadInput(NOT_WHOLE, "file")


def _empty(table: Table) -> dict[str, Any]:
    return {table.name: {"columns": list(everything.columns_of(table)), "rows": []}}


def _rows(lines: Iterator[str]) -> Iterator[Sequence[Any]]:
    for line in lines:
        if line == "]}":
            return
        row = _json(line)
        if not isinstance(row, list):
            break
        yield row
    raise BadInput(NOT_WHOLE, "file")


def _refuse_other(head: dict[str, Any]) -> None:
    if head.get("shoptrack") != FORMAT or "tables" not in head:
        raise BadInput(NOT_OURS, "file")
    if head.get("tables_at") != head_revision():
        theirs = str(head.get("tables_at"))[:40]
        raise BadInput(
            f"The file’s tables are of another version ({theirs}, ours is {head_revision()}): "
            "bring it in with the program that took it out, then update.",
            "file",
        )


def _read(line: str, before: str, after: str, sentence: str) -> dict[str, Any]:
    """The first line of a part, made whole. Raises BadInput with the sentence where it is none."""
    try:
        found = _json(before + line + after)
    except ValueError as problem:
        raise BadInput(sentence, "file") from problem
    if not isinstance(found, dict):
        raise BadInput(sentence, "file")
    return found


def _json(text: str) -> Any:
    return json.loads(text, parse_constant=_no_number)


def _no_number(said: str) -> float:
    raise ValueError(said)


def _put(session: Session, table: Table, rows: Iterable[Sequence[Any]]) -> int:
    count, part = 0, list[Sequence[Any]]()
    for row in rows:
        part.append(row)
        if len(part) == _AT_ONCE:
            everything.put(session, table, part)
            count, part = count + len(part), []
    if part:
        everything.put(session, table, part)
    return count + len(part)


def _photos_said(session: Session) -> dict[str, tuple[int, str]]:
    """The photos that the rows speak of: bytes and fingerprint by id."""
    return {str(id): (size, sha256) for id, size, sha256 in everything.photos(session)}


def _unpack(bundle: zipfile.ZipFile, said: dict[str, tuple[int, str]], work: Path) -> int:
    """Put the photos that the rows speak of into a folder, each held against its size and fingerprint."""
    (work / SMALL).mkdir()
    count = 0
    for name in bundle.namelist():
        photo = _PHOTO.fullmatch(name)
        if photo is None or photo[2] not in said:
            continue
        is_small = photo[1] is not None
        size, sha256 = (_GREATEST_SMALL, "") if is_small else said[photo[2]]
        with bundle.open(name) as opened:
            data = opened.read(size + 1)
        if len(data) > size or (not is_small and hashlib.sha256(data).hexdigest() != sha256):
            raise BadInput(NOT_WHOLE, "file")
        (work / SMALL if is_small else work).joinpath(f"{photo[2]}.jpg").write_bytes(data)
        count += not is_small
    return count


def _place(work: Path, folder: Path) -> list[Path]:
    """Put the photos where the pages look for them; a crash after this leaves pictures and no rows."""
    placed = []
    for photo in sorted(work.rglob("*.jpg")):
        write_whole(folder / photo.relative_to(work), photo.read_bytes())
        placed.append(folder / photo.relative_to(work))
    return placed
