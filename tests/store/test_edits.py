"""Changes to the description leave their history."""

from datetime import date, timedelta

import pytest

from shoptrack.store.db import Store
from shoptrack.store.edits import edit, history, note_change
from shoptrack.store.shop import make_person
from shoptrack.store.tables import JobRow
from tests.store.making import NOW, furnish, order


def test_each_field_that_changes_leaves_a_line(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job_id, _ = order(session, made)
        job = session.get_one(JobRow, job_id)
        edit(session, job, made.ann, NOW, title="Mr Reed", promised_on=date(2026, 4, 1), pieces=2)
    with store.writing() as session:
        later = NOW + timedelta(hours=1)
        edit(session, session.get_one(JobRow, job_id), None, later, title="Mrs Reed")
    with store.reading() as session:
        lines = history(session, "jobs", job_id)
        assert session.get_one(JobRow, job_id).title == "Mrs Reed"
    assert [(x.field, x.before, x.after, x.person_id) for x in lines] == [
        ("title", "tray for the hall", "Mr Reed", made.ann),
        ("promised_on", None, "2026-04-01", made.ann),
        ("title", "Mr Reed", "Mrs Reed", None),
    ]


def test_a_field_that_is_not_there_is_a_mistake(store: Store) -> None:
    with store.writing() as session:
        job_id, _ = order(session, furnish(session))
        with pytest.raises(AttributeError, match="no column colour"):
            edit(session, session.get_one(JobRow, job_id), None, NOW, colour="red")
        assert history(session, "jobs", job_id) == []


def test_a_line_that_no_column_tells(store: Store) -> None:
    """A value that counts from Monday on: what was said before and what is said now."""
    with store.writing() as session:
        una = make_person(session, "Una")
        note_change(session, una, una.id, NOW, "week", None, date(2026, 3, 9), why="from Monday")
        (line,) = history(session, "people", una.id)
    assert (line.field, line.before, line.after, line.why) == ("week", None, "2026-03-09", "from Monday")
