"""Which stretches of the log the state of some jobs rests on."""

from datetime import timedelta

from shoptrack.store.db import Store
from shoptrack.store.jobs import close_job
from shoptrack.store.windows import AFTER_CLOSED, PEOPLE_FOR, windows
from tests.store.making import NOW, furnish, order, put

D = timedelta(days=1)


def test_an_empty_log_has_no_window(store: Store) -> None:
    with store.reading() as session:
        assert windows(session, ()) is None


def test_without_open_work_it_is_the_last_week(store: Store) -> None:
    with store.writing() as session:
        put(session, 1, NOW - 90 * D, "temperature", value_c=10.0)
        put(session, 2, NOW, "temperature", value_c=10.0)
        found = windows(session, ())
    assert found is not None
    assert (found.since, found.newest, found.past) == (NOW - PEOPLE_FOR, NOW, None)


def test_a_closed_job_that_is_asked_for_has_a_window_of_its_own(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        old, stages = order(session, made)
        put(session, 1, NOW - 300 * D, "start", person=made.ann, stages=(stages[0],))
        put(session, 2, NOW - 290 * D, "note", job=old, text="done")
        put(session, 3, NOW, "recount", pool=made.pool, count=8)
        close_job(session, old, NOW)
        session.flush()
        found = windows(session, [old])
    assert found is not None
    assert found.past == (NOW - 300 * D, NOW - 290 * D + AFTER_CLOSED)
    assert found.since == NOW - PEOPLE_FOR
