"""Dates that were promised with their chances, and which of them were kept."""

from datetime import UTC, date, datetime

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.jobs import close_job, job_row
from shoptrack.store.promised_dates import DateHeld, kept_and_missed, not_said, say
from tests.store.conftest import NOW
from tests.store.making import furnish, order

SOON, LATER = date(2026, 3, 10), date(2026, 3, 20)


def test_what_was_shown_first_stays(store: Store) -> None:
    with store.writing() as session:
        job, _ = order(session, furnish(session))
        assert say(session, job, SOON, 0.55, NOW, "by the plan")
        assert not say(session, job, SOON, 0.95, NOW)
        assert say(session, job, LATER, None, NOW)
        assert kept_and_missed(session) == (
            DateHeld(job, SOON, 0.55, None),
            DateHeld(job, LATER, None, None),
        )
        assert {held.kept for held in kept_and_missed(session)} == {None}


def test_dates_for_which_nothing_was_kept_yet(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        one, other = (order(session, made)[0] for _ in range(2))
        say(session, one, SOON, 0.5, NOW)
        assert not_said(session, {one: SOON, other: SOON}) == {other: SOON}
        assert not_said(session, {one: LATER}) == {one: LATER}
        assert not_said(session, {}) == {}


@pytest.mark.parametrize("chance", [-0.01, 1.01, float("nan"), float("inf")])
def test_what_is_no_chance_is_refused(store: Store, chance: float) -> None:
    with store.writing() as session:
        job, _ = order(session, furnish(session))
        with pytest.raises(BadInput, match="between 0 and 1"):
            say(session, job, SOON, chance, NOW)
        with pytest.raises(NotFound):
            say(session, 999, SOON, 0.5, NOW)


def test_a_date_is_kept_by_the_day_of_delivery_else_of_closing(store: Store) -> None:
    """Delivered on the 11th; closed on the 10th at 23:30 UTC, which is the 11th in Berlin; called off."""
    late = datetime(2026, 3, 10, 23, 30, tzinfo=UTC)
    with store.writing() as session:
        made = furnish(session)
        delivered, closed, off = (order(session, made)[0] for _ in range(3))
        for job in (delivered, closed, off):
            say(session, job, SOON, 0.9, NOW)
            say(session, job, LATER, 0.99, NOW)
            close_job(session, job, late, None, "no money" if job == off else None)
        edit(session, job_row(session, delivered), None, NOW, delivered_on=SOON)
        held = kept_and_missed(session)
    assert [(h.job, h.promised_on, h.done_on, h.kept) for h in held] == [
        (delivered, SOON, SOON, True),
        (delivered, LATER, SOON, True),
        (closed, SOON, date(2026, 3, 11), False),
        (closed, LATER, date(2026, 3, 11), True),
    ]
