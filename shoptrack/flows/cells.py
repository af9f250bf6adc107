"""Values to the cells of a CSV file that no spreadsheet takes for formulas, and such cells back to text."""

import csv
import re
from collections.abc import Iterable, Iterator, Sequence

Cell = str | int | float | bool | None
MARK = "\ufeff"
"""Before the first row, so that spreadsheets read the letters as UTF-8."""

# What spreadsheets run as a formula when a cell begins with it. Source: OWASP, "CSV Injection"; from memory.
_RISKY = re.compile(r"'*[=+\-@\t\r\n]")
_GUARDED = re.compile(r"''*[=+\-@\t\r\n]")
_AT_ONCE = 64 * 1024


def guard(text: str) -> str:
    """The text with an apostrophe before it where a spreadsheet would run it as a formula."""
    return "'" + text if _RISKY.match(text) else text


def unguard(text: str) -> str:
    """The text as it was before ``guard``."""
    return text[1:] if _GUARDED.match(text) else text


def written(value: Cell) -> str:
    """A value as a cell: numbers so that they are read back exactly, yes and no in words."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return guard(value) if isinstance(value, str) else str(value)


class _Lines:
    """What the writer of CSV writes on, until it is taken away."""

    def __init__(self) -> None:
        self.parts: list[str] = []
        self.size = 0

    def write(self, part: str) -> int:
        self.parts.append(part)
        self.size += len(part)
        return len(part)

    def take(self) -> bytes:
        text = "".join(self.parts)
        self.parts, self.size = [], 0
        return text.encode("utf-8", "replace")


def csv_of(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[bytes]:
    """A CSV file in pieces: UTF-8 with a mark, commas, quotes doubled, lines ended by CR LF (RFC 4180)."""
    lines = _Lines()
    lines.write(MARK)
    writer = csv.writer(lines, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([written(value) for value in row])
        if lines.size >= _AT_ONCE:
            yield lines.take()
    yield lines.take()
