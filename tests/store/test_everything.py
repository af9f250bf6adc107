"""Rows as plain values and back, each by its column's type."""

import json
from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from sqlalchemy import delete

from shoptrack.errors import BadInput
from shoptrack.store import everything
from shoptrack.store.db import head
from shoptrack.store.tables import Base, EditRow, ShopRow
from tests.joinery import NOW, BusyDay, Joinery

T = Base.metadata.tables


def test_every_table_is_taken_out_but_those_left_out_and_after_what_it_points_at() -> None:
    names = [table.name for table in everything.tables()]
    assert set(names) | everything.LEFT_OUT == set(T)
    assert not set(names) & everything.LEFT_OUT
    for table in everything.tables():
        pointed = {key.column.table.name for key in table.foreign_keys} - {table.name}
        assert all(names.index(name) < names.index(table.name) for name in pointed)


def test_rows_are_what_json_can_hold(joinery: Joinery, day: BusyDay) -> None:
    with joinery.store.reading() as session:
        for table in everything.tables():
            rows = list(everything.rows_of(session, table))
            assert json.loads(json.dumps(rows, allow_nan=False)) == rows
        (shop,) = everything.rows_of(session, T["shop"])
        said = dict(zip(everything.columns_of(T["shop"]), shop, strict=True))
    assert (said["made_at"], said["clock_24h"], said["first_day"]) == ("2025-01-01T00:00:00Z", True, None)


def test_the_history_of_what_is_left_out_is_left_out(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        for table in ("pins", "people"):
            session.add(EditRow(at=NOW, table_name=table, row_id=1, field="name", before=None, after="x"))
    with joinery.store.reading() as session:
        named = {row[3] for row in everything.rows_of(session, T["edits"])}
    assert "people" in named
    assert "pins" not in named


def one(name: str, column: str, said: Any) -> object:
    """What a value becomes in a row of a table."""
    table = T[name]
    return everything._value(table, table.columns[column], said)


@pytest.mark.parametrize(
    ("table", "column", "said", "value"),
    [
        ("jobs", "promised_on", "2026-11-27", date(2026, 11, 27)),
        ("jobs", "promised_on", None, None),
        ("jobs", "must_keep", True, True),
        ("jobs", "price_cents", 125050, 125050),
        ("jobs", "added_at", "2026-11-25T18:24:00.123456Z", datetime(2026, 11, 25, 18, 24, 0, 123456, UTC)),
        ("stages", "quantity", 3, 3.0),
        ("weeks", "opens", "08:00:00", time(8)),
        ("entries", "body", {"a": [1, None]}, {"a": [1, None]}),
        ("people", "name", "=1+1 🪵", "=1+1 🪵"),
        ("promises", "snapshot", "eJwDAP8=", b"x\x9c\x03\x00\xff"),
    ],
)
def test_values_by_their_columns(table: str, column: str, said: Any, value: object) -> None:
    found = one(table, column, said)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(
    ("table", "column", "said"),
    [
        ("jobs", "promised_on", "27.11.2026"),
        ("jobs", "promised_on", 20261127),
        ("jobs", "must_keep", 1),
        ("jobs", "must_keep", None),
        ("jobs", "price_cents", 1.5),
        ("jobs", "price_cents", True),
        ("jobs", "price_cents", 2**64),
        ("jobs", "added_at", "2026-11-25T18:24:00"),
        ("jobs", "added_at", ""),
        ("stages", "quantity", "3"),
        ("stages", "quantity", float("inf")),
        ("stages", "quantity", True),
        ("weeks", "opens", "8 o'clock"),
        ("people", "name", 7),
        ("promises", "snapshot", "eJw"),
        ("promises", "snapshot", "eJw DAP8="),
        ("promises", "snapshot", 7),
        ("people", "name", ["Una"]),
        ("people", "name", "\ud800"),
    ],
)
def test_values_that_are_refused(table: str, column: str, said: Any) -> None:
    with pytest.raises(BadInput, match=f"A row of {table} in the file has a {column} that can’t be read"):
        one(table, column, said)


def test_rows_go_back_in_any_order_and_are_checked(joinery: Joinery) -> None:
    """A stage before its job; what still points at nothing at the end is named."""
    with joinery.store.writing() as session:
        assert everything.points_at_nothing(session) == ""
        everything.put(session, T["rates"], [[1, "hands", 77, None, "2026-01-01", 5000]])
        assert everything.points_at_nothing(session) == "rates"
        everything.put(session, T["people"], [[77, "Ida", 3, None]])
        assert everything.points_at_nothing(session) == ""
    for row in ([77, "Ida", 3, None], [78, "Ida"]):
        with pytest.raises(BadInput), joinery.store.writing() as session:
            everything.put(session, T["people"], [row])


def test_an_empty_database_is_told_from_one_with_a_shop(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert not everything.is_empty(session)
    with joinery.store.writing() as session:
        session.connection().exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        for table in reversed(everything.tables()):
            if table.name not in ("entries", "entry_stages"):
                session.execute(delete(table))
        assert everything.is_empty(session)
        session.add(ShopRow(id=1, name="x", zone="UTC", made_at=NOW))
        session.flush()
        assert not everything.is_empty(session)


def test_a_renewed_database_has_another_id(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        before = head(session)
        everything.renew(session)
    with joinery.store.reading() as session:
        assert head(session).database_id != before.database_id
        assert everything.photos(session) == []


def test_a_database_is_read_beside_the_program_that_serves_it(joinery: Joinery) -> None:
    beside = everything.Beside(joinery.store.path, joinery.store.instance)
    with joinery.store.writing() as writing, beside.reading() as session:
        writing.get_one(ShopRow, 1).name = "Elsewhere"
        writing.flush()
        assert session.get_one(ShopRow, 1).name == "Sedge Lane Joinery"
