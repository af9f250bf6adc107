"""How often orders come."""

from datetime import timedelta

from shoptrack.store.arrivals import orders_per_week
from shoptrack.store.jobs import close_job, job_row
from tests.joinery import NOW, Joinery


def test_jobs_of_thirteen_weeks_without_what_was_called_off(joinery: Joinery) -> None:
    """Three new ones, one of them called off; one from long ago and one from tomorrow."""
    jobs = [joinery.add("door", f"door {n}", None)["job"] for n in range(5)]
    added = (
        NOW,
        NOW - timedelta(weeks=12),
        NOW - timedelta(days=1),
        NOW - timedelta(weeks=14),
        NOW + timedelta(days=1),
    )
    with joinery.store.writing() as session:
        for job, at in zip(jobs, added, strict=True):
            job_row(session, job).added_at = at
        close_job(session, jobs[2], NOW, called_off_why="moved away")
    with joinery.store.reading() as session:
        assert orders_per_week(session, NOW) == 2 / 13


def test_a_new_shop(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert orders_per_week(session, NOW) == 0.0
