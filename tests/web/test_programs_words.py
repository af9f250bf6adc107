"""Minutes, feeds and distances of programs in the units of two shops."""

import pytest

from shoptrack.web import programs_words as words
from shoptrack.web.render import Wall

MM, INCH = Wall(length_unit="mm"), Wall(length_unit="in")


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0.0, "0 s"),
        (0.135, "8 s"),
        (1.0, "1 min"),
        (4.3333, "4 min 20 s"),
        (9.999, "10 min"),
        (41.2, "41 min"),
        (85, "1 h 25"),
    ],
)
def test_minutes_of_a_machine(minutes: float, said: str) -> None:
    assert words.run_words(minutes).replace("\u00a0", " ") == said


def test_feeds() -> None:
    assert words.feed_words(1200, MM) == "1200 mm/min"
    assert words.feed_words(1200, INCH) == "47 in/min"
    assert words.feed_words(127, INCH) == "5 in/min"
    assert words.feeds_words(400, 1800, MM) == "400–1800 mm/min"
    assert words.feeds_words(400, 400, MM) == "400 mm/min"
    assert words.feeds_words(None, None, MM) == ""


def test_distances_and_depths() -> None:
    assert words.far_words(12_440, MM).replace("\u00a0", " ") == "12.4 m"
    assert words.far_words(304.8 * 41, INCH).replace("\u00a0", " ") == "41.0 ft"
    assert words.far_words(1_234_567, MM).replace("\u00a0", " ") == "1,235 m"
    assert words.fine_words(2.5, MM) == "2.5 mm"
    assert words.fine_words(-2.5, INCH) == '−0.098"'
    assert words.fine_words(-0.0001, MM) == "0 mm"
    assert words.reach_words((-3, 600), MM) == "−3 mm to 600 mm"
    assert words.reach_words(None, MM) == "not known"
    assert words.wide_words((-3, 600), MM) == "603 mm"
    assert words.wide_words(None, MM) == ""


def test_sizes() -> None:
    assert [words.size_words(n) for n in (12, 14_400, 86_000_000, 2_540_000)] == [
        "12 bytes", "14 kB", "86 MB", "2.5 MB",
    ]  # fmt: skip


def test_the_words_of_a_shop_are_in_its_units() -> None:
    own = words.Words(MM)
    said = (
        own.feed(5),
        own.feeds(5, 6),
        own.far(100),
        own.fine(1),
        own.reach((0, 1)),
        own.wide((0, 1)),
        own.size(1),
    )
    assert not any('"' in each or "in/" in each or "ft" in each for each in said)
