"""Closing months: in order, once, and what is corrected later shows in the open month, once."""

from datetime import date, datetime

import pytest

from shoptrack.errors import NotFound, Refused
from shoptrack.flows.months import MonthView, close_month, corrections, list_months, month_view, next_to_close
from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from tests.flows.autumn import FRIDAY, MONDAY, NOVEMBER, OCTOBER, on, over_the_end
from tests.joinery import NOW, UNA, Joinery, at

EARLY_NOVEMBER, DECEMBER = on(date(2026, 11, 3), "9:00"), datetime(2026, 12, 2, 15, tzinfo=NOW.tzinfo)


def view(joinery: Joinery, month: date, now: datetime = NOW) -> MonthView:
    with joinery.store.reading() as session:
        return month_view(session, month, now)


def value(shown: MonthView, key: str) -> int:
    return next(f.value for f in shown.figures if f.key == key)


def late(joinery: Joinery, now: datetime = NOW) -> dict[tuple[date, str], int]:
    with joinery.store.reading() as session:
        return {(c.month_on, c.figure.key): c.figure.value for c in corrections(session, now)}


def test_months_go_from_the_first_job_to_now(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert [m.name for m in list_months(session, NOW)] == ["November 2026"]
    over_the_end(joinery)
    with joinery.store.reading() as session:
        assert [m.name for m in list_months(session, NOW)] == ["November 2026", "October 2026"]
        assert next_to_close(session, NOW) == OCTOBER


def test_a_closed_month_says_the_same_for_ever(joinery: Joinery) -> None:
    """Una's Friday turns out to have begun at 16:30; October says 60 still, November 30 less for it."""
    over_the_end(joinery)
    close_month(joinery.store, OCTOBER, UNA, EARLY_NOVEMBER)
    before = view(joinery, OCTOBER, EARLY_NOVEMBER)
    assert (before.closed_by, value(before, "job_min:1")) == ("Una", 60)
    with joinery.store.reading() as session:
        assert corrections(session, EARLY_NOVEMBER) == ()
    joinery.tap("retime", at("9:00"), of="tap-0003", to_at=on(FRIDAY, "16:30").isoformat())
    assert view(joinery, OCTOBER) == before
    assert late(joinery) == {
        (OCTOBER, "job_min:1"): -30,
        (OCTOBER, "job_min_all"): -30,
        (OCTOBER, "kind_min:milling"): -30,
    }
    shown = view(joinery, NOVEMBER)
    assert {(c.month_on, c.figure.key): c.figure.value for c in shown.corrections} == late(joinery)


def test_a_correction_is_taken_up_by_one_month_alone(joinery: Joinery) -> None:
    """November takes it up and is closed with it; December does not again; a strike then is a new one."""
    over_the_end(joinery)
    close_month(joinery.store, OCTOBER, UNA, EARLY_NOVEMBER)
    joinery.tap("retime", at("9:00"), of="tap-0003", to_at=on(FRIDAY, "16:30").isoformat())
    close_month(joinery.store, NOVEMBER, UNA, DECEMBER)
    assert len(view(joinery, NOVEMBER, DECEMBER).corrections) == 3
    assert late(joinery, DECEMBER) == {}
    joinery.tap("strike", datetime(2026, 12, 2, 14, tzinfo=NOW.tzinfo), of="tap-0003")
    assert late(joinery, DECEMBER)[OCTOBER, "job_min:1"] == -30
    assert late(joinery, DECEMBER)[NOVEMBER, "job_min:1"] == -60


def test_what_the_office_corrects_shows_too(joinery: Joinery) -> None:
    """A job closed and delivered in October gets its price only after the month was closed."""
    tray = over_the_end(joinery)
    with joinery.store.writing() as session:
        row = job_row(session, tray["job"])
        edit(session, row, UNA, NOW, closed_at=on(FRIDAY, "17:00"), delivered_on=FRIDAY)
    close_month(joinery.store, OCTOBER, UNA, EARLY_NOVEMBER)
    assert value(view(joinery, OCTOBER), "closed") == 1
    with joinery.store.writing() as session:
        edit(session, job_row(session, tray["job"]), UNA, NOW, price_cents=42000, delivered_on=MONDAY)
    assert late(joinery) == {(OCTOBER, "delivered"): -1}
    with joinery.store.writing() as session:
        edit(session, job_row(session, tray["job"]), UNA, NOW, delivered_on=FRIDAY)
    assert late(joinery) == {(OCTOBER, "earned"): 42000}


def test_closing_twice_closes_once(joinery: Joinery) -> None:
    over_the_end(joinery)
    close_month(joinery.store, OCTOBER, UNA, EARLY_NOVEMBER)
    before = view(joinery, OCTOBER)
    close_month(joinery.store, OCTOBER, None, NOW)
    assert view(joinery, OCTOBER) == before


@pytest.mark.parametrize(
    ("month", "sentence"),
    [
        (NOVEMBER, "November 2026 is not over yet"),
        (date(2026, 10, 1), None),
    ],
)
def test_the_running_month_is_not_closed(joinery: Joinery, month: date, sentence: str | None) -> None:
    over_the_end(joinery)
    if sentence is None:
        close_month(joinery.store, month, UNA, NOW)
        assert view(joinery, month).closed_at == NOW
    else:
        with pytest.raises(Refused, match=sentence):
            close_month(joinery.store, month, UNA, NOW)


def test_months_are_closed_in_order(joinery: Joinery) -> None:
    over_the_end(joinery)
    with pytest.raises(Refused, match="October 2026 is still open: close it first"):
        close_month(joinery.store, NOVEMBER, UNA, DECEMBER)


@pytest.mark.parametrize("month", [date(2026, 9, 1), date(2026, 12, 1), date(1, 1, 1), date(9999, 12, 1)])
def test_a_month_outside_the_book(joinery: Joinery, month: date) -> None:
    over_the_end(joinery)
    with pytest.raises(NotFound):
        view(joinery, month)
    with pytest.raises(NotFound):
        close_month(joinery.store, month, UNA, NOW)
