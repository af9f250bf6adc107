"""Words for instants, minutes, counts and degrees, as makers say them."""

from datetime import UTC, date, datetime, timedelta

import pytest

from shoptrack.engine.shapes import FAR
from shoptrack.web.render import (
    Wall,
    cents_field,
    clock,
    count,
    day,
    degrees,
    length,
    length_field,
    listed,
    measure,
    minutes,
    share_field,
    unbroken,
    wall_clock,
    warmth_field,
    when,
    whole,
)

NOW = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)  # Wednesday 13:24 in New York
WALL = Wall(name="Sedge Lane Joinery", zone="America/New_York")


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (0, "13:24"),
        (1, "14:24"),
        (-5, "8:24"),
        (10.6, "tomorrow 0:00"),
        (20, "tomorrow 9:24"),
        (-24, "yesterday 13:24"),
        (42, "Fri 7:24"),
        (-72, "Sun 13:24"),
        (24 * 6, "Tue 13:24"),
        (24 * 7, "2 Dec 13:24"),
        (-24 * 7, "18 Nov 13:24"),
        (24 * 40, "4 Jan 2027 13:24"),
    ],
)
def test_an_instant_is_said_as_makers_say_it(hours: float, said: str) -> None:
    assert when(NOW + timedelta(hours=hours), NOW, WALL) == said


def test_beyond_the_horizon_is_much_later() -> None:
    assert when(FAR, NOW, WALL) == when(None, NOW, WALL) == "much later"


def test_the_night_the_clocks_go_back() -> None:
    """Sunday 1 November 2026, New York: 1:30 comes twice (zone database); both are said 1:30."""
    first = datetime(2026, 11, 1, 5, 30, tzinfo=UTC)
    assert when(first, first, WALL) == when(first + timedelta(hours=1), first, WALL) == "1:30"


@pytest.mark.parametrize(
    ("hour", "said"), [(5, "12:05 am"), (16, "11:05 am"), (17, "12:05 pm"), (18, "1:05 pm")]
)
def test_a_twelve_hour_wall(hour: int, said: str) -> None:
    wall = Wall(zone="America/New_York", clock_24h=False)
    assert clock(datetime(2026, 11, 25, hour, 5, tzinfo=UTC), wall) == said


@pytest.mark.parametrize(
    ("on", "said"),
    [
        (date(2026, 11, 25), "today"),
        (date(2026, 11, 26), "tomorrow"),
        (date(2026, 11, 24), "yesterday"),
        (date(2026, 12, 3), "Thu 3 Dec"),
        (date(2027, 1, 2), "2 Jan 2027"),
        (None, "no date"),
    ],
)
def test_a_date(on: date | None, said: str) -> None:
    assert day(on, NOW, WALL) == said


def test_the_title_block_has_weekday_and_time() -> None:
    assert wall_clock(NOW, WALL) == "Wed 13:24"


@pytest.mark.parametrize(
    ("amount", "said"),
    [
        (0, "0 min"),
        (45.4, "45 min"),
        (59.6, "1 h"),
        (85, "1 h 25"),
        (61, "1 h 01"),
        (1500, "25 h"),
        (-5, "−5 min"),
    ],
)
def test_minutes(amount: float, said: str) -> None:
    assert minutes(amount) == said


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ("half under 1 h 05, 8 in 10 under 2 h.", "half under 1~h~05, 8~in~10 under 2~h."),
        ("-1,250.50 USD of 30 %", "-1,250.50~USD of 30~%"),
        ("2 days 6 h; 45 min each", "2~days~6~h; 45~min each"),
        ("5 inlays, 3 hinges, 4 in of 4 minutes", "5 inlays, 3 hinges, 4 in of 4 minutes"),
        ("", ""),
    ],
)
def test_no_amount_breaks_over_two_lines(said: str, where: str) -> None:
    """Written with "~" where the space must hold; other spaces stay, and no other letter changes."""
    assert unbroken(said) == where.replace("~", "\N{NO-BREAK SPACE}")


def test_a_count_has_no_needless_noughts() -> None:
    assert [count(n) for n in (7.0, 2.5, 0.333, 20)] == ["7", "2.5", "0.33", "20"]


@pytest.mark.parametrize(
    ("amount", "unit", "said"),
    [(1, "coats", "1 coat"), (20, "inlays", "20 inlays"), (1, "square feet", "1 square feet"), (1, "", "1")],
)
def test_a_measure_has_its_unit(amount: float, unit: str, said: str) -> None:
    assert measure(amount, unit) == said


def test_degrees_are_the_shops() -> None:
    assert degrees(20, WALL) == "68 °F"
    assert degrees(-3, Wall(temperature_unit="C")) == "−3 °C"
    assert degrees(-17.9, WALL) == "0 °F"


def test_a_list_in_a_sentence() -> None:
    assert [listed(w) for w in ([], ["Una"], ["Una", "Piet"], ["a", "b", "c"])] == [
        "", "Una", "Una and Piet", "a, b and c",
    ]  # fmt: skip


@pytest.mark.parametrize(("amount", "said"), [(None, 0), (0.9, 0), (1.4, 1), (2.0, 2), (2.9999999999, 3)])
def test_what_is_ready_is_counted_in_whole_pieces(amount: float | None, said: int) -> None:
    """1.4 coats may go on: one may. A sum of tenths that is a hair under three is three."""
    assert whole(amount) == said


def test_lengths_are_the_shops() -> None:
    assert (length(111.125, Wall()), length_field(111.125, Wall())) == ('4 3/8"', "4 3/8")
    metric = Wall(length_unit="mm")
    assert (length(111.0, metric), length_field(1250.5, metric)) == ("111 mm", "1250.5")
    assert length(None, metric) == length_field(None, metric) == ""


def test_fields_are_filled_as_they_are_read() -> None:
    assert (warmth_field(20.0, Wall()), warmth_field(20.0, Wall(temperature_unit="C"))) == ("68", "20")
    assert warmth_field(21.25, Wall(temperature_unit="C")) == "21.2"
    assert (cents_field(125050, Wall()), cents_field(1250, Wall(currency="JPY"))) == ("1250.50", "1250")
    assert (share_field(810), share_field(3000), share_field(0)) == ("8.1", "30", "0")
    assert warmth_field(None, Wall()) == cents_field(None, Wall()) == share_field(None) == ""
