"""The text of a table → its rows under the names of its columns, or one sentence why it is no table."""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from shoptrack.errors import BadInput
from shoptrack.flows.cells import unguard

GREATEST_ROWS = 50_000
DELIMITERS = (",", ";", "\t")
_SAID_DELIMITER = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}([.]\d{3})+", re.ASCII)
_NOT_CLOSED = "unexpected end of data"
EXTRA = ""


@dataclass(frozen=True, slots=True)
class Column:
    """A column that is looked for: its name, whether each row must fill it, and whether it holds numbers."""

    name: str
    needed: bool = False
    number: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number as a spreadsheet shows it, and its cells by column.

    What stands beyond the last column is under ``EXTRA``.
    """

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table that was read: its rows, the columns nobody asked for, and its decimal mark.

    ``mark`` is "." or ","; "?" where every number could be read both ways.
    """

    rows: tuple[Row, ...]
    ignored: tuple[str, ...]
    mark: str


def read_sheet(text: str, columns: tuple[Column, ...]) -> Sheet:
    """The rows of a table whose first row names its columns, in any order.

    Raises BadInput for a table without the needed columns, with one named twice, with quotes that are
    not closed, without rows or with more than 50,000.
    """
    said = _SAID_DELIMITER.match(text)
    body = text[said.end() :] if said else text
    delimiter = said[1] if said and said[1] in DELIMITERS else _delimiter(body, columns)
    records = _records(body, delimiter, 1 if said else 0)
    number, head = next(records, (0, []))
    names = _names(head, columns)
    rows = tuple(_rows(records, names))
    if not rows:
        raise BadInput(f"The file has no rows below the names of its columns (row {number}).", "file")
    wanted = {column.name for column in columns}
    ignored = tuple(
        cell.strip() for cell, name in zip(head, names, strict=True) if name and name not in wanted
    )
    return Sheet(rows, ignored, _mark(delimiter, rows, columns))


def _delimiter(text: str, columns: tuple[Column, ...]) -> str:
    """The sign by which the first row falls into the most columns that are known."""
    wanted = {column.name for column in columns}
    known = {sign: len(wanted & set(map(column_name, _first(text, sign)))) for sign in DELIMITERS}
    return max(DELIMITERS, key=lambda sign: known[sign])


def _first(text: str, delimiter: str) -> list[str]:
    try:
        return next(_records(text, delimiter, 0), (0, []))[1]
    except BadInput:
        return []


def column_name(said: str) -> str:
    """The name of a column as it is compared: "Finished on " and "finished-on" are finished_on."""
    return re.sub(r"[\s_-]+", "_", said.strip().casefold())


def _records(text: str, delimiter: str, before: int) -> Iterator[tuple[int, list[str]]]:
    """The rows that have something in them, with their numbers."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = before
    try:
        for cells in reader:
            number += 1
            if any(cell.strip() for cell in cells):
                yield number, cells
    except csv.Error as problem:
        raise BadInput(_unreadable(number + 1, str(problem)), "file") from problem


def _unreadable(number: int, problem: str) -> str:
    if _NOT_CLOSED in problem:
        return f"A quotation mark opens in row {number} and is never closed."
    if "field larger" in problem:
        return f"A cell of row {number} is longer than any text can be; is a quotation mark missing?"
    return f"Row {number} has a quotation mark in the middle of a cell; inside quotes it is written twice."


def _names(head: list[str], columns: tuple[Column, ...]) -> list[str]:
    names = [column_name(cell) for cell in head]
    missing = [column.name for column in columns if column.needed and column.name not in names]
    if missing:
        raise BadInput(f"The first row has no column called {_listed(missing)}.", "file")
    twice = [column.name for column in columns if names.count(column.name) > 1]
    if twice:
        raise BadInput(f"The first row names {_listed(twice)} twice.", "file")
    return names


def _rows(records: Iterable[tuple[int, list[str]]], names: list[str]) -> Iterator[Row]:
    for count, (number, cells) in enumerate(records, 1):
        if count > GREATEST_ROWS:
            raise BadInput("The file has more than 50,000 rows; bring it in as several smaller ones.", "file")
        found = dict(zip(names, map(unguard, cells), strict=False))
        extra = "".join(cells[len(names) :]).strip()
        if extra:
            found[EXTRA] = extra
        else:
            found.pop(EXTRA, None)
        yield Row(number, found)


def _mark(delimiter: str, rows: tuple[Row, ...], columns: tuple[Column, ...]) -> str:
    """Which sign stands before decimals: a comma only where it doesn't also part the cells."""
    if delimiter == ",":
        return "."
    numbers = [row.cells.get(c.name, "") for c in columns if c.number for row in rows]
    if any("," in number for number in numbers):
        return ","
    pointed = [number.strip() for number in numbers if "." in number]
    return "?" if pointed and all(_THOUSANDS.fullmatch(number) for number in pointed) else "."


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
