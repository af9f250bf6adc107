"""Fields of a form: what is taken, and the plain sentence for what is not."""

from datetime import UTC, date, datetime

import pytest

from shoptrack.errors import BadInput
from shoptrack.web import forms
from shoptrack.web.render import Wall


def test_words_lose_the_space_around_them() -> None:
    assert forms.words({"title": "  hall   door "}, "title", "What it is") == "hall door"


@pytest.mark.parametrize("text", ["", "   ", "x" * 201])
def test_no_words_and_too_many_are_refused_by_field(text: str) -> None:
    with pytest.raises(BadInput) as wrong:
        forms.words({"title": text}, "title", "What it is")
    assert wrong.value.field == "title"
    assert str(wrong.value).startswith("What it is ")


@pytest.mark.parametrize("text", ["0", "-1", "1.5", "ten", "", "10001", "²", "9" * 40])
def test_a_whole_number_is_a_whole_number(text: str) -> None:
    with pytest.raises(BadInput, match="whole number from 1 to 10000"):
        forms.whole({"pieces": text}, "pieces", "The number of pieces")


def test_a_measure_takes_a_point_or_a_comma() -> None:
    assert forms.measure({"m": "12,5"}, "m", "A measure") == 12.5
    assert forms.measure({"m": " "}, "m", "A measure") is None


@pytest.mark.parametrize("text", ["0", "-2", "nan", "inf", "1e9", "two", "1,2,3"])
def test_a_measure_is_above_nought(text: str) -> None:
    with pytest.raises(BadInput, match="above nought"):
        forms.measure({"m": text}, "m", "A measure")


def test_a_day_or_none() -> None:
    assert forms.maybe_day({"on": "2027-03-14"}, "on", "The date") == date(2027, 3, 14)
    assert forms.maybe_day({}, "on", "The date") is None
    with pytest.raises(BadInput, match="not a date"):
        forms.maybe_day({"on": "14.3."}, "on", "The date")


def test_a_price() -> None:
    assert forms.maybe_cents({"price": "1,250.50"}, "price", "USD") == 125050
    assert forms.maybe_cents({}, "price", "USD") is None
    with pytest.raises(BadInput):
        forms.maybe_cents({"price": "-5"}, "price", "USD")
    with pytest.raises(BadInput):
        forms.maybe_cents({"price": "9" * 18}, "price", "USD")


def test_a_wall_time_is_the_shops() -> None:
    """13:05 in New York is 18:05 in winter; on the night the clocks go back the first 1:30 is meant."""
    wall = Wall(zone="America/New_York")
    assert forms.wall_time({"to": "2026-11-25T13:05"}, "to", wall) == datetime(
        2026, 11, 25, 18, 5, tzinfo=UTC
    )
    assert forms.wall_time({"to": "2026-11-01T01:30"}, "to", wall) == datetime(2026, 11, 1, 5, 30, tzinfo=UTC)
    for text in ("", "soon", "2026-11-25T13:05+01:00", "0001-01-01T00:00"):
        with pytest.raises(BadInput):
            forms.wall_time({"to": text}, "to", wall)


@pytest.mark.parametrize(
    "path", ["//elsewhere.example", "/\\elsewhere.example", "https://x.example", "/a b", "/\n"]
)
def test_a_way_back_stays_in_the_shop(path: str) -> None:
    with pytest.raises(BadInput):
        forms.local_path({"back": path}, "back")


def test_a_way_back() -> None:
    assert forms.local_path({"back": "/jobs/3#log"}, "back") == "/jobs/3#log"
    assert forms.local_path({}, "back") == "/"


def test_a_form_shown_twice_has_one_id() -> None:
    assert forms.form_id("a", 1) == forms.form_id("a", 1) != forms.form_id("a", 2)
    assert forms.new_id() != forms.new_id()
