"""Lines of history by name: of one thing with what is said of it by date, and of everything."""

from datetime import timedelta

from shoptrack.store import shop
from shoptrack.store.dated_rows import say_from
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, note_made
from shoptrack.store.histories import Changed, changed_tables, changes, changes_of
from shoptrack.store.rates import set_rate
from shoptrack.store.tables import ExtraRow, JobRow, LastTimeRow, PoolCountRow, StageRow
from tests.store.conftest import NOW
from tests.store.making import furnish, order
from tests.store.test_rooms import USUAL

LATER = NOW + timedelta(days=2)


def brief(changed: tuple[Changed, ...]) -> list[tuple[str | None, str, str, object, object]]:
    return [(c.who, c.name, c.field, c.before, c.after) for c in changed]


def test_a_thing_with_what_counts_from_a_date_on(store: Store) -> None:
    with store.writing() as session:
        una = shop.make_person(session, "Una")
        pool = shop.make_pool(session, "600 mm", reach_mm=600, owned=8, from_at=NOW)
        other = shop.make_pool(session, "900 mm", reach_mm=900, owned=8, from_at=NOW)
        note_made(session, pool, una.id, NOW)
        edit(session, pool, una.id, LATER, name="short bars")
        say_from(session, PoolCountRow, {"pool_id": pool.id}, LATER, una.id, LATER, owned=12)
        edit(session, other, una.id, LATER, name="long bars")
        found = changes_of(session, pool)
    assert brief(found) == [
        ("Una", "short bars", "owned", 8, 12),
        ("Una", "short bars", "name", "600 mm", "short bars"),
        ("Una", "short bars", "made", None, True),
    ]
    assert [c.since for c in found] == [LATER, None, None]


def test_all_changes_page_by_page_and_by_table(store: Store) -> None:
    with store.writing() as session:
        una = shop.make_person(session, "Una")
        router = shop.make_station(session, "router")
        for n in range(5):
            edit(session, una, None, NOW + timedelta(minutes=n), name=f"Una {n}")
        set_rate(session, cents_per_h=5000, from_on=NOW.date(), who=una.id, now=LATER)
        set_rate(session, cents_per_h=1800, from_on=NOW.date(), who=una.id, now=LATER, station=router.id)
        assert [c.name for c in changes(session, [], 2)] == ["router", ""]
        assert [c.after for c in changes(session, ["people"], 2, offset=2)] == ["Una 2", "Una 1"]
        assert changed_tables(session) == {"people", "rates"}


def test_ids_are_told_by_name(store: Store) -> None:
    with store.writing() as session:
        room = shop.make_room(session, "attic", from_at=NOW, usual=USUAL)
        router = shop.make_station(session, "router", room=room.id)
        edit(session, router, None, NOW, room_id=None)
        (line,) = changes_of(session, router)
    assert (line.before, line.after) == ("attic", None)


def test_what_is_gone_is_still_told(store: Store) -> None:
    """A row that was taken away, and a table that this program no longer has."""
    with store.writing() as session:
        row = shop.add_day_off(session, first_on=NOW.date(), last_on=NOW.date(), reason="auction")
        note_made(session, row, None, NOW)
        session.delete(row)
        session.flush()
        (line,) = changes(session, [], 10)
    assert (line.table, line.name, line.field) == ("days_off", "", "made")


def test_what_belongs_to_a_job_is_told_with_its_tag(store: Store) -> None:
    """An extra, and what was kept of a stage for next time: whose job, which stage, what it is."""
    with store.writing() as session:
        job, stages = order(session, furnish(session))
        tag, stage = session.get_one(JobRow, job).tag, session.get_one(StageRow, stages[0])
        extra = ExtraRow(job_id=job, number=1, words="initials", asked_on=NOW.date())
        kept = LastTimeRow(pattern_id=1, line=1, stage_id=stage.id, said_at=NOW)
        session.add_all([extra, kept])
        for row in (extra, kept):
            note_made(session, row, None, NOW)
        session.flush()
        names = [c.name for c in changes(session, ["extras", "last_times"], 10)]
    assert names == [f"{tag} {stage.name} kept for next time", f"{tag} extra"]
