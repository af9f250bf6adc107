"""What a job waits for, as its page tells it: in which order, what is late, and what is left out."""

from datetime import date, timedelta

from shoptrack.flows.awaited import awaited_lines
from shoptrack.store.awaited import add_awaited, expect_on, say_came
from shoptrack.store.edits import edit
from shoptrack.store.tables import StageRow
from tests.joinery import NOW, UNA, Joinery

TODAY = date(2026, 11, 25)
YESTERDAY, SOON, LATER = (TODAY + timedelta(days=days) for days in (-1, 2, 9))


def add(joinery: Joinery, job: int, what: str, on: date | None, stage: int | None = None) -> int:
    with joinery.store.writing() as session:
        row = add_awaited(session, job, what=what, stage=stage, expected_on=on, after=0, who=UNA, now=NOW)
        return row.id


def test_a_job_waits_for_nothing(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    with joinery.store.reading() as session:
        assert awaited_lines(session, job, TODAY) == ()


def test_the_nearest_comes_first_and_what_came_last(joinery: Joinery) -> None:
    """The deposit came late; lumber is past its day; the drawing is agreed for soon, looked for later."""
    tray = joinery.add("tray", "tray", None)
    job = tray["job"]
    deposit = add(joinery, job, "deposit", YESTERDAY)
    add(joinery, job, "sharpener", None)
    drawing = add(joinery, job, "drawing approved", SOON)
    add(joinery, job, "lumber", YESTERDAY, tray["milling"])
    with joinery.store.writing() as session:
        expect_on(session, job, drawing, LATER, UNA, NOW)
        say_came(session, job, deposit, TODAY, UNA, NOW)
        lines = awaited_lines(session, job, TODAY)
    assert [(a.what, a.overdue, a.later, a.stage) for a in lines] == [
        ("lumber", True, False, "1 milling"),
        ("drawing approved", False, True, ""),
        ("sharpener", False, False, ""),
        ("deposit", False, True, ""),
    ]
    assert (lines[1].agreed_on, lines[1].expected_on) == (SOON, LATER)


def test_what_was_for_a_stage_that_is_out_is_not_waited_for(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    add(joinery, tray["job"], "lumber", SOON, tray["milling"])
    with joinery.store.writing() as session:
        edit(session, session.get_one(StageRow, tray["milling"]), UNA, NOW, removed_at=NOW)
        assert awaited_lines(session, tray["job"], TODAY) == ()
