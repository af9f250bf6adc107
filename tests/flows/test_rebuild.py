"""Past hours counted again: the same by the log as the tally that was made tap by tap, and after a change."""

from datetime import date, time

import pytest
from sqlalchemy import select

from shoptrack.engine.shapes import Rule
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.store import shop, worked
from shoptrack.store.hours import say_week
from shoptrack.store.inspection import replay_check
from shoptrack.store.tables import JobRow, StageToolRow, TallyRow
from shoptrack.store.tools import make_tool
from tests.joinery import NOW, UNA, BusyDay, Joinery, at


def minutes_of(joinery: Joinery, stage: int) -> float:
    with joinery.store.reading() as session:
        return session.scalars(select(TallyRow.attended_min).where(TallyRow.stage_id == stage)).one()


def close(joinery: Joinery, job: int) -> None:
    with joinery.store.writing() as session:
        row = session.get(JobRow, job)
        assert row is not None
        row.closed_at = at("17:00", -1)


def test_nothing_changed_nothing_moves(joinery: Joinery, day: BusyDay) -> None:
    with joinery.store.writing() as session:
        assert rebuild_tally(session, NOW) > 0
        assert replay_check(session, NOW) == []


def milled(joinery: Joinery, start: tuple[str, int], finish: tuple[str, int]) -> dict[str, int]:
    """A tray milled by Una between two wall times, its job closed since."""
    tray = joinery.add("tray", "tea tray", None)
    joinery.tap("start", at(*start), tray["milling"])
    joinery.tap("finish", at(*finish), tray["milling"])
    close(joinery, tray["job"])
    return tray


def test_an_earlier_week_counts_a_closed_job_again(joinery: Joinery) -> None:
    """Milled 11:00 to 13:30 with half an hour for lunch; since the first, they say now, they had none."""
    tray = milled(joinery, ("11:00", -8), ("13:30", -8))
    assert minutes_of(joinery, tray["milling"]) == pytest.approx(120)
    through = ((time(8), time(17)),)
    with joinery.store.writing() as session:
        say_week(session, from_on=date(2026, 11, 1), days=[through] * 7, person=None, who=UNA, now=NOW)
        assert replay_check(session, NOW) != []
        rebuild_tally(session, NOW)
        assert replay_check(session, NOW) == []
    assert minutes_of(joinery, tray["milling"]) == pytest.approx(150)


def test_a_day_off_in_the_past(joinery: Joinery) -> None:
    """From Monday 16:30 to Wednesday 10:00; on the Tuesday, it turns out, Una was not there."""
    tray = milled(joinery, ("16:30", -9), ("10:00", -7))
    assert minutes_of(joinery, tray["milling"]) == pytest.approx(30 + 510 + 120)
    with joinery.store.writing() as session:
        shop.add_day_off(session, first_on=date(2026, 11, 17), last_on=date(2026, 11, 17), person=UNA)
        rebuild_tally(session, NOW)
    assert minutes_of(joinery, tray["milling"]) == pytest.approx(30 + 120)


def test_a_rule_of_thumb_splits_what_was_done_together(joinery: Joinery, day: BusyDay) -> None:
    """Elm and game tray were milled in one go; 12 and 2 boards, by another rule they share otherwise."""
    before = minutes_of(joinery, day.game["milling"])
    with joinery.store.writing() as session:
        shop.set_rule(session, joinery.kinds["milling"], from_at=at("6:00"), rule=Rule(0, 10))
        rebuild_tally(session, NOW)
        assert replay_check(session, NOW) == []
    after = minutes_of(joinery, day.game["milling"])
    assert before == pytest.approx(75 * 35 / (35 + 135))
    assert after == pytest.approx(75 * 2 / 14)


def test_the_hours_of_tools_are_counted_again_too(joinery: Joinery) -> None:
    """A closed job, milled with the saw over noon; there was no lunch, they say now."""
    with joinery.store.writing() as session:
        saw = make_tool(session, "saw blade", kind="blade").id
    tray = joinery.add("tray", "tea tray", None)
    with joinery.store.writing() as session:
        session.add(StageToolRow(stage_id=tray["milling"], tool_id=saw, share=1.0))
    joinery.tap("start", at("11:00", -8), tray["milling"])
    joinery.tap("finish", at("13:30", -8), tray["milling"])
    close(joinery, tray["job"])
    through = ((time(8), time(17)),)
    with joinery.store.writing() as session:
        assert sum(cut.run_min for cut in worked.cuts(session)) == pytest.approx(120)
        say_week(session, from_on=date(2026, 11, 1), days=[through] * 7, person=None, who=UNA, now=NOW)
        rebuild_tally(session, NOW)
        assert sum(cut.run_min for cut in worked.cuts(session)) == pytest.approx(150)
        assert replay_check(session, NOW) == []
