"""Fields of a form: what is taken, and the plain sentence for what is not."""

from datetime import date, time

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


@pytest.mark.parametrize("text", ["0", "-1", "1.5", "ten", "", "10001", "²", "9" * 40, "0000000000019"])
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


def test_a_measure_that_is_too_much_is_told_the_most() -> None:
    assert forms.measure({"m": "100000"}, "m", "A measure") == 100_000
    with pytest.raises(BadInput, match="above nought, 100000 at most"):
        forms.measure({"m": "100000.5"}, "m", "A measure")


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


@pytest.mark.parametrize("text", ["0001-01-01", "1989-12-31", "2101-01-01", "9999-12-31"])
def test_a_day_is_one_that_a_shop_can_mean(text: str) -> None:
    """Beyond, the days around it may have no date at all, and a page would break on them."""
    with pytest.raises(BadInput, match="must lie between 1990 and 2100"):
        forms.maybe_day({"on": text}, "on", "The day")


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


INCHES, METRIC = Wall(), Wall(length_unit="mm", temperature_unit="C")


def test_lengths_and_degrees_are_read_in_the_shops_units() -> None:
    typed = {"width": "4 3/8", "warm": "68", "none": " "}
    assert forms.maybe_length(typed, "width", "The width", INCHES) == pytest.approx(111.125)
    assert forms.maybe_length({"width": "111"}, "width", "The width", METRIC) == 111
    assert forms.maybe_warmth(typed, "warm", "The warmth", INCHES) == pytest.approx(20)
    assert forms.maybe_length(typed, "none", "The width", INCHES) is None
    assert forms.maybe_warmth(typed, "none", "The warmth", METRIC) is None


@pytest.mark.parametrize("text", ["0", "-3", "wide", "9999999", "nan", "1/0"])
def test_lengths_that_cant_be_are_refused_by_field(text: str) -> None:
    with pytest.raises(BadInput) as wrong:
        forms.maybe_length({"width": text}, "width", "The width", INCHES)
    assert wrong.value.field == "width"


@pytest.mark.parametrize("text", ["hot", "500", "-300"])
def test_degrees_that_cant_be_are_refused(text: str) -> None:
    with pytest.raises(BadInput) as wrong:
        forms.maybe_warmth({"warm": text}, "warm", "The warmth", METRIC)
    assert wrong.value.field == "warm"


def test_numbers_may_be_nought_where_they_may() -> None:
    typed = {"a": "0", "b": "1,5", "c": "", "d": "-1", "e": "nan", "f": "inf"}
    assert forms.number(typed, "a", "A number") == 0
    assert forms.number(typed, "b", "A number") == 1.5
    assert forms.number(typed, "c", "A number") is None
    for name in ("d", "e", "f"):
        with pytest.raises(BadInput, match="from 0 to 100000"):
            forms.number(typed, name, "A number")


def test_lengths_of_time_and_times_of_day() -> None:
    typed = {"cure": "1 h 25", "long": "900 days", "opens": "08:30", "bad": "25:00", "none": ""}
    assert forms.maybe_minutes(typed, "cure", "The cure") == 85
    assert forms.maybe_minutes(typed, "none", "The cure") is None
    assert forms.maybe_clock(typed, "opens", "The opening") == time(8, 30)
    assert forms.maybe_clock(typed, "none", "The opening") is None
    with pytest.raises(BadInput, match="can’t be meant"):
        forms.maybe_minutes(typed, "long", "The cure")
    with pytest.raises(BadInput, match="not a time of day"):
        forms.maybe_clock(typed, "bad", "The opening")


def test_a_choice_is_one_of_those_offered_and_an_id_a_number() -> None:
    typed = {"kind": "glue", "other": "jam", "room": "3", "none": "", "far": "99999999999"}
    assert forms.choice(typed, "kind", "The kind", ("glue", "finish")) == "glue"
    for name in ("other", "none"):
        with pytest.raises(BadInput):
            forms.choice(typed, name, "The kind", ("glue", "finish"))
    assert (forms.maybe_id(typed, "room", "The room"), forms.maybe_id(typed, "none", "The room")) == (3, None)
    with pytest.raises(BadInput):
        forms.maybe_id(typed, "far", "The room")


def test_a_share_or_none() -> None:
    assert forms.maybe_share({"margin": " 8,1 % "}, "margin") == 810
    assert forms.maybe_share({"margin": " "}, "margin") is None
    with pytest.raises(BadInput) as wrong:
        forms.maybe_share({"margin": "much"}, "margin")
    assert wrong.value.field == "margin"
