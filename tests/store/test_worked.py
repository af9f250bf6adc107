"""Rows of when tools were at work: rewritten with the passes, compared with them, read as cuts."""

from datetime import datetime, timedelta

import pytest
from sqlalchemy import select, update

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Cut, Pass, World
from shoptrack.store import log, snapshot, tally, tools, worked
from shoptrack.store.db import Store
from shoptrack.store.tables import StageRow, StageToolRow, WorkedRow
from tests.store.conftest import NOW
from tests.store.making import Made, furnish, order, put

LATER = NOW + timedelta(days=3)


@pytest.fixture
def made(store: Store) -> Made:
    with store.writing() as session:
        return furnish(session)


@pytest.fixture
def stages(store: Store, made: Made) -> list[int]:
    """A tray: milled with the bit half of the time, glued up, sanded."""
    with store.writing() as session:
        return order(session, made)[1]


def minutes(n: float) -> datetime:
    return NOW + timedelta(minutes=n)


def work(store: Store, made: Made, *taps: tuple[str, float, int]) -> None:
    with store.writing() as session:
        for n, (kind, after, stage) in enumerate(taps, start=1):
            put(session, n, minutes(after), kind, person=made.ann, stages=(stage,))


def passes(store: Store) -> tuple[list[Pass], World]:
    with store.reading() as session:
        world = snapshot.whole_world(session)
        state = replay(log.whole_log(session), world, LATER)
    return [one for many in state.passes.values() for one in many], world


def rows(store: Store) -> list[tuple[int, int, int, float]]:
    with store.reading() as session:
        chosen = select(WorkedRow).order_by(WorkedRow.stage_id, WorkedRow.redo, WorkedRow.place)
        return [(r.stage_id, r.redo, r.place, r.minutes) for r in session.scalars(chosen)]


def rewrite(store: Store) -> None:
    own, world = passes(store)
    with store.writing() as session:
        worked.rewrite(session, own, world)


def test_only_stages_with_tools_have_rows(store: Store, made: Made, stages: list[int]) -> None:
    mill, _, sand = stages
    work(store, made, ("start", 0, mill), ("finish", 60, mill), ("start", 70, sand), ("finish", 90, sand))
    rewrite(store)
    assert rows(store) == [(mill, 0, 0, 60.0)]


def test_a_correction_rewrites_and_nothing_is_left_over(store: Store, made: Made, stages: list[int]) -> None:
    """Two stints become one when the pause between is struck, and none when the start is."""
    mill = stages[0]
    taps = (("start", 0, mill), ("pause", 20, mill), ("start", 30, mill), ("finish", 60, mill))
    work(store, made, *taps)
    rewrite(store)
    assert [row[3] for row in rows(store)] == [20.0, 30.0]
    with store.writing() as session:
        put(session, 200, minutes(61), "strike", person=made.ann, of="e2")
    rewrite(store)
    assert [row[3] for row in rows(store)] == [60.0]
    with store.writing() as session:
        put(session, 201, minutes(62), "strike", person=made.ann, of="e1")
        put(session, 202, minutes(63), "strike", person=made.ann, of="e3")
    rewrite(store)
    assert rows(store) == []


def test_writing_again_changes_nothing(store: Store, made: Made, stages: list[int]) -> None:
    work(store, made, ("start", 0, stages[0]), ("finish", 60, stages[0]))
    rewrite(store)
    own, world = passes(store)
    with store.writing() as session:
        before = session.connection().connection.driver_connection.total_changes  # type: ignore[union-attr]
        worked.rewrite(session, own, world)
        assert session.connection().connection.driver_connection.total_changes == before  # type: ignore[union-attr]


def test_a_tool_that_is_taken_off_a_stage_takes_its_rows_along(
    store: Store, made: Made, stages: list[int]
) -> None:
    work(store, made, ("start", 0, stages[0]), ("finish", 60, stages[0]))
    rewrite(store)
    with store.writing() as session:
        session.delete(session.get_one(StageToolRow, (stages[0], made.bit)))
    rewrite(store)
    assert rows(store) == []


def test_a_row_that_is_wrong_missing_or_too_many_is_named(
    store: Store, made: Made, stages: list[int]
) -> None:
    mill, _, sand = stages
    work(store, made, ("start", 0, mill), ("finish", 60, mill), ("start", 70, sand), ("finish", 90, sand))
    rewrite(store)
    own, world = passes(store)
    with store.writing() as session:
        assert worked.differences(session, own, world) == []
        session.execute(update(WorkedRow).values(minutes=60.0 + 1e-9))
        assert worked.differences(session, own, world) == []
        session.execute(update(WorkedRow).values(minutes=61.0))
        said = [f"Stage {mill}: when its tools were at work is not as the log says it."]
        assert worked.differences(session, own, world) == said
        session.execute(update(WorkedRow).values(minutes=60.0, redo=1))
        assert worked.differences(session, own, world) == [
            *said,
            f"Stage {mill}, redo 1: when its tools were at work is not as the log says it.",
        ]
        worked.rewrite(session, own, world)
        assert worked.differences(session, own, world) == []


def test_cuts_are_the_share_of_the_tool(store: Store, made: Made, stages: list[int]) -> None:
    """Sixty minutes, half of them cutting; no material: the shop's usual wood."""
    work(store, made, ("start", 0, stages[0]), ("finish", 60, stages[0]))
    rewrite(store)
    with store.reading() as session:
        assert worked.cuts(session) == [Cut(made.bit, stages[0], NOW, minutes(60), 30.0, 1.0)]
        assert worked.cuts(session, [made.bit], minutes(59)) != []
        assert worked.cuts(session, [made.bit], minutes(60)) == []
        assert worked.cuts(session, [made.bit + 1]) == []


def test_the_wear_is_that_in_force_when_the_cut_began(store: Store, made: Made, stages: list[int]) -> None:
    """Teak is 2.0 at first, 2.5 from half past: a stint over it began at 2.0; the first counts before too."""
    mill = stages[0]
    with store.writing() as session:
        teak = tools.make_material(session, "teak", wear=2.0, from_at=minutes(10))
        tools.set_wear(session, teak.id, from_at=minutes(30), wear=2.5)
        session.get_one(StageRow, mill).material_id = teak.id
    work(store, made, ("start", 0, mill), ("pause", 5, mill), ("start", 20, mill), ("pause", 40, mill))
    with store.writing() as session:
        put(session, 50, minutes(50), "start", person=made.ann, stages=(mill,))
        put(session, 51, minutes(60), "finish", person=made.ann, stages=(mill,))
    rewrite(store)
    with store.reading() as session:
        found = worked.cuts(session)
    assert [(c.run_min, c.wear) for c in found] == [(2.5, 2.0), (10.0, 2.0), (5.0, 2.5)]
    assert sum(c.effective_h for c in found) == pytest.approx((2.5 * 2 + 10 * 2 + 5 * 2.5) / 60)


def test_a_database_without_rows_gets_them_once(store: Store, made: Made, stages: list[int]) -> None:
    """A tally that says the milling took an hour, and no rows: they are made; with rows nothing is done."""
    mill = stages[0]
    with store.writing() as session:
        assert not worked.fill(session, LATER)
    work(store, made, ("start", 0, mill), ("finish", 60, mill))
    own, _ = passes(store)
    with store.writing() as session:
        assert not worked.fill(session, LATER)
        tally.rewrite(session, own)
        assert worked.fill(session, LATER)
        assert not worked.fill(session, LATER)
    assert rows(store) == [(mill, 0, 0, 60.0)]


def test_many_stages_at_once(store: Store, made: Made) -> None:
    """Thirty trays milled in turn: all rows in one go, and all gone in one go."""
    with store.writing() as session:
        mills = [order(session, made, f"tray {n}")[1][0] for n in range(30)]
        for n, mill in enumerate(mills):
            put(session, 2 * n + 1, minutes(10 * n), "start", person=made.ann, stages=(mill,))
            put(session, 2 * n + 2, minutes(10 * n + 5), "finish", person=made.ann, stages=(mill,))
    rewrite(store)
    assert {row[0] for row in rows(store)} == set(mills)
    assert sum(row[3] for row in rows(store)) == pytest.approx(150)
    own, world = passes(store)
    with store.writing() as session:
        for mill in mills:
            session.delete(session.get_one(StageToolRow, (mill, made.bit)))
    rewrite(store)
    assert rows(store) == []
    assert len(own) >= 30
    assert world.stages[mills[0]].tools == (made.bit,)
