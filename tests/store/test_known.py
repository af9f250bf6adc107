"""Ids are looked up, and a tablet's own line of taps puts late ones in their place."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Rule
from shoptrack.store.db import Store
from shoptrack.store.known import (
    Line,
    Wanted,
    jobs_of_entries,
    line_of,
    look_up,
    redone,
    rules_of,
    stages_of,
    waiting_for,
)
from tests.flows.conftest import MADE_AT, make_store
from tests.flows.taps import NOW, made, send

MINUTE = timedelta(minutes=1)


@pytest.fixture
def tapped(tmp_path: Path) -> Iterator[Store]:
    """A shop with a start, a strike of it and a strike of that."""
    store = make_store(tmp_path / "shop.db")
    strikes = made("strike", 2, of="tap-00001"), made("strike", 3, of="tap-00002")
    send(store, made("start", 1, person=1, stages=[11, 21]), *strikes)
    yield store
    store.close()


@pytest.fixture
def session(tapped: Store) -> Iterator[Session]:
    with tapped.reading() as session:
        yield session


def test_only_what_is_there_is_found(session: Session) -> None:
    wanted = Wanted(
        stages=frozenset({11, 99}),
        jobs=frozenset({3, 4}),
        people=frozenset({1, 7}),
        pools=frozenset({1, 2}),
        rooms=frozenset({2}),
        entries=frozenset({"tap-00001", "nothing-1"}),
    )
    known = look_up(session, wanted)
    assert known.stages == {11: 1}
    assert (known.jobs, known.people, known.pools, known.rooms) == ({3}, {1}, {1}, frozenset())
    assert known.entries == {"tap-00001": NOW}


def test_nothing_wanted_is_nothing_found(session: Session) -> None:
    assert look_up(session, Wanted()).stages == {}


def test_a_strike_of_a_strike_touches_the_jobs_of_the_start(session: Session) -> None:
    assert jobs_of_entries(session, ["tap-00003"]) == {1, 2}
    assert jobs_of_entries(session, []) == frozenset()


def test_stages_of_jobs(session: Session) -> None:
    assert stages_of(session, [3]) == {31, 32, 33, 34}
    assert stages_of(session, []) == frozenset()


def test_rules_come_with_the_quantity(session: Session) -> None:
    assert rules_of(session, [11, 12]) == {
        11: (20, ((MADE_AT, Rule(20, 3)),)),
        12: (20, ((MADE_AT, Rule(30, 2)),)),
    }


def test_a_line_puts_a_late_number_between_its_neighbours() -> None:
    line = Line()
    line.add(1, "one", NOW)
    line.add(5, "five", NOW + 10 * MINUTE)
    assert line.fit(3, NOW + 20 * MINUTE) == NOW + 10 * MINUTE
    assert line.fit(3, NOW - MINUTE) == NOW
    assert line.fit(3, NOW + MINUTE) == NOW + MINUTE
    assert line.fit(9, NOW) == NOW + 10 * MINUTE
    assert Line().fit(1, NOW) == NOW
    assert line.taken == {1: "one", 5: "five"}


def test_a_line_is_read_from_the_log(session: Session) -> None:
    line = line_of(session, "tablet", {2, 3})
    assert [seq for seq, _ in line.taps] == [1, 2, 3]
    assert line_of(session, "tablet", {9}).taps == [(3, NOW)]
    assert line_of(session, "another", {2}).taps == []


def test_taps_that_wait_for_an_entry_are_found_until_seen_to(tapped: Store) -> None:
    send(tapped, made("strike", 1, id="early-001", of="late-0001"), device="other")
    with tapped.reading() as session:
        reason = "The entry this tap means is not in this shop's book."
        assert [row.id for row in waiting_for(session, reason, {"late-0001"})] == ["early-001"]
        assert waiting_for(session, reason, {"late-0002"}) == []
        assert waiting_for(session, "another reason", {"late-0001"}) == []


def test_nothing_is_made_again_without_a_spoil(session: Session) -> None:
    """What is made again is told in tests/flows/test_limits.py, from taps."""
    assert redone(session, [11, 12]) == {}
    assert redone(session, []) == {}
