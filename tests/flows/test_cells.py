"""Cells that no spreadsheet runs, and the shape of a CSV file."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.flows.cells import csv_of, guard, unguard, written

TEXT = st.text(st.characters(exclude_categories=("Cs",)))
RISKY = ("=1+1", "+1", "-1", "@sum", "\tx", "\rx", "\nx", '=HYPERLINK("http://x.test")', "'=1", "''@x", "-")


@pytest.mark.parametrize("text", RISKY)
def test_what_a_spreadsheet_would_run_gets_an_apostrophe_and_loses_it_again(text: str) -> None:
    assert guard(text) == "'" + text
    assert unguard(guard(text)) == text


@pytest.mark.parametrize("text", ["", "elm", "'tis", "a=1", "'", "''", "’=", "🪵"])
def test_what_it_would_not_run_stays_as_it_is(text: str) -> None:
    assert guard(text) == unguard(text) == text


@given(st.one_of(TEXT, st.text("'=+-@\t\r\n a", max_size=6)))
def test_any_text_comes_back_and_never_begins_like_a_formula(text: str) -> None:
    assert unguard(guard(text)) == text
    assert not guard(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        (None, ""),
        (True, "yes"),
        (False, "no"),
        (-3, "-3"),
        (2.0, "2"),
        (41.01954763333333, "41.01954763333333"),
        (1e-07, "1e-07"),
        ("-3", "'-3"),
    ],
)
def test_values_as_cells(value: str | float | bool | None, cell: str) -> None:
    """Numbers are numbers, so a minus before one is no formula."""
    assert written(value) == cell


def test_a_file_has_the_shape_of_rfc_4180() -> None:
    """Source: RFC 4180, section 2: CRLF ends each line, quotes round what needs them, quotes doubled."""
    rows = [('he said "elm"', "two\nlines"), ("a,b", "plain")]
    whole = b"".join(csv_of(("first", "second"), rows))
    assert whole == (b'\xef\xbb\xbffirst,second\r\n"he said ""elm""","two\nlines"\r\n"a,b",plain\r\n')


@given(st.lists(st.tuples(TEXT, TEXT), max_size=5))
def test_any_texts_are_read_back_by_pythons_own_reader(rows: list[tuple[str, str]]) -> None:
    whole = b"".join(csv_of(("first", "second"), rows)).decode("utf-8-sig")
    read = list(csv.reader(io.StringIO(whole, newline=""), strict=True))
    assert [tuple(map(unguard, row)) for row in read[1:]] == rows


def test_a_long_file_comes_in_pieces() -> None:
    pieces = list(csv_of(("n",), (("x" * 1000,) for _ in range(500))))
    assert len(pieces) > 5
    assert max(map(len, pieces)) < 70_000
