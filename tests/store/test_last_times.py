"""What was said of a stage is found again for the next of its line, by one query for all that are shown."""

from datetime import timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound, Refused
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, history
from shoptrack.store.last_times import Remembered, Said, keep, remembered
from shoptrack.store.tables import LastTimeRow, PhotoRow, StageRow
from tests.store.making import NOW, furnish, order

SAID = Said(85, 4, "tear-out on the ash")


def photo(session: Session, stage: int, minutes: int = 0) -> int:
    at = NOW + timedelta(minutes=minutes)
    row = PhotoRow(stage_id=stage, width_px=1, height_px=1, size_bytes=1, sha256="x", added_at=at)
    session.add(row)
    session.flush()
    return row.id


def test_the_next_of_the_line_is_told_what_was_said(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        (_, first), (_, second) = order(session, made), order(session, made, "the next tray")
        keep(session, first[1], SAID, made.ben, NOW)
        found = remembered(session, [*first, *second])
    last = found[second[1]].last
    assert last is not None
    assert (last.minutes, last.quantity, last.unit, last.who) == (85, 4, "joints", "Ben")
    assert (last.trouble, last.photo, last.said_at) == ("tear-out on the ash", None, NOW)
    assert found[first[1]] == Remembered(True, None, last)
    assert found[second[0]] == Remembered(True, None, None)


def test_the_newest_of_others_is_shown_not_ones_own(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        stages = [order(session, made, f"tray {n}")[1][2] for n in range(3)]
        for n, stage in enumerate(stages):
            keep(session, stage, Said(10 + n, 2, ""), made.ann, NOW + timedelta(days=n))
        found = remembered(session, stages)
    shown = [found[s].last for s in stages]
    assert [last.minutes if last else None for last in shown] == [12, 12, 11]


def test_said_again_it_takes_its_place_with_history(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        _, stages = order(session, made)
        first = keep(session, stages[0], SAID, made.ann, NOW)
        assert keep(session, stages[0], SAID, made.ann, NOW) == first
        assert keep(session, stages[0], Said(90, 4, "dull knives"), None, NOW) == first
        (own,) = [r.own for r in remembered(session, stages[:1]).values()]
        assert own is not None
        assert (own.minutes, own.trouble, own.who) == (90, "dull knives", "Ann")
        changed = [line.field for line in history(session, "last_times", first)]
    assert changed == ["made", "minutes", "trouble"]


def test_the_newest_photo_comes_along_unless_it_was_taken_back(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        (_, first), (_, second) = order(session, made), order(session, made, "the next tray")
        photo(session, first[0])
        newest = photo(session, first[0], 5)
        keep(session, first[0], SAID, None, NOW)
        last = remembered(session, second)[second[0]].last
        assert last is not None
        assert last.photo == newest
        edit(session, session.get_one(PhotoRow, newest), None, NOW, retired_at=NOW)
        gone = remembered(session, second)[second[0]].last
        assert gone is not None
        assert gone.photo is None


def test_what_came_from_no_pattern_is_not_kept(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        _, stages = order(session, made)
        session.get_one(StageRow, stages[0]).line = None
        session.flush()
        with pytest.raises(Refused, match="no pattern"):
            keep(session, stages[0], SAID, None, NOW)
        with pytest.raises(NotFound):
            keep(session, 999, SAID, None, NOW)
        assert remembered(session, stages[:1]) == {stages[0]: Remembered()}


def test_what_was_taken_back_is_not_shown(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        (_, first), (_, second) = order(session, made), order(session, made, "the next tray")
        row = session.get_one(LastTimeRow, keep(session, first[0], SAID, None, NOW))
        edit(session, row, None, NOW, retired_at=NOW)
        assert remembered(session, second)[second[0]].last is None


def test_all_that_are_shown_take_one_query(store: Store) -> None:
    asked: list[str] = []

    def note(conn: object, cursor: object, statement: str, *rest: object) -> None:
        asked.append(statement)

    with store.writing() as session:
        made = furnish(session)
        stages = [s for n in range(3) for s in order(session, made, f"tray {n}")[1]]
        keep(session, stages[0], SAID, None, NOW)
    event.listen(Engine, "before_cursor_execute", note)
    try:
        with store.reading() as session:
            assert len(remembered(session, stages)) == 9
            assert remembered(session, []) == {}
    finally:
        event.remove(Engine, "before_cursor_execute", note)
    assert len([s for s in asked if s.startswith("SELECT")]) == 1
