"""Values that count from a moment on: said, said again, said for an earlier time."""

from datetime import timedelta
from typing import Any

from shoptrack.engine.shapes import Rule
from shoptrack.store import shop
from shoptrack.store.dated_rows import said_of, say_from
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.tables import PoolCountRow, RuleRow
from tests.store.conftest import NOW

DAY = timedelta(days=1)


def owned(store: Store, pool: int) -> list[tuple[int, int]]:
    with store.reading() as session:
        rows: Any = said_of(session, PoolCountRow, {"pool_id": pool})
        return [((row.from_at - NOW).days, row.owned) for row in rows]


def make_pool(store: Store) -> int:
    with store.writing() as session:
        return shop.make_pool(session, "600 mm", reach_mm=600, owned=8, from_at=NOW).id


def test_a_value_counts_from_then_on_and_what_was_stays(store: Store) -> None:
    pool = make_pool(store)
    with store.writing() as session:
        assert say_from(session, PoolCountRow, {"pool_id": pool}, NOW + 3 * DAY, None, NOW, owned=12)
    assert owned(store, pool) == [(0, 8), (3, 12)]


def test_the_same_again_changes_nothing(store: Store) -> None:
    pool = make_pool(store)
    with store.writing() as session:
        assert not say_from(session, PoolCountRow, {"pool_id": pool}, NOW + DAY, None, NOW, owned=8)
    assert owned(store, pool) == [(0, 8)]


def test_for_the_very_moment_it_replaces(store: Store) -> None:
    pool = make_pool(store)
    with store.writing() as session:
        assert say_from(session, PoolCountRow, {"pool_id": pool}, NOW, None, NOW, owned=9)
    assert owned(store, pool) == [(0, 9)]


def test_before_the_first_it_stands_first(store: Store) -> None:
    pool = make_pool(store)
    with store.writing() as session:
        assert say_from(session, PoolCountRow, {"pool_id": pool}, NOW - 2 * DAY, None, NOW, owned=4)
    assert owned(store, pool) == [(-2, 4), (0, 8)]


def test_the_line_of_history_says_what_it_was(store: Store) -> None:
    pool = make_pool(store)
    with store.writing() as session:
        say_from(session, PoolCountRow, {"pool_id": pool}, NOW + DAY, None, NOW, owned=12)
        row: Any = said_of(session, PoolCountRow, {"pool_id": pool})[-1]
        (line,) = history(session, "pool_counts", row.id)
    assert (line.field, line.before, line.after) == ("owned", 8, 12)


def test_a_starting_value_stays_one_until_another_is_said(store: Store) -> None:
    with store.writing() as session:
        kind = shop.make_kind(
            session, "planing", unit="boards", rule=Rule(5, 3), from_at=NOW, starting=True
        ).id
        say_from(session, RuleRow, {"kind_id": kind}, NOW + DAY, None, NOW, setup_min=5.0, rate_min=3.0)
        rows: Any = said_of(session, RuleRow, {"kind_id": kind})
        assert [row.starting for row in rows] == [True]
        say_from(session, RuleRow, {"kind_id": kind}, NOW, None, NOW, setup_min=6.0, rate_min=3.0)
        rows = said_of(session, RuleRow, {"kind_id": kind})
        assert [(row.setup_min, row.starting) for row in rows] == [(6, False)]
