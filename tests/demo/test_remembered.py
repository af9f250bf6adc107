"""What was kept for next time, and closed months, in the invented shop."""

from sqlalchemy import select

from shoptrack.flows.months import corrections, list_months
from shoptrack.store.db import Store
from shoptrack.store.tables import LastTimeRow, MonthRow
from tests.demo.conftest import TUESDAY, wall


def test_stages_of_finished_jobs_say_what_went_wrong(whole: Store) -> None:
    with whole.reading() as session:
        kept = list(session.scalars(select(LastTimeRow)))
    assert len(kept) >= 5
    assert all(row.minutes and row.trouble and row.line for row in kept)


def test_the_months_that_are_long_over_are_closed_and_nothing_in_them_changed(whole: Store) -> None:
    now = wall(TUESDAY)
    with whole.reading() as session:
        closed = list(session.scalars(select(MonthRow).order_by(MonthRow.first_on)))
        months = list_months(session, now)
        assert corrections(session, now) == ()
    assert 12 <= len(closed) < len(months)
    assert all(row.closed_at.date() > row.first_on for row in closed)
