"""The bytes of a file that was handed in → its text, whatever program saved it, or why it is none."""

import codecs
from dataclasses import dataclass

from shoptrack.errors import BadInput

GREATEST_BYTES = 5 * 1024 * 1024
TOO_LARGE = "The file is larger than 5 MB; bring it in as several smaller ones."
_LOOKED_AT = 4096  # bytes; enough to tell which half of each pair is nought

# First bytes of files that are often handed in by mistake. Source: the file formats' own; from memory.
_OTHER_FILES = (
    (b"PK\x03\x04", "This is a spreadsheet’s own file or a zip: save it as CSV first, then bring that in."),
    (b"\xd0\xcf\x11\xe0", "This is an old spreadsheet’s own file: save it as CSV first, then bring that in."),
    (b"%PDF", "This is a printed page (PDF), not a table: save the table as CSV and bring that in."),
    (b"SQLite format 3", "This is a database, not a table: bring in a CSV file."),
    (b"\x89PNG", "This is a picture, not a table: bring in a CSV file."),
    (b"\xff\xd8\xff", "This is a picture, not a table: bring in a CSV file."),
)
OLD_LETTERS = (
    "The file is in an older way of writing letters (Windows-1252): look whether names with "
    "marks on their letters are right below."
)


@dataclass(frozen=True, slots=True)
class Text:
    """The text of a file, without a byte order mark, and a note where it had to be guessed at."""

    text: str
    note: str = ""


def read_text(data: bytes) -> Text:
    """The text of a file in UTF-8, UTF-16 or Windows-1252.

    Raises BadInput for an empty file, one that is too large, or one that is no text.
    """
    if not data.strip():
        raise BadInput("The file is empty.", "file")
    if len(data) > GREATEST_BYTES:
        raise BadInput(TOO_LARGE, "file")
    for start, sentence in _OTHER_FILES:
        if data.startswith(start):
            raise BadInput(sentence, "file")
    found = _decoded(data)
    if "\0" in found.text:
        raise BadInput("This is not a text file: bring in a table saved as CSV.", "file")
    return found


def _decoded(data: bytes) -> Text:
    wide = _wide_letters(data)
    if wide:
        try:
            return Text(data.decode(wide).removeprefix("\ufeff"))
        except UnicodeDecodeError as problem:
            raise BadInput(
                "The file breaks off or is damaged: save it again as CSV (UTF-8).", "file"
            ) from problem
    try:
        return Text(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return _old_letters(data)


def _wide_letters(data: bytes) -> str:
    """The name of UTF-16 where the file is written in it, with a mark at its start or without."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    part = data[:_LOOKED_AT]
    first, second = part[::2].count(0), part[1::2].count(0)
    if len(data) % 2 == 0 and max(first, second) > len(part) // 4 and min(first, second) == 0:
        return "utf-16-be" if first else "utf-16-le"
    return ""


def _old_letters(data: bytes) -> Text:
    try:
        return Text(data.decode("cp1252"), OLD_LETTERS)
    except UnicodeDecodeError as problem:
        raise BadInput("The file’s letters can’t be read: save it as CSV (UTF-8).", "file") from problem
