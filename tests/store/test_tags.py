"""A tag to its job: the newest open one, else the newest closed one."""

from datetime import timedelta

import pytest

from shoptrack.errors import NotFound
from shoptrack.store.jobs import add_job, close_job
from shoptrack.store.tags import job_tagged
from tests.joinery import NOW, Joinery


def tray(joinery: Joinery, days: int) -> int:
    with joinery.store.writing() as session:
        made = add_job(
            session,
            tag="K7",
            title=f"tray {days}",
            customer="Odile Marr",
            pieces=1,
            revision_id=joinery.revisions["tray"],
            now=NOW + timedelta(days=days),
        )
        return made.id


def close(joinery: Joinery, job: int) -> None:
    with joinery.store.writing() as session:
        close_job(session, job, NOW)


def found(joinery: Joinery, tag: str) -> int:
    with joinery.store.reading() as session:
        return job_tagged(session, tag)


def test_the_open_job_is_meant_however_old_then_the_newest_closed(joinery: Joinery) -> None:
    """Three jobs had K7 one after another; paper of the first is still about."""
    first = tray(joinery, 0)
    close(joinery, first)
    second = tray(joinery, 10)
    close(joinery, second)
    assert found(joinery, "K7") == second
    with joinery.store.writing() as session:
        close_job(session, second, NOW)
    third = tray(joinery, 5)
    assert found(joinery, "K7") == third
    assert found(joinery, "k7") == third


@pytest.mark.parametrize("tag", ["Z9", "", "K7' OR 1=1", "🪚", "K" * 5000])
def test_a_tag_that_no_job_had(joinery: Joinery, tag: str) -> None:
    tray(joinery, 0)
    with pytest.raises(NotFound, match="No job has the tag"):
        found(joinery, tag)
