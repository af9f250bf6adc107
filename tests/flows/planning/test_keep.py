"""Changes that are kept: each is written as its own screen writes it, with history; all of them or none."""

from datetime import date, time

import pytest

from shoptrack.engine.shapes import OffDays, Overtime, Pin, World, in_force
from shoptrack.errors import BadInput, Refused
from shoptrack.flows.planning.changes import Change, DayOff, ExtraPerson, JobFirst, MoreClamps, PinStage
from shoptrack.flows.planning.keep import can_keep, keep
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Head
from shoptrack.store.edits import history
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery

TODAY, THURSDAY, MONDAY = date(2026, 11, 25), date(2026, 11, 26), date(2026, 11, 30)


def write(joinery: Joinery, *changes: Change, seen: Head | None = None) -> int:
    return keep(joinery.store, changes, seen or gather(joinery.store, NOW).head, UNA, TODAY, NOW)


def world(joinery: Joinery) -> World:
    return gather(joinery.store, NOW).world


def test_all_that_can_be_kept_is_there_afterwards(joinery: Joinery, day: BusyDay) -> None:
    evening = Overtime(UNA, THURSDAY, time(17), time(18))
    stage, job = day.hall["put together"], day.elm["job"]
    changes = (
        DayOff(PIET, THURSDAY),
        evening,
        JobFirst(job),
        MoreClamps(1, 4),
        PinStage(stage, MONDAY, PIET),
    )
    assert write(joinery, *changes) == 5
    now = world(joinery)
    assert OffDays(PIET, THURSDAY, THURSDAY) in now.calendar.off
    assert now.calendar.overtime == (evening,)
    assert now.jobs[job].must_keep
    assert in_force(now.pools[1].owned, NOW) == 16
    assert now.pins[stage] == Pin(stage, MONDAY, PIET)
    with joinery.store.reading() as session:
        lines = history(session, "jobs", job)
    assert [(e.field, e.person_id) for e in lines if e.field == "must_keep"] == [("must_keep", UNA)]


def test_sent_twice_it_is_there_once(joinery: Joinery, day: BusyDay) -> None:
    changes = (DayOff(PIET, THURSDAY), PinStage(day.hall["put together"], MONDAY))
    seen = gather(joinery.store, NOW).head
    write(joinery, *changes, seen=seen)
    write(joinery, *changes, seen=seen)
    assert world(joinery).calendar.off.count(OffDays(PIET, THURSDAY, THURSDAY)) == 1


def test_clamps_are_not_added_twice(joinery: Joinery, day: BusyDay) -> None:
    """The second press, of the page that was shown before the first, is told to look again."""
    seen = gather(joinery.store, NOW).head
    write(joinery, MoreClamps(1, 4), seen=seen)
    with pytest.raises(Refused, match="look at it once more"):
        write(joinery, MoreClamps(1, 4), seen=seen)
    assert in_force(world(joinery).pools[1].owned, NOW) == 16


def test_one_that_is_refused_takes_all_back(joinery: Joinery, day: BusyDay) -> None:
    with pytest.raises(BadInput, match="is done already"):
        write(joinery, DayOff(PIET, THURSDAY), PinStage(day.elm["milling"], MONDAY))
    assert world(joinery).calendar.off == ()


def test_somebody_without_a_name_can_not_be_kept(joinery: Joinery, day: BusyDay) -> None:
    somebody = ExtraPerson(THURSDAY, THURSDAY)
    assert not can_keep(somebody)
    assert write(joinery, somebody) == 0
    assert len(world(joinery).people) == 2


def test_a_day_off_today_counts_the_hours_again(joinery: Joinery, day: BusyDay) -> None:
    """Una's morning no more counts as hours of hers, but is still in the log."""
    write(joinery, DayOff(UNA, TODAY))
    assert OffDays(UNA, TODAY, TODAY) in world(joinery).calendar.off
