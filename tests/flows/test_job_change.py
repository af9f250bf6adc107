"""Changing a job: each change with its history, a reason for each new date, an end that comes once."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.job_change import Described, call_off, close, describe, promise
from shoptrack.flows.jobs import set_closed
from shoptrack.store.customers import list_customers
from shoptrack.store.edits import history
from shoptrack.store.jobs import add_job, job_row
from tests.joinery import NOW, UNA, Joinery, at

TODAY = date(2026, 11, 25)
SAID = Described("tray", "Odile Marr", False, 1, "", False, None, None, None, None)


def lines(joinery: Joinery, job: int) -> list[tuple[str, object, str | None]]:
    with joinery.store.reading() as session:
        return [(e.field, e.after, e.why) for e in history(session, "jobs", job)]


def test_only_what_is_different_is_written_down(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    said = replace(SAID, pieces=2, deposit_cents=5000, deposit_on=TODAY)
    for _ in range(2):
        describe(joinery.store, job, said, UNA, NOW, TODAY)
    assert lines(joinery, job) == [
        ("pieces", 2, None),
        ("deposit_cents", 5000, None),
        ("deposit_on", "2026-11-25", None),
    ]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"deposit_cents": 5000}, "deposit_on"),
        ({"deposit_on": TODAY}, "deposit"),
        ({"deposit_cents": 5000, "deposit_on": date(2026, 11, 26)}, "deposit_on"),
        ({"delivered_on": date(2026, 11, 26)}, "delivered_on"),
    ],
)
def test_what_can_not_be(joinery: Joinery, changes: dict[str, object], field: str) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    with pytest.raises(BadInput) as wrong:
        describe(joinery.store, job, replace(SAID, **changes), UNA, NOW, TODAY)  # type: ignore[arg-type]
    assert wrong.value.field == field
    assert lines(joinery, job) == []


def test_a_new_customer_of_the_same_name_is_added_once(joinery: Joinery) -> None:
    """Asked for twice by a double press; then the first is chosen again by number."""
    job = joinery.add("tray", "tray", None)["job"]
    other = replace(SAID, customer="Ivo Tarn", new_customer=True)
    for _ in range(2):
        describe(joinery.store, job, other, UNA, NOW, TODAY)
    with joinery.store.reading() as session:
        assert [c.name for c in list_customers(session)] == ["Ivo Tarn", "Odile Marr"]
        assert job_row(session, job).customer == "Ivo Tarn"


def test_a_new_date_needs_a_reason(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", TODAY)["job"]
    with pytest.raises(BadInput, match="Say why") as wrong:
        promise(joinery.store, job, date(2026, 12, 1), "", UNA, NOW)
    assert wrong.value.field == "why"
    promise(joinery.store, job, TODAY, "", UNA, NOW)
    for _ in range(2):
        promise(joinery.store, job, date(2026, 12, 1), "glue", UNA, NOW)
    assert lines(joinery, job) == [("promised_on", "2026-12-01", "glue")]


def test_closing_twice_closes_once(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    close(joinery.store, job, TODAY, UNA, NOW)
    before = lines(joinery, job)
    close(joinery.store, job, None, UNA, at("14:00"))
    call_off(joinery.store, job, "too late", UNA, at("14:00"))
    assert lines(joinery, job) == before
    with joinery.store.reading() as session:
        row = job_row(session, job)
        assert (row.closed_at, row.delivered_on, row.called_off_why) == (NOW, TODAY, None)


def test_calling_off_needs_a_reason_and_can_be_taken_back(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    with pytest.raises(BadInput, match="why it is called off"):
        call_off(joinery.store, job, "", UNA, NOW)
    call_off(joinery.store, job, "moved away", UNA, NOW)
    with joinery.store.reading() as session:
        row = job_row(session, job)
        assert (row.closed_at, row.called_off_why) == (NOW, "moved away")
    set_closed(joinery.store, job, False, UNA, NOW)
    with joinery.store.reading() as session:
        row = job_row(session, job)
        assert (row.closed_at, row.called_off_why) == (None, None)


def test_opened_again_it_never_shares_its_tag(joinery: Joinery) -> None:
    """While it was closed its tag went onto another job's parts."""
    job = joinery.add("tray", "tray", None)["job"]
    close(joinery.store, job, None, UNA, NOW)
    with joinery.store.writing() as session:
        tag = job_row(session, job).tag
        add_job(
            session,
            tag=tag,
            title="t",
            customer="x",
            pieces=1,
            revision_id=joinery.revisions["tray"],
            now=NOW,
        )
    set_closed(joinery.store, job, False, UNA, NOW)
    with joinery.store.reading() as session:
        assert job_row(session, job).tag != tag
    assert lines(joinery, job)[-1][2] == f"{tag} is on another open job by now"
