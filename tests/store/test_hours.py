"""Weeks and days off: said with their history, said twice, taken back."""

from datetime import date, time

import pytest
from sqlalchemy import select

from shoptrack.errors import BadInput
from shoptrack.store import shop
from shoptrack.store.db import Store
from shoptrack.store.hours import (
    days_off,
    say_day_off,
    say_week,
    take_back,
    week_on,
    week_words,
    weeks_of,
)
from shoptrack.store.tables import EditRow
from tests.store.conftest import NOW
from tests.store.making import PLAIN_WEEK

TODAY = NOW.date()
EARLY = ((time(6), time(10)), (time(10, 30), time(14)))
WEEK = (*([EARLY] * 4), ((time(6), time(12)),), (), ())


def lines(store: Store) -> list[tuple[str, str, object, object]]:
    with store.reading() as session:
        rows = session.scalars(select(EditRow).order_by(EditRow.id))
        return [(row.table_name, row.field, row.before, row.after) for row in rows]


def test_a_week_is_said_with_what_it_was(store: Store) -> None:
    with store.writing() as session:
        assert say_week(session, from_on=date(2026, 4, 1), days=WEEK, person=None, who=None, now=NOW)
        weeks = weeks_of(session, None)
    assert [week.from_on for week in weeks] == [TODAY, date(2026, 4, 1)]
    assert lines(store) == [
        (
            "weeks",
            "week",
            "Mon–Fri 8:00–12:00, 12:30–16:30; Sat–Sun no work",
            "Mon–Thu 6:00–10:00, 10:30–14:00; Fri 6:00–12:00; Sat–Sun no work",
        )
    ]
    assert weeks[1].minutes == 4 * 450 + 360


def test_the_same_week_again_adds_nothing(store: Store) -> None:
    with store.writing() as session:
        assert not say_week(session, from_on=TODAY, days=PLAIN_WEEK, person=None, who=None, now=NOW)
        late = tuple(tuple(reversed(spans)) for spans in PLAIN_WEEK)
        assert not say_week(session, from_on=date(2027, 1, 1), days=late, person=None, who=None, now=NOW)
    assert lines(store) == []


def test_the_week_of_a_day(store: Store) -> None:
    with store.writing() as session:
        una = shop.make_person(session, "Una").id
        assert week_on(weeks_of(session, una), TODAY) is None
        say_week(session, from_on=date(2026, 4, 1), days=WEEK, person=una, who=None, now=NOW)
        own = weeks_of(session, una)
    assert week_on(own, TODAY) == own[0], "the first counts for the time before it too"
    assert week_on(own, date(2026, 5, 1)) == own[0]


def test_stretches_that_overlap_are_refused(store: Store) -> None:
    days = (((time(8), time(12)), (time(11), time(15))), (), (), (), (), (), ())
    with store.writing() as session, pytest.raises(BadInput, match="On Monday") as wrong:
        say_week(session, from_on=TODAY, days=days, person=None, who=None, now=NOW)
    assert wrong.value.field == "day-0"


def test_a_week_in_words() -> None:
    assert week_words([()] * 7) == "Mon–Sun no work"
    assert week_words((EARLY, *[()] * 6), lambda at: f"{at.hour}h").startswith("Mon 6h–10h, 10h–14h; Tue")


def test_days_off_are_there_once_and_can_be_taken_back(store: Store) -> None:
    def say() -> bool:
        with store.writing() as session:
            return say_day_off(
                session,
                first_on=date(2026, 12, 24),
                last_on=date(2027, 1, 1),
                person=None,
                reason="closed",
                who=None,
                now=NOW,
            )

    assert say()
    assert not say()
    with store.writing() as session:
        (row,) = days_off(session)
        assert take_back(session, row.id, None, NOW) == date(2026, 12, 24)
        assert take_back(session, row.id, None, NOW) is None
        assert days_off(session) == []
    assert lines(store) == [
        ("days_off", "made", None, True),
        ("days_off", "taken back", "2026-12-24–2027-01-01 closed", None),
    ]
