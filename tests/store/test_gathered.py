"""The wide queries give lines of one form, each kind of thing under its own word."""

from sqlalchemy import true

from shoptrack.store import gathered
from shoptrack.store.db import Store
from tests.store.making import furnish, order


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
