"""A person's week for paper: Monday to Sunday, what is over left out, stages in order with what cures."""

from datetime import date

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.planning.shown import show_week
from shoptrack.store.hours import say_day_off
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery

TODAY = date(2026, 11, 25)


def test_this_week_from_today_on(joinery: Joinery, day: BusyDay) -> None:
    """Wednesday to Sunday; the frame in hand first."""
    week = show_week(joinery.store, NOW, UNA, None)
    assert (week.name, week.first_on) == ("Una", date(2026, 11, 23))
    assert [d.on for d in week.days] == [date(2026, 11, n) for n in (25, 26, 27, 28, 29)]
    first = week.days[0].lines[0]
    assert first.piece.named.stage == day.hall["frame"]
    assert first.title == "hall door, ash"
    starts = [line.piece.from_at for line in week.days[0].lines]
    assert starts == sorted(starts)


def test_a_glue_up_says_when_its_clamps_come_off(joinery: Joinery, day: BusyDay) -> None:
    """Whoever glues the letter tray up today."""
    lines = [line for p in (UNA, PIET) for line in show_week(joinery.store, NOW, p, None).days[0].lines]
    (glued,) = [line for line in lines if line.piece.named.stage == day.letter["glue-up"]]
    assert glued.cure is not None
    assert glued.cure.off_at is not None
    assert glued.settings == "cauls waxed"


def test_the_night_says_all_that_cures_in_the_shop(joinery: Joinery, day: BusyDay) -> None:
    week = show_week(joinery.store, NOW, PIET, None)
    assert "glue-up" in {cure.named.name for cure in week.days[0].night}


def test_another_week_is_whole_and_one_that_is_over_has_nothing(joinery: Joinery, day: BusyDay) -> None:
    assert len(show_week(joinery.store, NOW, UNA, date(2026, 12, 3)).days) == 7
    assert show_week(joinery.store, NOW, UNA, date(2026, 12, 3)).first_on == date(2026, 11, 30)
    over = show_week(joinery.store, NOW, UNA, date(2026, 11, 4)).days
    assert all(not d.lines for d in over)


def test_a_day_off_says_why(joinery: Joinery, day: BusyDay) -> None:
    thursday = date(2026, 11, 26)
    with joinery.store.writing() as session:
        say_day_off(
            session, first_on=thursday, last_on=thursday, person=PIET, reason="dentist", who=UNA, now=NOW
        )
    found = show_week(joinery.store, NOW, PIET, None).days[1]
    assert (found.hours, found.lines, found.why) == ((), (), "dentist")


def test_somebody_who_is_not_there(joinery: Joinery) -> None:
    with pytest.raises(NotFound, match="nobody of that name"):
        show_week(joinery.store, NOW, 77, None)
