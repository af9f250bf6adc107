"""How often orders come."""

from datetime import timedelta

from shoptrack.engine.shapes.promised import Pace
from shoptrack.store.arrivals import pace_of_orders
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
        assert pace_of_orders(session, NOW).per_week == 2 / 13


def test_a_new_shop(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert pace_of_orders(session, NOW) == Pace()
