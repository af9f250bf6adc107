"""What an hour costs: one's own rate before anybody's, by date."""

from datetime import date

import pytest

from shoptrack.errors import BadInput
from shoptrack.store import shop
from shoptrack.store.db import Store
from shoptrack.store.rates import hands_rate, list_rates, machine_rate, set_rate
from tests.store.conftest import NOW

MARCH, APRIL = date(2026, 3, 1), date(2026, 4, 1)


def test_ones_own_rate_goes_before_anybodys(store: Store) -> None:
    with store.writing() as session:
        una, piet = (shop.make_person(session, name).id for name in ("Una", "Piet"))
        set_rate(session, cents_per_h=5000, from_on=MARCH, who=None, now=NOW)
        set_rate(session, cents_per_h=6200, from_on=MARCH, who=None, now=NOW, person=una)
        rates = list_rates(session)
    assert hands_rate(rates, una, MARCH) == 6200
    assert hands_rate(rates, piet, MARCH) == 5000
    assert hands_rate(rates, None, MARCH) == 5000


def test_a_rate_counts_from_its_day_and_not_before(store: Store) -> None:
    with store.writing() as session:
        router = shop.make_station(session, "router").id
        set_rate(session, cents_per_h=1800, from_on=APRIL, who=None, now=NOW, station=router)
        set_rate(session, cents_per_h=1500, from_on=MARCH, who=None, now=NOW, station=router)
        rates = list_rates(session)
    assert machine_rate(rates, router, date(2026, 2, 28)) is None
    assert machine_rate(rates, router, date(2026, 3, 31)) == 1500
    assert machine_rate(rates, router, APRIL) == 1800
    assert hands_rate(rates, None, APRIL) is None


def test_said_twice_it_stands_once(store: Store) -> None:
    with store.writing() as session:
        assert set_rate(session, cents_per_h=5000, from_on=MARCH, who=None, now=NOW)
        assert not set_rate(session, cents_per_h=5000, from_on=MARCH, who=None, now=NOW)
        assert len(list_rates(session)) == 1


def test_what_can_not_be_meant_is_refused(store: Store) -> None:
    with store.writing() as session:
        with pytest.raises(BadInput, match="less than nothing"):
            set_rate(session, cents_per_h=-1, from_on=MARCH, who=None, now=NOW)
        with pytest.raises(BadInput, match="not for both"):
            set_rate(session, cents_per_h=1, from_on=MARCH, who=None, now=NOW, person=1, station=1)
