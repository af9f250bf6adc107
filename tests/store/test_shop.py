"""The shop's description: made, listed, and refused where it makes no sense."""

from datetime import date, time

import pytest
from sqlalchemy import select

from shoptrack.engine.shapes import RoomProfile, Rule
from shoptrack.errors import BadInput, NotFound
from shoptrack.store import shop
from shoptrack.store.db import Store
from shoptrack.store.tables import WeekRow
from tests.store.making import NOW, furnish

DAY = [(time(8), time(12))]


def test_a_first_start_has_a_name_a_zone_and_a_week(store: Store) -> None:
    with store.reading() as session:
        row = shop.shop_row(session)
        assert (row.name, row.zone, row.is_demo) == ("Our shop", "Europe/Berlin", False)
        worked = session.scalars(select(WeekRow.weekday).where(WeekRow.opens.is_not(None)))
        assert set(worked) == {0, 1, 2, 3, 4}


def test_a_zone_is_one_of_the_zone_database(store: Store) -> None:
    with store.writing() as session:
        for zone in ("Middle/Nowhere", "", "../etc/passwd"):
            with pytest.raises(BadInput, match="not a time zone"):
                shop.make_shop(session, "x", zone, NOW)


def test_no_shop_is_said(store: Store) -> None:
    with store.writing() as session:
        session.delete(shop.shop_row(session))
        session.flush()
        assert shop.find_shop(session) is None
        assert shop.shop_zone(session).key == "UTC"
        with pytest.raises(NotFound):
            shop.shop_row(session)


def test_a_week_said_again_replaces_and_other_dates_stay(store: Store) -> None:
    with store.writing() as session:
        ann = shop.make_person(session, "Ann").id
        for from_on, days in (
            (date(2026, 1, 5), [DAY] * 7),
            (date(2026, 6, 1), [DAY] * 7),
            (date(2026, 1, 5), [DAY] * 2 + [[]] * 5),
        ):
            shop.set_week(session, from_on=from_on, days=days, person=ann)
        rows = session.scalars(select(WeekRow).where(WeekRow.person_id == ann)).all()
    by = {on: [r.opens for r in rows if r.from_on == on] for on in (date(2026, 1, 5), date(2026, 6, 1))}
    assert [opens is not None for opens in by[date(2026, 1, 5)]] == [True] * 2 + [False] * 5
    assert len(by[date(2026, 6, 1)]) == 7


def test_what_makes_no_sense_is_refused(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        with pytest.raises(BadInput, match="seven days"):
            shop.set_week(session, from_on=date(2026, 1, 1), days=[DAY])
        with pytest.raises(BadInput, match="begin before it ends"):
            shop.set_week(session, from_on=date(2026, 1, 1), days=[[(time(9), time(9))]] * 7)
        with pytest.raises(BadInput, match="before the first"):
            shop.add_day_off(session, first_on=date(2026, 1, 2), last_on=date(2026, 1, 1))
        short = RoomProfile((20.0,), (10.0,), time(7), time(17))
        with pytest.raises(BadInput, match="twelve months"):
            shop.set_warmth(session, made.room, from_at=NOW, usual=short)
        with pytest.raises(BadInput, match="fewer than no clamps"):
            shop.set_owned(session, made.pool, from_at=NOW, owned=-1)
        with pytest.raises(BadInput, match="fewer than no minutes"):
            shop.set_rule(session, made.kind, from_at=NOW, rule=Rule(-1, 2))


def test_the_lists_leave_out_what_is_retired(store: Store) -> None:
    with store.writing() as session:
        furnish(session)
        assert [p.name for p in shop.list_people(session)] == ["Ann", "Ben"]
        shop.list_people(session)[0].retired_at = NOW
        for lister in (shop.list_rooms, shop.list_stations, shop.list_pools, shop.list_kinds):
            (row,) = lister(session)
            row.retired_at = NOW
            session.flush()
            assert lister(session) == []
        assert [p.name for p in shop.list_people(session)] == ["Ben"]
