"""The invented shop's own terms and year, said on its first day and once again."""

from datetime import date

from shoptrack.engine.hourly import YearCost, hour_cost
from shoptrack.store.db import Store
from shoptrack.store.hour_costs import list_years, year_on
from shoptrack.store.rates import hands_rate, list_rates
from shoptrack.store.terms import list_terms, terms_on

TUESDAY = date(2026, 11, 24)


def test_the_terms_are_the_shops_own(whole: Store) -> None:
    with whole.reading() as session:
        terms, all_of_them = terms_on(session, TUESDAY), list_terms(session)
    assert not terms.starting
    assert len(all_of_them) == 2
    assert all_of_them[0].margin_bp < terms.margin_bp
    assert (terms.tax_name, terms.tax_bp) == ("sales tax", 650)


def test_its_hour_comes_out_near_the_rate_that_it_asks_for(whole: Store) -> None:
    """A shop whose rate is far from its cost would be no example; within a tenth is near enough."""
    with whole.reading() as session:
        year, rate = year_on(session, TUESDAY), hands_rate(list_rates(session), None, TUESDAY)
        first = list_years(session)[0]
    assert year is not None
    assert rate is not None
    assert year.on_jobs_bp is not None
    assert first.wages_cents < year.wages_cents
    worked = hour_cost(
        YearCost(
            year.wages_cents,
            year.taxes_cents,
            year.benefits_cents,
            year.overhead_cents,
            year.paid_h,
            year.on_jobs_bp,
        )
    )
    assert abs(worked.on_jobs_cents - rate) < rate / 10
