"""What changes would do: dates that move and that stay, today's work, changes that can't be meant."""

from datetime import date, time

import pytest

from shoptrack.engine.shapes import Overtime
from shoptrack.errors import BadInput
from shoptrack.flows.planning.changes import (
    Change,
    DayOff,
    ExtraPerson,
    JobFirst,
    MoreClamps,
    PinStage,
    PutAside,
)
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.what_if import Compared, refuse_unknown, what_if
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import head
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery

TODAY, THURSDAY, MONDAY = date(2026, 11, 25), date(2026, 11, 26), date(2026, 11, 30)


def ask(joinery: Joinery, *changes: Change) -> Compared:
    sight = gather(joinery.store, NOW)
    return what_if(sight, plan_now(joinery.store, sight), changes)


def test_a_pin_to_a_later_day_makes_its_job_later(joinery: Joinery, day: BusyDay) -> None:
    """The letter tray's glue-up on Monday instead of today: its job is ready later, and today moves."""
    found = ask(joinery, PinStage(day.letter["glue-up"], MONDAY))
    letter = next(m for m in found.moved if m.was.job == day.letter["job"])
    assert letter.days is not None
    assert letter.days > 0
    assert found.late_would > found.late_was
    assert any(day_of.was != day_of.would for day_of in found.today)
    assert found.same + len(found.moved) == 5


def test_nothing_changes_where_a_day_off_falls_on_no_work(joinery: Joinery, day: BusyDay) -> None:
    """Nobody works on Saturday anyway."""
    found = ask(joinery, DayOff(UNA, date(2026, 11, 28)))
    assert (found.moved, found.same, found.today) == ((), 5, ())
    assert found.late_was == found.late_would


def test_nobody_here_today_moves_today(joinery: Joinery, day: BusyDay) -> None:
    found = ask(joinery, DayOff(UNA, TODAY), DayOff(PIET, TODAY))
    assert [t.would for t in found.today] == [(), ()]
    assert all(t.was for t in found.today)


def test_the_same_question_gets_the_same_answer(joinery: Joinery, day: BusyDay) -> None:
    changes = (MoreClamps(1, 4), ExtraPerson(THURSDAY, THURSDAY))
    assert ask(joinery, *changes) == ask(joinery, *changes)


def test_nothing_is_written(joinery: Joinery, day: BusyDay) -> None:
    with joinery.store.reading() as session:
        before = head(session)
    ask(joinery, JobFirst(day.elm["job"]), Overtime(UNA, THURSDAY, time(17), time(18)))
    with joinery.store.reading() as session:
        assert head(session) == before
    world = gather(joinery.store, NOW).world
    assert not world.jobs[day.elm["job"]].must_keep
    assert world.calendar.overtime == ()


def test_an_empty_shop_can_be_asked_too(joinery: Joinery) -> None:
    found = ask(joinery, DayOff(None, THURSDAY))
    assert (found.moved, found.same, found.late_would) == ((), 0, 0)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        (DayOff(99, THURSDAY), "off_person", "choose again"),
        (DayOff(UNA, date(2026, 11, 24)), "off_on", "That day is over"),
        (DayOff(UNA, date(2028, 1, 1)), "off_on", "more than a year"),
        (Overtime(UNA, THURSDAY, time(18), time(17)), "more_closes", "ends before it begins"),
        (Overtime(99, THURSDAY, time(17), time(18)), "more_person", "choose again"),
        (ExtraPerson(THURSDAY, TODAY), "one_until", "before the first"),
        (MoreClamps(99, 4), "clamps_pool", "choose again"),
        (JobFirst(99), "first_job", "choose again"),
        (PinStage(9999, THURSDAY), "pin_stage", "choose again"),
        (PinStage(1, date(2020, 1, 1)), "pin_on", "That day is over"),
        (PutAside(1), "", "not asked here"),
    ],
)
def test_what_can_not_be_meant_is_refused_at_its_field(
    joinery: Joinery, day: BusyDay, change: Change, field: str, words: str
) -> None:
    with pytest.raises(BadInput, match=words) as wrong:
        refuse_unknown(gather(joinery.store, NOW), [change])
    assert wrong.value.field == field


def test_more_than_a_handful_at_once_is_refused(joinery: Joinery) -> None:
    with pytest.raises(BadInput, match="more than 8"):
        refuse_unknown(gather(joinery.store, NOW), [DayOff(None, date(2026, 12, n)) for n in range(1, 10)])
