"""The hours to come in words nobody takes for minutes, and as a line whose end is a range."""

import pytest

from shoptrack.engine.shapes.quoted import Range
from shoptrack.flows.forecast import Forecast
from shoptrack.web.forecast_sheet import about, between, sheet_of, still, to_come

NONE = Range(0.0, 0.0, 0.0, 0.0)


def plain(words: str) -> str:
    return words.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "5 min"), (2, "5 min"), (12, "10 min"), (44, "45 min"), (57.4, "55 min"), (57.5, "1 h"),
        (74, "1 h"), (80, "1½ h"), (149, "2½ h"), (584, "9½ h"), (585, "10 h"), (1001, "17 h"),
        (60_000, "1000 h"),
    ],
)  # fmt: skip
def test_hours_are_told_no_finer_than_they_are_known(minutes: float, words: str) -> None:
    assert plain(about(minutes)) == words


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (360, 540, "6–9 h"),
        (40, 90, "40 min–1½ h"),
        (10, 25, "10–25 min"),
        (61, 64, "1 h"),
        (570, 900, "9½–15 h"),
    ],
)
def test_a_range_has_its_unit_once(low: float, high: float, words: str) -> None:
    assert plain(between(low, high)) == words


def test_what_is_still_to_come() -> None:
    assert plain(still(Range(360, 420, 480, 540))) == "still 6–9 h of hands, half under 7 h"
    assert plain(still(Range(61, 62, 63, 64))) == "still about 1 h of hands"
    assert still(NONE) == "nothing for hands to come"


def forecast(first: Range | None = None) -> Forecast:
    return Forecast(Range(300, 420, 500, 600), Range(900, 1020, 1100, 1200), 600.0, (), False, first)


def test_the_line_ends_within_its_range() -> None:
    """Ten hours worked of 15 to 20 in all; the longest of all that is drawn fills the sheet."""
    sheet = sheet_of(forecast())
    assert (sheet.spent_x, sheet.all.low_x, sheet.all.middle_x, sheet.all.high_x) == (50, 75, 85, 100)
    assert (plain(sheet.all.words), sheet.first, sheet.untested) == ("15–20 h", None, ())
    longer = sheet_of(forecast(Range(1000, 1500, 2000, 2400)))
    assert longer.first is not None
    assert (longer.spent_x, longer.first.high_x, plain(longer.first.words)) == (25, 100, "17–40 h")


def test_nothing_at_all_can_be_drawn() -> None:
    """A job without a stage."""
    sheet = sheet_of(Forecast(NONE, NONE, 0.0, ()))
    assert (sheet.spent_x, sheet.all.high_x) == (0, 0)
    assert to_come(Forecast(NONE, NONE, 0.0, ())) == ""
    assert plain(to_come(forecast())) == "7 h to come"
