"""Tables in the dialects that programs write, and tables that can't be read."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_sheet import EXTRA, GREATEST_ROWS, Column, column_name, read_sheet

COLUMNS = (Column("kind", needed=True), Column("minutes", needed=True, number=True), Column("job"))
TEXT = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), min_size=1, max_size=20)


def rows(text: str) -> list[tuple[int, dict[str, str]]]:
    return [(row.number, dict(row.cells)) for row in read_sheet(text, COLUMNS).rows]


@pytest.mark.parametrize(
    "text",
    [
        "kind,minutes,job\nglue-up,85,tray\n",
        "kind;minutes;job\r\nglue-up;85;tray\r\n",
        "kind\tminutes\tjob\rglue-up\t85\ttray\r",
        "sep=;\nkind;minutes;job\nglue-up;85;tray",
        "\n\nkind,minutes,job\n\nglue-up,85,tray\n,,\n\n",
        ' JOB ,"Minutes",KIND\ntray,85,glue-up',
        '"kind","minutes","job"\n"glue-up","85","tray"\n',
    ],
)
def test_the_dialects_of_programs(text: str) -> None:
    ((_, cells),) = rows(text)
    assert cells == {"kind": "glue-up", "minutes": "85", "job": "tray"}


def test_rows_have_the_numbers_that_a_spreadsheet_shows() -> None:
    """A text of three lines is one row; an empty row counts, and is passed over."""
    text = 'kind,minutes,job\nglue-up,1,"one\ntwo\nthree"\n\nglue-up,2,tray\n'
    assert [(number, cells["job"]) for number, cells in rows(text)] == [(2, "one\ntwo\nthree"), (4, "tray")]


def test_columns_nobody_asked_for_are_named() -> None:
    sheet = read_sheet("kind,Colour,minutes,,Price of it\na,red,1,,3\n", COLUMNS)
    assert sheet.ignored == ("Colour", "Price of it")


def test_cells_beyond_the_last_column_and_missing_ones() -> None:
    ((_, more), (_, fewer), (_, blank)) = rows("kind,minutes,job\na,1,tray,and ash\nb\nc,1,tray,,\n")
    assert more[EXTRA] == "and ash"
    assert fewer == {"kind": "b"}
    assert EXTRA not in blank


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("Finished on", "finished_on"),
        ("finished-on ", "finished_on"),
        ("FINISHED__ON", "finished_on"),
        ("", ""),
    ],
)
def test_how_columns_are_compared(said: str, name: str) -> None:
    assert column_name(said) == name


@pytest.mark.parametrize(
    ("text", "mark"),
    [
        ("kind,minutes\na,1.5\n", "."),
        ("kind,minutes\na,1.500\n", "."),
        ("kind;minutes\na;1,5\n", ","),
        ("kind;minutes\na;1.500\nb;12,25\n", ","),
        ("kind;minutes\na;1.5\nb;2.500\n", "."),
        ("kind;minutes\na;1.500\nb;2.250\n", "?"),
        ("kind;minutes\na;0.125\n", "."),
        ("kind;minutes\na;85\n", "."),
        ("kind\tminutes\na\t1,5\n", ","),
    ],
)
def test_the_decimal_mark_is_the_files_own(text: str, mark: str) -> None:
    assert read_sheet(text, COLUMNS).mark == mark


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("kind,job\na,b\n", "no column called minutes"),
        ("a,b\n1,2\n", "no column called kind or minutes"),
        ("85\n", "no column called kind or minutes"),
        ("kind,minutes,Kind\na,1,b\n", "names kind twice"),
        ("kind,minutes\n", "no rows below"),
        ("kind,minutes\n\n ,\n", "no rows below"),
        ('kind,minutes\na,"85\nb,3\n', "opens in row 2 and is never closed"),
        ('kind,minutes\na,1\n"b"c,3\n', "Row 3 has a quotation mark in the middle"),
        (f"kind,minutes\n{'x' * 200_000},1\n", "cell of row 2 is longer"),
        ("kind,minutes\n" + "a,1\n" * (GREATEST_ROWS + 1), "more than 50,000 rows"),
    ],
)
def test_tables_that_are_refused_whole(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said) as wrong:
        read_sheet(text, COLUMNS)
    assert wrong.value.field == "file"


@given(
    st.lists(st.tuples(TEXT, TEXT, TEXT), min_size=1, max_size=4),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["\n", "\r\n"]),
)
def test_any_text_is_read_as_pythons_own_writer_wrote_it(
    texts: list[tuple[str, str, str]], delimiter: str, end: str
) -> None:
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator=end, quoting=csv.QUOTE_ALL)
    writer.writerows([("kind", "minutes", "job"), *(("k" + a, "m" + b, "j" + c) for a, b, c in texts)])
    found = [(cells["kind"], cells["minutes"], cells["job"]) for _, cells in rows(out.getvalue())]
    assert found == [("k" + a, "m" + b, "j" + c) for a, b, c in texts]


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=200))
def test_any_text_is_a_table_or_refused(text: str) -> None:
    try:
        said = "." if read_sheet("kind,minutes\n" + text, COLUMNS).rows else ""
    except BadInput as wrong:
        said = str(wrong)
    assert said.endswith(".")
