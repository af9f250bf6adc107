"""The tally says what the passes say, and is told when it does not."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import select, update

from shoptrack.engine.shapes import Pass, Run, Stint
from shoptrack.store import tally
from shoptrack.store.db import Store, head
from shoptrack.store.tables import TallyRow
from tests.store.making import NOW, furnish, order

H = timedelta(hours=1)


def stint(stage: int, open_: bool = False) -> Stint:
    end = None if open_ else NOW + H
    return Stint(1, stage, (stage,), NOW, end, "e1", ((NOW, NOW + H),), 60.0)


def work(stage: int, redo: int = 0, **fields: object) -> Pass:
    plain = Pass(stage, 1, redo, 2.0, None, None, (), (), (), 0.0, 0.0, 0.0)
    return replace(plain, **fields)  # type: ignore[arg-type]


def done(stage: int, redo: int = 0, attended_min: float = 60.0) -> Pass:
    return work(
        stage,
        redo,
        started_at=NOW,
        finished_at=NOW + H,
        stints=(stint(stage),),
        attended_min=attended_min,
        elapsed_min=60.0,
        teaches=True,
        together=(stage, 9),
    )


@pytest.fixture
def stages(store: Store) -> list[int]:
    with store.writing() as session:
        return order(session, furnish(session))[1]


@pytest.mark.parametrize(
    ("fields", "standing"),
    [
        ({}, "not started"),
        ({"started_at": NOW}, "set down"),
        ({"started_at": NOW, "stints": (stint(1, open_=True),)}, "in hand"),
        ({"started_at": NOW, "stints": (stint(1),)}, "set down"),
        ({"started_at": NOW, "runs": (Run(1, NOW, None, 5.0, 1),)}, "running"),
        ({"started_at": NOW, "aside_by": "e7"}, "put aside"),
        ({"started_at": NOW, "finished_at": NOW, "aside_by": "e7"}, "done"),
    ],
)
def test_how_a_pass_stands(fields: dict[str, object], standing: str) -> None:
    assert tally.standing_of(work(1, **fields)) == standing


def test_it_is_written_rewritten_and_taken_away(store: Store, stages: list[int]) -> None:
    """A stage is done, then spoiled and open again for some pieces, then the spoil is struck."""
    first, second, _ = stages
    with store.writing() as session:
        tally.rewrite(session, [done(first), work(second)])
    with store.writing() as session:
        (row,) = session.scalars(select(TallyRow))
        assert (row.stage_id, row.standing, row.attended_min, row.teaches) == (first, "done", 60.0, True)
        assert (row.started_at, row.finished_at, row.together) == (NOW, NOW + H, f"{first},9")
        tally.rewrite(session, [done(first, attended_min=50.0), work(first, redo=1)])
    with store.writing() as session:
        rows = session.scalars(select(TallyRow).order_by(TallyRow.redo)).all()
        assert [(r.redo, r.standing, r.attended_min) for r in rows] == [
            (0, "done", 50.0),
            (1, "not started", 0.0),
        ]
        tally.rewrite(session, [done(first)])
    with store.reading() as session:
        assert [(r.redo, r.attended_min) for r in session.scalars(select(TallyRow))] == [(0, 60.0)]


def test_what_is_the_same_is_not_written(store: Store, stages: list[int]) -> None:
    with store.writing() as session:
        tally.rewrite(session, [done(stage) for stage in stages])
    with store.writing() as session:
        tally.rewrite(session, [done(stage) for stage in stages])
        before = head(session).revision
    with store.reading() as session:
        assert head(session).revision == before


def test_stages_that_are_not_spoken_of_stay(store: Store, stages: list[int]) -> None:
    with store.writing() as session:
        tally.rewrite(session, [done(stages[0])])
    with store.writing() as session:
        tally.rewrite(session, [done(stages[1])])
    with store.reading() as session:
        assert len(session.scalars(select(TallyRow)).all()) == 2


def test_a_spoiled_row_a_missing_and_a_stray_one_are_found(store: Store, stages: list[int]) -> None:
    first, second, third = stages
    with store.writing() as session:
        tally.rewrite(session, [done(first), done(second)])
        passes = [done(first), done(second), work(third)]
        assert tally.differences(session, passes) == []
        session.execute(update(TallyRow).where(TallyRow.stage_id == first).values(attended_min=61.0))
        assert tally.differences(session, passes) == [
            f"Stage {first}: attended_min is 61.0, by the log it is 60.0."
        ]
        assert tally.differences(session, [done(second), done(third)]) == [
            f"Stage {first} has a row that the log knows nothing of.",
            f"Stage {third} has no row.",
        ]


def test_minutes_that_grow_by_themselves_are_no_difference(store: Store, stages: list[int]) -> None:
    at_it = work(stages[0], started_at=NOW, stints=(stint(stages[0], open_=True),), attended_min=10.0)
    with store.writing() as session:
        tally.rewrite(session, [at_it])
        assert tally.differences(session, [replace(at_it, attended_min=25.0)]) == []
        assert tally.differences(session, [replace(at_it, quantity=3.0)]) != []
