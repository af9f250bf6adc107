"""Files as programs save them, and files that are no tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_text import GREATEST_BYTES, OLD_LETTERS, read_text

WORDS = "kind,person\r\nglue-up,Zoë Grün\r\nœuvre,“Ärger”\r\n"


@pytest.mark.parametrize(
    ("data", "note"),
    [
        (WORDS.encode(), ""),
        (WORDS.encode("utf-8-sig"), ""),
        (WORDS.encode("utf-16"), ""),
        (b"\xff\xfe" + WORDS.encode("utf-16-le"), ""),
        (b"\xfe\xff" + WORDS.encode("utf-16-be"), ""),
        (WORDS.encode("utf-16-le"), ""),
        (WORDS.encode("utf-16-be"), ""),
        (WORDS.encode("cp1252"), OLD_LETTERS),
    ],
)
def test_the_letters_of_any_program_are_read(data: bytes, note: str) -> None:
    found = read_text(data)
    assert (found.text, found.note) == (WORDS, note)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "The file is empty."),
        (b" \r\n\t\n", "The file is empty."),
        (b"x" * (GREATEST_BYTES + 1), "larger than 5 MB"),
        (b"PK\x03\x04" + bytes(50), "spreadsheet’s own file or a zip"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "old spreadsheet"),
        (b"%PDF-1.7\n", "printed page"),
        (b"SQLite format 3\x00", "a database"),
        (b"\x89PNG\r\n\x1a\n", "a picture"),
        (b"\xff\xd8\xff\xe0", "a picture"),
        (b"kind,minutes\nglue\x00up,3\n", "not a text file"),
        (b"\xff\xfek\x00i\x00n", "breaks off or is damaged"),
        (b"\xff\xfe\x00\xdc\x00\xdc", "breaks off or is damaged"),
        (b"kind\x81\x8d\n", "letters can’t be read"),
    ],
)
def test_what_is_no_table_is_told_in_one_sentence(data: bytes, said: str) -> None:
    with pytest.raises(BadInput, match=said) as wrong:
        read_text(data)
    assert wrong.value.field == "file"
    assert "\n" not in str(wrong.value)


@given(st.binary(max_size=300))
def test_any_bytes_are_text_or_refused(data: bytes) -> None:
    try:
        found = read_text(data).text + "."
    except BadInput as wrong:
        found = str(wrong)
    assert found.endswith(".")
    assert "\0" not in found
