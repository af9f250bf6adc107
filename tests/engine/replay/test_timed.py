"""Intervals that count: their length, their parts, and the days they lie in."""

from shoptrack.engine.replay.book import Book
from shoptrack.engine.replay.timed import Days, clip, length_min
from tests.engine.shop import ANN, at, shop, stage

TUESDAY = ((at("8:00"), at("12:00")), (at("12:45"), at("17:00")))


def test_length_is_in_minutes() -> None:
    assert length_min(TUESDAY) == 4 * 60 + 4.25 * 60
    assert length_min(()) == 0


def test_clip_keeps_the_parts_inside() -> None:
    """From 11:30 to 13:00: half an hour before lunch, a quarter after."""
    assert clip(TUESDAY, at("11:30"), at("13:00")) == ((at("11:30"), at("12:00")), (at("12:45"), at("13:00")))
    assert clip(TUESDAY, at("12:00"), at("12:45")) == ()


def test_days_know_what_lies_inside_one_span() -> None:
    """A morning does, lunch does not, nor does anything before the first day."""
    days = Days.since(Book(shop(stage(1))), ANN, at("8:00"), at("wed 12:00"))
    assert days.has(at("8:00"), at("12:00"))
    assert not days.has(at("11:30"), at("13:00"))
    assert not days.has(at("7:59"), at("9:00"))
    assert days.has(at("wed 9:00"), at("wed 10:00"))
    assert not Days(()).has(at("9:00"), at("10:00"))
