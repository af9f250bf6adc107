"""Overtime: said with its history, said twice, refused, taken back."""

from datetime import date, time

import pytest
from sqlalchemy import select

from shoptrack.engine.shapes import Overtime
from shoptrack.errors import BadInput
from shoptrack.store import snapshot
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.overtime import overtime_said, say_overtime, take_back
from shoptrack.store.shop import make_person
from shoptrack.store.tables import EditRow
from tests.store.conftest import NOW

SATURDAY = date(2026, 3, 7)


def say(store: Store, opens: int, closes: int, person: int | None = None, on: date = SATURDAY) -> bool:
    with store.writing() as session:
        return say_overtime(
            session,
            on=on,
            opens=time(opens),
            closes=time(closes),
            person=person,
            reason="the fair",
            who=None,
            now=NOW,
        )


@pytest.fixture
def una(store: Store) -> int:
    with store.writing() as session:
        return make_person(session, "Una").id


def test_it_is_there_once_and_the_engines_read_it(store: Store, una: int) -> None:
    """Everybody's and a person's own may lie in the same hours."""
    assert say(store, 8, 12)
    assert not say(store, 8, 12)
    assert say(store, 9, 14, una)
    assert say(store, 12, 13)
    with store.reading() as session:
        assert [(o.opens.hour, o.person_id) for o in overtime_said(session)] == [
            (12, None),
            (9, una),
            (8, None),
        ]
        found = snapshot.world(session).calendar.overtime
    assert set(found) == {
        Overtime(None, SATURDAY, time(8), time(12)),
        Overtime(None, SATURDAY, time(12), time(13)),
        Overtime(una, SATURDAY, time(9), time(14)),
    }


@pytest.mark.parametrize(
    ("opens", "closes", "whose", "field"),
    [
        (12, 8, None, "closes"),
        (8, 8, None, "closes"),
        (11, 13, None, "opens"),
        (7, 20, None, "opens"),
        (8, 9, 77, "person"),
    ],
)
def test_what_can_not_be_is_refused(
    store: Store, opens: int, closes: int, whose: int | None, field: str
) -> None:
    say(store, 8, 12)
    with pytest.raises(BadInput) as wrong:
        say(store, opens, closes, whose)
    assert wrong.value.field == field
    with store.reading() as session:
        assert len(overtime_said(session)) == 1


def test_who_is_retired_works_no_overtime(store: Store) -> None:
    with store.writing() as session:
        row = make_person(session, "Ivo")
        edit(session, row, None, NOW, retired_at=NOW)
        ivo = row.id
    with pytest.raises(BadInput, match="nobody of that name"):
        say(store, 8, 9, ivo)


def test_taken_back_its_history_tells_which_it_was(store: Store) -> None:
    say(store, 8, 12)
    with store.writing() as session:
        (row,) = overtime_said(session)
        assert take_back(session, row.id, None, NOW) == SATURDAY
        assert take_back(session, row.id, None, NOW) is None
        lines = [(x.table_name, x.field, x.before) for x in session.scalars(select(EditRow))]
    assert lines == [
        ("overtime", "made", None),
        ("overtime", "taken back", "2026-03-07 08:00–12:00 the fair"),
    ]
    assert say(store, 11, 13)
