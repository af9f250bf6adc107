"""Days, numbers, minutes and money as people write them, and as they must not be guessed at."""

from collections.abc import Callable
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.flows import bring_in_cells as cells

TODAY = date(2026, 11, 25)


def said_of(read: Callable[[], object]) -> str:
    """The sentence of a refusal; "Taken." where there was none."""
    try:
        read()
    except BadInput as wrong:
        return str(wrong)
    return "Taken."


@pytest.mark.parametrize(
    "text",
    [
        "2026-04-03",
        " 2026-04-03 ",
        "2026-4-3",
        "2026/04/03",
        "20260403",
        "2026-04-03 00:00:00",
        "2026-04-03T13:05",
        "3.4.2026",
        "03.04.2026",
    ],
)
def test_days_that_can_be_read_in_one_way(text: str) -> None:
    assert cells.day(text, TODAY) == date(2026, 4, 3)


@pytest.mark.parametrize(
    ("text", "on"),
    [
        ("25/12/2025", date(2025, 12, 25)),
        ("12/25/2025", date(2025, 12, 25)),
        ("5/5/2025", date(2025, 5, 5)),
        ("13-2-2025", date(2025, 2, 13)),
        ("29.2.2024", date(2024, 2, 29)),
    ],
)
def test_days_whose_order_shows(text: str, on: date) -> None:
    assert cells.day(text, TODAY) == on


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "missing"),
        ("  ", "missing"),
        ("03/04/2026", "could be 2026-03-04 or 2026-04-03"),
        ("3-4-2026", "could be 2026-03-04 or 2026-04-03"),
        ("03/04/26", "not a date"),
        ("3 Apr 2026", "not a date"),
        ("yesterday", "not a date"),
        ("46115", "not a date"),
        ("2026-02-30", "no such day"),
        ("2026-13-01", "no such day"),
        ("31.4.2026", "no such day"),
        ("2025-02-29", "no such day"),
        ("2026-11-26", "still to come"),
        ("1949-12-31", "too long ago"),
        ("0000-01-01", "no such day"),
        ("٢٠٢٦-٠٤-٠٣", "not a date"),
        ("x" * 300, "not a date"),
    ],
)
def test_days_that_are_refused(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said) as wrong:
        cells.day(text, TODAY)
    assert len(str(wrong.value)) < 120


@pytest.mark.parametrize(
    ("text", "mark", "number"),
    [
        ("85", ".", 85),
        ("1.5", ".", 1.5),
        ("1.500", ".", 1.5),
        (".5", ".", 0.5),
        ("1,5", ",", 1.5),
        ("1,500", ",", 1.5),
        ("1e-07", ".", 1e-07),
        ("−3", ".", -3),
        ("1\u00a0250", ".", 1250),
        ("1500", "?", 1500),
    ],
)
def test_numbers(text: str, mark: str, number: float) -> None:
    assert cells.number(text, mark) == number


@pytest.mark.parametrize(
    ("text", "mark", "said"),
    [
        ("", ".", "missing"),
        ("1,5", ".", "thousands or decimals"),
        ("1,500", ".", "thousands or decimals"),
        ("1.500", ",", "thousands or decimals"),
        ("1.500", "?", "thousands or decimals"),
        ("1,000.50", ".", "thousands or decimals"),
        ("many", ".", "not a number"),
        ("1_000", ".", "not a number"),
        ("0x10", ".", "not a number"),
        ("nan", ".", "not a number"),
        ("inf", ".", "not a number"),
        ("1e999", ".", "not a number"),
        ("12 boards", ".", "not a number"),
        ("٣", ".", "not a number"),
    ],
)
def test_numbers_that_are_refused(text: str, mark: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        cells.number(text, mark)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("85", 85), ("85.5", 85.5), ("1 h 25", 85), ("1:25", 85), ("85 min", 85), ("2 h", 120)],
)
def test_minutes(text: str, minutes: float) -> None:
    assert cells.minutes(text, ".") == minutes


@pytest.mark.parametrize(
    ("text", "said"),
    [("0", "above nought"), ("-5", "above nought"), ("9999999", "too much"), ("1:99", "length of time"),
     ("soon", "not a number"), ("400 days", "too much"), ("", "missing")],
)  # fmt: skip
def test_minutes_that_are_refused(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        cells.minutes(text, ".")


@pytest.mark.parametrize(
    ("text", "mark", "found"),
    [("9.50", ".", 950), ("1,250.50", ".", 125050), ("9,50", ",", 950), ("$12", ".", 1200), ("0", ".", 0)],
)
def test_money(text: str, mark: str, found: int) -> None:
    assert cells.cents(text, mark, "USD") == found


@pytest.mark.parametrize(
    ("text", "mark", "said"),
    [("9.505", ".", "more decimals"), ("dear", ".", "amount of money"), ("-3", ".", "can’t be meant"),
     ("99999999999", ".", "can’t be meant"), ("1.500", "?", "thousands or decimals"),
     ("1.250,50", ",", "thousands or decimals")],
)  # fmt: skip
def test_money_that_is_refused(text: str, mark: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        cells.cents(text, mark, "USD")


def test_words_stay_as_they_are_unless_too_long() -> None:
    assert cells.words(" elm ") == " elm "
    assert cells.words(" \t") == ""
    assert cells.note("x" * 4000)
    with pytest.raises(BadInput, match="longer than 200 letters"):
        cells.words("x" * 201)
    with pytest.raises(BadInput, match="longer than 4,000 letters"):
        cells.note("x" * 4001)


@given(st.floats(min_value=1e-9, max_value=1e6), st.sampled_from([".", ","]))
def test_any_number_comes_back(number: float, mark: str) -> None:
    """As the program writes it, and as a spreadsheet with decimal commas saves that."""
    assert cells.number(repr(number).replace(".", mark), mark) == number


@given(st.text(max_size=60), st.sampled_from([".", ",", "?"]))
def test_any_cell_is_read_or_refused(text: str, mark: str) -> None:
    readers = (
        lambda: cells.day(text, TODAY),
        lambda: cells.number(text, mark),
        lambda: cells.measure(text, mark),
        lambda: cells.minutes(text, mark),
        lambda: cells.cents(text, mark, "JPY"),
    )
    assert all(said_of(read).endswith(".") for read in readers)


def test_texts_are_compared_whatever_program_saved_them() -> None:
    assert cells.fold("  Glue \n UP") == "glue up"
    assert cells.plain_lines(" one\r\ntwo\rthree\n") == "one\ntwo\nthree"
    assert cells.short("a  b\nc") == "a b c"
    assert len(cells.short("x" * 500)) == 40
