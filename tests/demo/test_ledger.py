"""What the office of the invented shop knows of its jobs."""

from sqlalchemy import select

from shoptrack.store.db import Store
from shoptrack.store.tables import CostRow, CustomerRow, ExtraRow, JobRow, MaterialPriceRow, RateRow


def test_every_job_has_a_price_a_deposit_and_wood_bought_for_it(whole: Store) -> None:
    with whole.reading() as session:
        jobs = list(session.scalars(select(JobRow)))
        wood = {row.job_id: row for row in session.scalars(select(CostRow))}
    assert all(job.price_cents and job.deposit_cents for job in jobs)
    assert all(0.25 < job.deposit_cents / job.price_cents < 0.35 for job in jobs)
    assert set(wood) == {job.id for job in jobs}
    assert all(row.cents > 0 and row.quantity for row in wood.values())


def test_deposits_of_open_jobs_are_owed_and_delivered_ones_are_not(whole: Store) -> None:
    with whole.reading() as session:
        jobs = list(session.scalars(select(JobRow)))
    assert all((job.delivered_on is None) == (job.closed_at is None) for job in jobs)


def test_there_are_rates_prices_extras_and_somebody_to_call(whole: Store) -> None:
    with whole.reading() as session:
        rates = list(session.scalars(select(RateRow)))
        prices = list(session.scalars(select(MaterialPriceRow)))
        extras = list(session.scalars(select(ExtraRow)))
        reached = [c for c in session.scalars(select(CustomerRow)) if c.phone]
    assert {r.what for r in rates} == {"hands", "machine"}
    assert len(prices) == 5
    assert {e.number for e in extras} == {1, 2}
    assert reached
