"""Rows become the frozen world, in few queries."""

from datetime import date, time, timedelta
from typing import Any

import pytest
from sqlalchemy import event

from shoptrack.engine.shapes import (
    ClampNeed,
    Need,
    OffDays,
    Pin,
    Pool,
    Room,
    RoomProfile,
    Rule,
    Station,
    Week,
    World,
)
from shoptrack.errors import NotFound
from shoptrack.store import log, shop, snapshot
from shoptrack.store.awaited import add_awaited
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.jobs import close_job
from shoptrack.store.skills import say_never
from shoptrack.store.stage_pins import set_pin
from shoptrack.store.tables import PersonRow, ShopRow, StageRow, StationRow
from shoptrack.store.tools import make_material, set_wear
from tests.store.making import CLAMPS_OFF_WIDE, MADE_AT, NOW, PLAIN_WEEK, ROOM, SCRAPE, furnish, order

SOON = date(2026, 3, 6)


def read(store: Store, *stages: int) -> World:
    with store.reading() as session:
        return snapshot.world(session, stages)


def test_the_stages_carry_all_that_was_planned(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job, (mill, glue, sand) = order(session, made)
    world = read(store)
    assert list(world.stages) == [mill, glue, sand]
    first, second, third = world.stages.values()
    assert (first.job, first.position, first.kind, first.name) == (job, 1, "glue-up", "mill")
    assert (first.unit, first.quantity, first.rule) == ("joints", 5.0, ((MADE_AT, Rule(10, 5)),))
    assert (first.station, first.tools) == (made.planer, (made.bit,))
    assert first.cutting == ((made.bit, 0.5),)
    assert second.cutting == ()
    assert (second.needs, second.clamps) == ((Need(mill, by_rounds=True),), (ClampNeed(made.pool, 4, True),))
    assert (second.rounds, second.interruption, second.hands_at_min) == (True, "none", (5, 10))
    assert (second.quantity, second.room) == (2.0, made.room)
    assert third.needs == (Need(glue, least_wait_min=60.0),)
    assert (second.caution, third.caution) == (
        "gloves on",
        "wear a mask",
    )  # the kind's, unless it has its own
    assert third.recipes == ()


def test_a_recipe_is_narrowed_to_the_joint_of_the_stage(store: Store) -> None:
    with store.writing() as session:
        order(session, furnish(session))
    ((from_at, recipe),) = list(read(store).stages.values())[1].recipes
    assert from_at == MADE_AT
    assert recipe.marks == (CLAMPS_OFF_WIDE, SCRAPE)
    assert (recipe.lowest_c, recipe.below, recipe.open_min, recipe.kind) == (10.0, "spoils", 8.0, "glue")


def test_the_shop_itself(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        shop.set_week(
            session, from_on=date(2026, 2, 1), days=[[(time(9), time(13))], *[[]] * 6], person=made.ben
        )
        shop.add_day_off(session, first_on=date(2026, 5, 1), last_on=date(2026, 5, 1))
        shop.set_owned(session, made.pool, from_at=NOW, owned=15)
        shop.set_warmth(
            session, made.room, from_at=NOW, usual=RoomProfile((21.0,) * 12, (9.0,) * 12, time(6), time(18))
        )
        ben = session.get(PersonRow, made.ben)
        assert ben is not None
        edit(session, ben, None, NOW, retired_at=NOW)
    world = read(store)
    assert world.calendar.zone == "Europe/Berlin"
    assert world.calendar.shop == (Week(date(2026, 3, 2), tuple(tuple(day) for day in PLAIN_WEEK)),)
    assert world.calendar.people == {
        made.ben: (Week(date(2026, 2, 1), (((time(9), time(13)),), (), (), (), (), (), ())),)
    }
    assert world.calendar.off == (OffDays(None, date(2026, 5, 1), date(2026, 5, 1)),)
    assert world.pools == {made.pool: Pool(made.pool, "80 cm", 800, ((MADE_AT, 12), (NOW, 15)))}
    (room,) = world.rooms.values()
    assert room == Room(made.room, "bench room", ((MADE_AT, ROOM), (NOW, room.profiles[1][1])))
    assert room.profiles[1][1].unheated_c == (9.0,) * 12
    assert world.stations == {made.planer: Station(made.planer, "planer", made.room, True)}
    assert world.tools == {made.bit: "quarter-inch bit"}
    assert [(p.name, p.retired) for p in world.people.values()] == [("Ann", False), ("Ben", True)]


def test_open_jobs_and_those_whose_stages_are_mentioned(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        old, old_stages = order(session, made, "old tray")
        job, _ = order(session, made)
        close_job(session, old, NOW)
    assert set(read(store).jobs) == {job}
    assert set(read(store, old_stages[1]).jobs) == {job, old}
    assert set(old_stages) <= set(read(store, old_stages[1]).stages)
    with store.reading() as session:
        assert snapshot.whole_world(session) == read(store, old_stages[0])


def test_the_shop_around_some_stages_has_their_jobs_and_no_open_one(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        old, old_stages = order(session, made, "old tray")
        order(session, made)
        close_job(session, old, NOW)
    with store.reading() as session:
        around = snapshot.world_around(session, old_stages[:1])
        assert (set(around.jobs), set(around.stages)) == ({old}, set(old_stages))
        assert around.calendar == snapshot.whole_world(session).calendar
        assert snapshot.world_around(session, ()).jobs == {}


def test_more_stages_than_a_statement_takes_parameters(store: Store) -> None:
    assert read(store, *range(1, 40_000)).stages == {}


def test_before_the_shop_is_set_up_it_is_said(store: Store) -> None:
    with store.writing() as session:
        session.delete(session.get(ShopRow, 1))
    with pytest.raises(NotFound, match="isn't set up"):
        read(store)


def test_log_and_world_take_at_most_eight_queries(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        for n in range(5):
            order(session, made, f"tray {n}")
    asked: list[str] = []

    def note(connection: Any, cursor: Any, statement: str, *_: Any) -> None:
        asked.append(statement)

    event.listen(store._reader, "before_cursor_execute", note)
    with store.reading() as session:
        log.open_log(session)
        snapshot.world(session, [1, 2, 3])
    queries = [statement for statement in asked if statement != "BEGIN"]
    assert 5 <= len(queries) <= 8


def test_dated_values_come_oldest_first(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        order(session, made)
        shop.set_rule(session, made.kind, from_at=NOW + timedelta(days=9), rule=Rule(1, 1))
        shop.set_rule(session, made.kind, from_at=NOW, rule=Rule(2, 2))
    (stage, *_) = read(store).stages.values()
    assert [rule for _, rule in stage.rule] == [Rule(10, 5), Rule(2, 2), Rule(1, 1)]


def test_what_a_plan_heeds_is_of_the_open_jobs_alone(store: Store) -> None:
    """A rack with room for three; Ben cuts no joints; the closed job's lumber and pin are not read."""
    with store.writing() as session:
        made = furnish(session)
        elm = make_material(session, "elm", wear=1.2, from_at=MADE_AT).id
        (old, (milled, *_)), (job, (mill, glue, _)) = order(session, made), order(session, made)
        edit(session, session.get_one(StageRow, mill), None, NOW, material_id=elm)
        edit(session, session.get_one(StationRow, made.planer), None, NOW, places=3, through_cure=True)
        say_never(session, session.get_one(PersonRow, made.ben), [made.kind], None, NOW)
        for each, stage in ((old, milled), (job, glue)):
            set_pin(session, stage, SOON, made.ann, today=SOON, who=None, now=NOW)
            add_awaited(
                session, each, what="lumber", stage=stage, expected_on=SOON, after=0, who=None, now=NOW
            )
        close_job(session, old, NOW)
    world = read(store)
    assert (world.stations[made.planer].places, world.stations[made.planer].through_cure) == (3, True)
    assert {p.name: p.never for p in world.people.values()} == {"Ann": set(), "Ben": {made.kind}}
    assert [world.stages[s].material for s in (mill, glue)] == [elm, None]
    assert [(a.job, a.before, a.agreed_on, a.expected_on) for a in world.awaited] == [(job, glue, SOON, SOON)]
    assert world.pins == {glue: Pin(glue, SOON, made.ann)}
    assert set(read(store, milled).pins) == {glue, milled}


def test_how_hard_woods_are_by_date(store: Store) -> None:
    with store.writing() as session:
        furnish(session)
        teak = make_material(session, "teak", wear=1.5, from_at=MADE_AT).id
        set_wear(session, teak, from_at=NOW, wear=1.8)
    assert read(store).wears[teak] == ((MADE_AT, 1.5), (NOW, 1.8))
