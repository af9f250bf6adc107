"""Words on paper name their day, since paper is read on another."""

from datetime import UTC, date, datetime

import pytest

from shoptrack.engine.shapes import FAR
from shoptrack.web.paper_words import paper_day, paper_when, wait
from shoptrack.web.render import Wall

WALL = Wall(zone="America/New_York")


def test_days_and_instants_are_never_today_or_tomorrow() -> None:
    assert paper_day(date(2026, 11, 27)) == "Fri 27 Nov 2026"
    assert paper_day(None) == "no date"
    assert paper_when(datetime(2026, 11, 25, 18, 48, tzinfo=UTC), WALL) == "Wed 25 Nov 13:48"
    assert paper_when(datetime(2026, 11, 26, 1, tzinfo=UTC), WALL) == "Wed 25 Nov 20:00"
    assert paper_when(None, WALL) == paper_when(FAR, WALL) == "much later"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (30, "30 min"), (90, "1 h 30"), (1440, "24 h"), (2880, "2 days"), (10080, "7 days"),
     (2900, "48 h 20")],
)  # fmt: skip
def test_waits_are_hours_up_to_a_day_and_days_when_they_are_whole(minutes: float, words: str) -> None:
    assert wait(minutes) == words
