"""The first day step by step on an empty database: each done once, twice, left out, gone back to."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest
from sqlalchemy import func, select

from shoptrack.engine.shapes import Rule
from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.first_day import offers, shop, things, work
from shoptrack.flows.first_day.starting_things import FIRST_PATTERN, KINDS, STATIONS
from shoptrack.flows.first_day.steps import STEPS, go_on, next_step, step_lines
from shoptrack.store.base import Base
from shoptrack.store.db import Store
from shoptrack.store.hours import weeks_of
from shoptrack.store.jobs import open_jobs
from shoptrack.store.patterns import list_patterns, newest_revision
from shoptrack.store.shop import list_people, shop_row
from shoptrack.store.snapshot import world
from shoptrack.store.tables import (
    EditRow,
    JobRow,
    PersonRow,
    PoolRow,
    RecipeRow,
    RecipeVersionRow,
    RoomTempRow,
    RuleRow,
    StageKindRow,
    StationRow,
)
from tests.first_day import unset_store

NOW = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)  # Wednesday, 13:24 in New York
VIENNA = "Europe/Vienna"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = unset_store(tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def set_up(store: Store) -> Store:
    """The shop's own row, in New York, and nothing else."""
    shop.save_shop(store, shop.usual_answers("America/New_York"), None, NOW)
    return store


def count(store: Store, table: type[Base]) -> int:
    with store.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


def test_the_first_answer_makes_the_shop_with_its_week(store: Store) -> None:
    """A shop in Vienna: millimetres, °C, euro, 24 hours, Monday to Friday with lunch, from today on."""
    said = replace(shop.usual_answers(VIENNA), name="Kienspan")
    assert shop.save_shop(store, said, None, NOW) == "people"
    with store.reading() as session:
        row = shop_row(session)
        (week,) = weeks_of(session, None)
        again = shop.answers_of(session, "UTC")
    assert (row.name, row.zone, row.length_unit, row.temperature_unit) == ("Kienspan", VIENNA, "mm", "C")
    assert (row.currency, row.clock_24h, row.first_day) == ("EUR", True, "people")
    assert week.from_on == date(2026, 11, 25)
    assert week.days[4] == ((time(8), time(12)), (time(12, 30), time(16, 30)))
    assert week.days[5:] == ((), ())
    assert again == said


def test_said_twice_it_is_said_once_and_said_otherwise_it_is_changed(set_up: Store) -> None:
    """The same answers again leave no line; another name, no lunch and a Saturday leave theirs."""
    before = count(set_up, EditRow)
    usual = shop.usual_answers("America/New_York")
    assert shop.save_shop(set_up, usual, None, NOW) == "people"
    assert count(set_up, EditRow) == before
    hours = shop.Hours(time(7), time(15), None, frozenset({0, 5}))
    shop.save_shop(set_up, replace(usual, name="Sloe Lane", hours=hours), None, NOW)
    with set_up.reading() as session:
        assert shop_row(session).name == "Sloe Lane"
        assert shop.hours_of(session) == hours
        assert len(weeks_of(session, None)) == 1
        lines = list(session.scalars(select(EditRow.field).order_by(EditRow.id)))[before:]
    assert lines == ["name", "week"]


@pytest.mark.parametrize(
    ("hours", "field"),
    [
        (shop.Hours(time(9), time(9), None, frozenset({0})), "closes"),
        (shop.Hours(time(9), time(17), None, frozenset()), "days"),
        (shop.Hours(time(9), time(17), (time(8), time(10)), frozenset({0})), "lunch_from"),
        (shop.Hours(time(9), time(17), (time(12), time(12)), frozenset({0})), "lunch_from"),
        (shop.Hours(time(9), time(17), (time(16), time(17)), frozenset({0})), "lunch_from"),
    ],
)
def test_hours_that_cannot_be_worked_are_refused(store: Store, hours: shop.Hours, field: str) -> None:
    with pytest.raises(BadInput) as wrong:
        shop.save_shop(store, replace(shop.usual_answers(VIENNA), hours=hours), None, NOW)
    assert wrong.value.field == field
    with store.reading() as session:
        assert next_step(session) == "shop"


def test_people_are_added_once_in_their_order(set_up: Store) -> None:
    """Three names; then two of them again, one written small, and a new one."""
    assert shop.save_people(set_up, ["Nel", "Oskar", "Wim"], None, NOW) == ("rooms", 1)
    assert shop.save_people(set_up, ["nel", "Wim", "Ada"], 1, NOW) == ("rooms", 1)
    with set_up.reading() as session:
        assert [(p.name, p.position) for p in list_people(session)] == [
            ("Nel", 1),
            ("Oskar", 2),
            ("Wim", 3),
            ("Ada", 4),
        ]
    assert shop.save_people(set_up, [], 1, NOW) == ("rooms", None)


def test_nobody_at_all_is_refused(set_up: Store) -> None:
    with pytest.raises(BadInput, match="at least one name"):
        shop.save_people(set_up, [], None, NOW)
    assert count(set_up, PersonRow) == 0


def test_a_room_is_warm_in_the_shops_hours_in_every_month(set_up: Store) -> None:
    said = [shop.RoomAnswer("workshop", 20.0, 15.0)]
    assert shop.save_rooms(set_up, said, None, NOW) == "stations"
    shop.save_rooms(set_up, [*said, shop.RoomAnswer("Workshop", 1.0, 1.0)], None, NOW)
    with set_up.reading() as session:
        months = list(session.scalars(select(RoomTempRow)))
    assert {(m.heated_c, m.unheated_c, m.heated_from, m.heated_until) for m in months} == {
        (20.0, 15.0, time(8), time(16, 30))
    }
    assert len(months) == 12


def test_stations_clamps_and_recipes_are_added_once(set_up: Store) -> None:
    saw = things.StationAnswer("table saw", dust=True, limits_mm={"greatest_width_mm": 762.0})
    pools = [things.PoolAnswer('24"', 610, 8), things.PoolAnswer('48"', 1219, 0)]
    for _ in range(2):
        things.save_stations(set_up, [saw, saw], None, NOW)
        things.save_clamps(set_up, [*pools, things.PoolAnswer("600 mm", 608, 3)], None, NOW)
        things.save_recipes(set_up, ["yellow PVA glue", "wiping oil", "moon dust"], None, NOW)
    assert [count(set_up, t) for t in (StationRow, PoolRow, RecipeRow)] == [1, 1, 2]
    with set_up.reading() as session:
        assert session.scalars(select(StationRow.greatest_width_mm)).one() == 762.0
        versions = list(session.scalars(select(RecipeVersionRow)))
    assert all(v.starting and "your data sheet wins" in v.caution and v.source for v in versions)


def test_a_rule_that_was_changed_is_the_shops_own(set_up: Store) -> None:
    """Milling as it was offered is a starting value; sanding with other minutes is not."""
    by_name = {k.name: k for k in KINDS}
    milling, sanding = by_name["milling"], by_name["sanding"]
    said = [
        things.KindAnswer(milling, milling.unit, milling.rule, starting=True),
        things.KindAnswer(sanding, "boards", Rule(5, 12), starting=False),
    ]
    for _ in range(2):
        assert things.save_kinds(set_up, said, None, NOW) == "pattern"
    with set_up.reading() as session:
        kinds = {k.id: k.name for k in session.scalars(select(StageKindRow))}
        rules = {
            kinds[r.kind_id]: (r.setup_min, r.rate_min, r.starting) for r in session.scalars(select(RuleRow))
        }
    assert rules == {"milling": (20, 5, True), "sanding": (5, 12, False)}


def test_a_kind_that_was_retired_is_not_offered_again(set_up: Store) -> None:
    packing = next(k for k in KINDS if k.name == "packing")
    said = [things.KindAnswer(packing, "pieces", packing.rule, starting=True)]
    things.save_kinds(set_up, said, None, NOW)
    with set_up.writing() as session:
        session.scalars(select(StageKindRow)).one().retired_at = NOW
    things.save_kinds(set_up, said, None, NOW)
    assert count(set_up, StageKindRow) == 1
    with set_up.reading() as session:
        assert "packing" not in [k.name for k in offers.offer_kinds(session).offered]


def all_things(store: Store) -> None:
    """Everything that a first pattern can be made of, as it is offered."""
    shop.save_people(store, ["Nel"], None, NOW)
    shop.save_rooms(
        store, [shop.RoomAnswer("workshop", 20, 15), shop.RoomAnswer("finish room", 20, 15)], 1, NOW
    )
    stations = [things.StationAnswer(s.name, 1, s.dust, s.limits_mm("in")) for s in STATIONS]
    things.save_stations(store, stations, 1, NOW)
    things.save_clamps(store, [things.PoolAnswer('24"', 610, 8)], 1, NOW)
    things.save_recipes(store, ["yellow PVA glue", "wiping oil"], 1, NOW)
    kinds = [things.KindAnswer(k, k.unit, k.rule, starting=True) for k in KINDS]
    things.save_kinds(store, kinds, 1, NOW)


def board(store: Store) -> work.PatternAnswer:
    with store.reading() as session:
        offer = offers.offer_pattern(session)
    rows = [work.RowAnswer(kind, amount) for kind, amount in offer.rows if kind and amount]
    glue, finish = offer.glues[0][0], offer.finishes[0][0]
    return work.PatternAnswer("serving board", rows, glue, finish, offer.likely_pool, 4)


def test_a_first_pattern_is_a_row_of_stages(set_up: Store) -> None:
    """Each waits for the one before; the glue-up has glue, clamps and a room; the coats are rounds."""
    all_things(set_up)
    for _ in range(2):
        assert work.save_pattern(set_up, board(set_up), 1, NOW) == "job"
    with set_up.reading() as session:
        (pattern,) = list_patterns(session)
        revision = newest_revision(session, pattern.id)
        assert revision is not None
        stages = list(revision.stages)
        assert [s.name for s in stages] == list(FIRST_PATTERN)
        assert [[n.needs_id for n in s.needs] for s in stages] == [[], *([s.id] for s in stages[:-1])]
        glued = next(s for s in stages if s.name == "glue-up")
        coats = next(s for s in stages if s.name == "finishing")
        assert (glued.room_id, glued.joint, glued.rounds) == (1, "plain edge", False)
        assert glued.recipe_id is not None
        assert [(c.count, c.per_piece) for c in glued.clamps] == [(4, False)]
        assert (coats.room_id, coats.fixed, coats.per_piece, coats.rounds) == (2, 3, 0, True)


def test_a_first_job_ends_the_first_day(set_up: Store) -> None:
    """Sent twice it is one job; another of the same words from a form drawn later is another."""
    all_things(set_up)
    work.save_pattern(set_up, board(set_up), 1, NOW)
    said = work.JobAnswer(1, "boards for the inn", "the Fernside inn", 4, date(2026, 12, 18))
    for _ in range(2):
        assert work.save_job(set_up, said, 1, NOW) is None
    with set_up.reading() as session:
        (job,) = open_jobs(session)
        assert (job.customer, job.pieces, job.promised_on) == ("the Fernside inn", 4, date(2026, 12, 18))
        seen = world(session)
        assert [s.quantity for s in seen.stages.values()] == [12, 3, 8, 12, 8, 16, 3, 4]
        assert shop_row(session).first_day is None
        assert next_step(session) is None
        made = set(session.scalars(select(EditRow.table_name).where(EditRow.field == "made")))
        later = offers.offer_job(session).after
    assert made >= {
        "shop",
        "people",
        "rooms",
        "stations",
        "pools",
        "recipes",
        "stage_kinds",
        "patterns",
        "jobs",
    }
    work.save_job(set_up, replace(said, after=later), 1, NOW)
    assert count(set_up, JobRow) == 2


def test_what_is_not_there_is_refused_by_its_field(set_up: Store) -> None:
    all_things(set_up)
    for rows, field in (((), "kind-1"), ((work.RowAnswer(1, 1), work.RowAnswer(99, 1)), "kind-2")):
        with pytest.raises(BadInput) as wrong:
            work.save_pattern(set_up, work.PatternAnswer("x", rows), 1, NOW)
        assert wrong.value.field == field
    with pytest.raises(BadInput, match="Choose a pattern"):
        work.save_job(set_up, work.JobAnswer(9, "x", "y", 1, None), 1, NOW)
    with set_up.reading() as session:
        assert shop_row(session).first_day == "pattern"


def test_going_back_never_loses_the_place(set_up: Store) -> None:
    """Two steps left out, then one of them done: what is next stays next; the last one ends it."""
    for step in ("people", "rooms"):
        with set_up.writing() as session:
            go_on(session, step)
    assert shop.save_people(set_up, ["Nel"], None, NOW)[0] == "stations"
    with set_up.writing() as session:
        assert go_on(session, "job") is None
        assert go_on(session, "shop") is None
        with pytest.raises(NotFound):
            go_on(session, "paint")


def test_before_there_is_a_shop_no_other_step_can_be_taken(store: Store) -> None:
    with pytest.raises(NotFound, match="isn't set up"):
        things.save_recipes(store, ["wiping oil"], None, NOW)
    assert count(store, RecipeRow) == 0


def test_the_steps_stand_in_a_row() -> None:
    lines = step_lines("rooms", here="people")
    assert [line.key for line in lines] == list(STEPS)
    assert [line.state for line in lines[:4]] == ["passed", "passed", "next", "to come"]
    assert [line.key for line in lines if line.here] == ["people"]
    assert {line.state for line in step_lines(None)} == {"passed"}
