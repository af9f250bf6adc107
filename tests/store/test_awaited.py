"""What a job waits for: written down once, looked for on another day, come, struck out, refused."""

from datetime import date, timedelta

import pytest

from shoptrack.engine.shapes import Awaited
from shoptrack.errors import BadInput, NotFound
from shoptrack.store import snapshot
from shoptrack.store.awaited import (
    add_awaited,
    awaited_of,
    expect_on,
    newest_awaited,
    say_came,
    strike,
)
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, history
from shoptrack.store.jobs import close_job
from shoptrack.store.tables import StageRow
from tests.store.conftest import NOW
from tests.store.making import furnish, order

FRIDAY = date(2026, 3, 6)


@pytest.fixture
def job(store: Store) -> tuple[int, list[int]]:
    with store.writing() as session:
        return order(session, furnish(session))


def add(store: Store, job: int, stage: int | None = None, on: date | None = FRIDAY, after: int = 0) -> int:
    with store.writing() as session:
        row = add_awaited(
            session, job, what="lumber", stage=stage, expected_on=on, after=after, who=None, now=NOW
        )
        return row.id


def world_has(store: Store) -> tuple[Awaited, ...]:
    with store.reading() as session:
        return snapshot.world(session).awaited


def test_it_is_written_down_once_and_the_engines_read_it(store: Store, job: tuple[int, list[int]]) -> None:
    """The same form sent twice finds it; a form shown later writes another."""
    number, (mill, *_) = job
    first = add(store, number, mill)
    assert add(store, number, mill) == first
    with store.reading() as session:
        after = newest_awaited(session, number)
    second = add(store, number, mill, after=after)
    assert second != first
    assert world_has(store)[0] == Awaited(first, number, "lumber", mill, FRIDAY, FRIDAY)


def test_the_day_it_is_looked_for_moves_and_the_first_one_stays_agreed(
    store: Store, job: tuple[int, list[int]]
) -> None:
    """Nobody knew; then Friday, then a week later, then nobody knows again; it comes on Tuesday, or not."""
    number, _ = job
    one = add(store, number, on=None)
    later, tuesday = FRIDAY + timedelta(days=7), date(2026, 3, 3)
    for on, agreed_on in ((FRIDAY, FRIDAY), (later, FRIDAY), (None, FRIDAY)):
        with store.writing() as session:
            expect_on(session, number, one, on, None, NOW)
        (found,) = world_has(store)
        assert (found.expected_on, found.agreed_on) == (on, agreed_on)
    for came_on in (tuesday, None):
        with store.writing() as session:
            say_came(session, number, one, came_on, None, NOW)
        assert world_has(store)[0].came_on == came_on
    with store.reading() as session:
        fields = [x.field for x in history(session, "awaited", one)]
    assert fields.count("expected_on") == 3
    assert fields.count("came_on") == 2


def test_struck_out_it_is_gone_but_in_the_history(store: Store, job: tuple[int, list[int]]) -> None:
    number, _ = job
    one = add(store, number)
    with store.writing() as session:
        strike(session, number, one, None, NOW)
        strike(session, number, one, None, NOW)
        assert awaited_of(session, number) == []
        assert newest_awaited(session, number) == 0
        assert [x.field for x in history(session, "awaited", one)] == ["made", "taken back"]


def test_another_jobs_stage_and_a_closed_job_are_refused(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        (mine, (mill, *_)), (other, (theirs, *_)) = order(session, made), order(session, made)
        edit(session, session.get_one(StageRow, mill), None, NOW, removed_at=NOW)
    for stage in (theirs, mill, 999):
        with pytest.raises(BadInput, match="no stage of this job") as wrong:
            add(store, mine, stage)
        assert wrong.value.field == "stage"
    one = add(store, mine)
    with store.writing() as session:
        with pytest.raises(NotFound):
            expect_on(session, other, one, FRIDAY, None, NOW)
        with pytest.raises(NotFound):
            say_came(session, other, one, FRIDAY, None, NOW)
        with pytest.raises(NotFound):
            strike(session, other, one, None, NOW)
        with pytest.raises(NotFound):
            expect_on(session, mine, 999, FRIDAY, None, NOW)
        close_job(session, mine, NOW)
    with pytest.raises(BadInput, match="closed"):
        add(store, mine, on=date(2026, 4, 1))
    with pytest.raises(NotFound):
        add(store, 999)
