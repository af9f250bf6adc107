"""The wide queries give lines of one form, each kind of thing under its own word."""

from datetime import time
from typing import Any

from sqlalchemy import false, true
from sqlalchemy.orm import Session

from shoptrack.store import gathered
from shoptrack.store.awaited import add_awaited
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.overtime import say_overtime
from shoptrack.store.skills import say_never
from shoptrack.store.stage_pins import set_pin
from shoptrack.store.tables import PersonRow, StageRow
from tests.store.making import NOW, furnish, order


def test_named_things_are_those_of_five_tables_and_the_shop(store: Store) -> None:
    with store.writing() as session:
        furnish(session)
        lines = session.execute(gathered.named_things()).all()
    words = [(line.what, line.name) for line in lines]
    assert words == [
        ("person", "Ann"),
        ("person", "Ben"),
        ("pool", "80 cm"),
        ("room", "bench room"),
        ("shop", "Europe/Berlin"),
        ("station", "planer"),
        ("tool", "quarter-inch bit"),
    ]


def test_what_a_person_never_does_and_where_there_is_room(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        say_never(session, session.get_one(PersonRow, made.ben), [made.kind], None, NOW)
        lines = session.execute(gathered.named_things()).all()
    (never,) = [line for line in lines if line.what == "never"]
    assert (never.id, never.number) == (made.ben, made.kind)
    assert [(line.places, line.stays) for line in lines if line.what == "station"] == [(1, False)]


def test_overtime_has_its_day_and_its_hours(store: Store) -> None:
    on = NOW.date()
    with store.writing() as session:
        made = furnish(session)
        said: dict[str, Any] = {
            "on": on,
            "opens": time(17),
            "closes": time(19),
            "reason": "",
            "who": None,
            "now": NOW,
        }
        say_overtime(session, person=made.ann, **said)
        lines = session.execute(gathered.dated_facts()).all()
    (line,) = [line for line in lines if line.what == "overtime"]
    assert (line.owner, line.from_on, line.opens, line.closes) == (made.ann, on, time(17), time(19))


def test_what_is_planned_by_a_day(store: Store) -> None:
    on = NOW.date()
    with store.writing() as session:
        job, (mill, *_) = order(session, furnish(session))
        add_awaited(session, job, what="lumber", stage=mill, expected_on=on, after=0, who=None, now=NOW)
        set_pin(session, mill, on, None, today=on, who=None, now=NOW)
        awaited, pin = by_day(session)
        assert session.execute(gathered.demands(false())).all() == []
        edit(session, session.get_one(StageRow, mill), None, NOW, removed_at=NOW)
        assert by_day(session) == []
    assert (awaited.what, awaited.other, awaited.stage_id, awaited.words) == ("awaited", job, mill, "lumber")
    assert (awaited.agreed_on, awaited.day_on, awaited.came_on) == (on, on, None)
    assert (pin.what, pin.other, pin.stage_id, pin.day_on, pin.number) == ("pin", job, mill, on, None)


def by_day(session: Session) -> list[Any]:
    lines = session.execute(gathered.demands(true())).all()
    return [line for line in lines if line.what in ("awaited", "pin")]


def test_dated_facts_keep_numbers_days_and_hours_apart(store: Store) -> None:
    with store.writing() as session:
        furnish(session)
        lines = session.execute(gathered.dated_facts()).all()
    by = {what: [line for line in lines if line.what == what] for what in ("warmth", "rule", "owned", "week")}
    assert [len(by[what]) for what in by] == [12, 1, 1, 12]  # five days of two spans, two days of none
    assert (by["rule"][0].a, by["rule"][0].b, by["rule"][0].from_on) == (10.0, 5.0, None)
    assert (by["owned"][0].number, by["owned"][0].opens) == (12, None)
    assert by["week"][0].opens < by["week"][0].closes


def test_demands_are_needs_clamps_and_tools(store: Store) -> None:
    with store.writing() as session:
        order(session, furnish(session))
        lines = session.execute(gathered.demands(true())).all()
    assert [line.what for line in lines] == ["clamp", "need", "need", "tool"]
    assert lines[3].a == 0.5
