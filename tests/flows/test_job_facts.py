"""What is written down of a job, and how its promised date moved."""

from datetime import date

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.job_change import promise
from shoptrack.flows.job_facts import job_facts
from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from tests.joinery import NOW, PIET, Joinery, at


def test_the_dates_it_had_with_who_and_why(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", date(2026, 12, 1))["job"]
    promise(joinery.store, job, date(2026, 12, 8), "elm came late", PIET, NOW)
    promise(joinery.store, job, None, "the customer travels", None, at("14:00"))
    with joinery.store.reading() as session:
        moves = job_facts(session, job).moves
    assert [(m.before, m.after, m.who, m.why) for m in moves] == [
        (date(2026, 12, 1), date(2026, 12, 8), "Piet", "elm came late"),
        (date(2026, 12, 8), None, "", "the customer travels"),
    ]


def test_a_deposit_is_owed_until_delivered(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    owed = []
    for changes in (
        {},
        {"deposit_cents": 5000, "deposit_on": date(2026, 11, 1)},
        {"delivered_on": date(2026, 11, 25)},
    ):
        with joinery.store.writing() as session:
            edit(session, job_row(session, job), None, NOW, **changes)
            owed.append(job_facts(session, job).owed_cents)
    assert owed == [0, 5000, 0]


def test_a_job_that_is_not_there(joinery: Joinery) -> None:
    with joinery.store.reading() as session, pytest.raises(NotFound):
        job_facts(session, 99)
