"""The sheet of a plan: days at work drawn, days without one thin line, other sheets before and after."""

from datetime import timedelta

from shoptrack.web.plan_sheet import JOBS_SHOWN, draw
from tests.web.planned import WALL, WEDNESDAY, day, line, shut, view


def test_a_weekend_is_one_line_and_a_holiday_another() -> None:
    """Wednesday at work, Thursday a holiday, Friday at work, then two days of nobody."""
    sheet = draw(view(day(), shut(1, "Thanksgiving"), day(2), shut(3), shut(4)), WALL)
    assert [band.day is not None for band in sheet.bands] == [True, False, True, False]
    holiday, weekend = sheet.bands[1].closed, sheet.bands[3].closed
    assert holiday is not None
    assert weekend is not None
    assert holiday.why == "the shop is closed: Thanksgiving"
    assert (weekend.first_on, weekend.last_on) == (
        WEDNESDAY + timedelta(days=3),
        WEDNESDAY + timedelta(days=4),
    )
    assert weekend.why == "nobody at work"


def test_a_closed_day_without_words_is_said_to_be_closed() -> None:
    closed = draw(view(shut(1, "")), WALL).bands[0].closed
    assert closed is not None
    assert closed.why == "the shop is closed"


def test_there_is_a_later_sheet_while_work_is_planned_on_it() -> None:
    far = WEDNESDAY + timedelta(days=14)
    assert draw(view(), WALL).after is None
    assert draw(view(last_on=far), WALL).after == far
    assert draw(view(last_on=None), WALL).after is None
    assert draw(view(), WALL).before is None


def test_long_lists_say_how_much_more_there_is() -> None:
    jobs = tuple(line(f"K{n}", days=-1, late=False) for n in range(60))
    assert draw(view(jobs=jobs), WALL).jobs_more == 60 - JOBS_SHOWN
