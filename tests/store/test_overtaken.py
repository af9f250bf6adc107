"""A form from before another's change is refused by name; the same form again, and a fresh one, pass."""

import pytest

from shoptrack.errors import ChangedMeanwhile
from shoptrack.store import customers
from shoptrack.store.customers import Called
from shoptrack.store.edits import edit
from shoptrack.store.histories import lines_about, lines_about_week
from shoptrack.store.hours import say_week
from shoptrack.store.overtaken import newest_line, not_overtaken
from shoptrack.store.tables import CustomerRow, PoolRow
from tests.joinery import DAY, NOW, PIET, UNA, Joinery


def customer(joinery: Joinery) -> int:
    with joinery.store.writing() as session:
        return customers.add_customer(session, Called("Ola Fen"), UNA, NOW).id


def write(joinery: Joinery, id_: int, seen: int | None, who: int, **values: str) -> None:
    """What a form does that was shown when ``seen`` was the newest change."""
    with joinery.store.writing() as session:
        row = customers.customer_row(session, id_)
        with not_overtaken(session, lines_about(row), seen):
            edit(session, row, who, NOW, **values)


def newest(joinery: Joinery) -> int:
    with joinery.store.reading() as session:
        return newest_line(session)


def test_what_was_changed_meanwhile_is_told_by_whom_and_stays(joinery: Joinery) -> None:
    """Una's form is older than Piet's telephone number: hers is given up, with his name and what it was."""
    ola = customer(joinery)
    seen = newest(joinery)
    write(joinery, ola, seen, PIET, phone="17")
    with pytest.raises(ChangedMeanwhile, match=r"^Piet changed this after you opened it \(phone\)\."):
        write(joinery, ola, seen, UNA, phone="", notes="rings twice")
    with joinery.store.reading() as session:
        row = session.get_one(CustomerRow, ola)
        assert (row.phone, row.notes) == ("17", "")
    write(joinery, ola, newest(joinery), UNA, notes="rings twice")


def test_two_of_them_are_somebody(joinery: Joinery) -> None:
    ola = customer(joinery)
    seen = newest(joinery)
    write(joinery, ola, None, PIET, phone="17")
    write(joinery, ola, None, UNA, email="ola@fen.example")
    with pytest.raises(ChangedMeanwhile, match=r"^Somebody changed this .*\(phone, email\)"):
        write(joinery, ola, seen, UNA, phone="")


def test_a_form_sent_twice_and_one_that_changes_nothing_pass(joinery: Joinery) -> None:
    ola = customer(joinery)
    seen = newest(joinery)
    write(joinery, ola, seen, UNA, phone="17")
    write(joinery, ola, seen, UNA, phone="17")


def test_a_place_in_the_list_overtakes_no_form(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        row = session.get_one(PoolRow, 1)
        seen = newest_line(session)
        edit(session, row, PIET, NOW, retired_at=NOW)
        with not_overtaken(session, lines_about(row), seen):
            edit(session, row, UNA, NOW, name="long ones")


def test_only_the_fields_that_the_form_writes_count(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        row = session.get_one(PoolRow, 1)
        seen = newest_line(session)
        edit(session, row, PIET, NOW, reach_mm=900)
        with not_overtaken(session, lines_about(row), seen, ("name",)):
            edit(session, row, UNA, NOW, name="long ones")
        with (
            pytest.raises(ChangedMeanwhile, match=r"\(reach\)"),
            not_overtaken(session, lines_about(row), seen, ("reach_mm",)),
        ):
            edit(session, row, UNA, NOW, reach_mm=1000)


def test_the_week_of_another_overtakes_nobody(joinery: Joinery) -> None:
    """The shop's week is said anew while Piet's form lies open; then his own is."""
    on = NOW.date()
    days = (*([DAY] * 4), (), (), ())

    def say(person: int | None, seen: int, gone: int) -> None:
        said = tuple(() if n == gone else day for n, day in enumerate(days))
        with joinery.store.writing() as session, not_overtaken(session, lines_about_week(person), seen):
            say_week(session, from_on=on, days=said, person=person, who=UNA, now=NOW)

    seen = newest(joinery)
    say(None, seen, 6)
    say(PIET, seen, 0)
    with pytest.raises(ChangedMeanwhile, match=r"\(week\)"):
        say(PIET, seen, 1)
