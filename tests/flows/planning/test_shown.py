"""What the pages of the Plan ask for: the same plan for all of them, and days off with their words."""

from datetime import date

from shoptrack.engine.shapes import OffDays
from shoptrack.flows.planning.shown import reasons_of, show_plan, show_stage, show_week
from shoptrack.store.hours import say_day_off
from tests.joinery import NOW, UNA, BusyDay, Joinery


def test_all_pages_show_one_plan(joinery: Joinery, day: BusyDay) -> None:
    """Una's first piece today is the same on the drawing, on paper and on the stage's own page."""
    drawn = show_plan(joinery.store, NOW, None).days[0].lanes[0].pieces[0]
    paper = show_week(joinery.store, NOW, UNA, None).days[0].lines[0].piece
    own = show_stage(joinery.store, NOW, drawn.named.stage).turns[0].piece
    assert drawn == paper == own


def test_reasons_are_those_that_were_said(joinery: Joinery) -> None:
    on = date(2026, 12, 24)
    with joinery.store.writing() as session:
        say_day_off(session, first_on=on, last_on=on, person=None, reason="the eve", who=UNA, now=NOW)
    assert reasons_of(joinery.store) == ((OffDays(None, on, on), "the eve"),)
