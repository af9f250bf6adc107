"""Customers: two of one name are kept apart, a form sent twice adds one, the retired are not offered."""

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.store import customers
from shoptrack.store.customers import Called
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.jobs import add_job, close_job
from tests.store.making import NOW, furnish


def test_a_form_sent_twice_adds_one_customer(store: Store) -> None:
    """The second press finds what the first made; a fresh form with the same words adds another."""
    fern = Called("Ms Fern", phone="555 0101")
    with store.writing() as session:
        made = furnish(session)
        first, again = (customers.add_customer(session, fern, made.ann, NOW, after=0).id for _ in range(2))
        assert first == again
        after = customers.newest_customer(session)
        assert customers.add_customer(session, fern, made.ann, NOW, after).id != first
        assert [e.person_id for e in history(session, "customers", first)] == [made.ann]


def test_two_of_one_name_are_told_apart(store: Store) -> None:
    with store.writing() as session:
        one, two = (
            customers.add_customer(session, Called(n), None, NOW) for n in ("Odile Marr", "odile marr")
        )
        customers.add_customer(session, Called("Ivo Tarn"), None, NOW)
        offered = customers.names_to_choose(session)
        assert set(offered) == {"Odile Marr (no. 1)", "odile marr (no. 2)", "Ivo Tarn"}
        assert customers.customer_meant(session, "odile marr (no. 2)") is two
        assert customers.chosen_name(session, one) == "Odile Marr (no. 1)"
        with pytest.raises(BadInput, match="2 customers called Odile Marr") as wrong:
            customers.customer_meant(session, "Odile Marr")
        assert wrong.value.field == "customer"
        assert customers.customer_meant(session, "Odile Marr", new=True).id == 4


@pytest.mark.parametrize("typed", ["IVO TARN", "ivo tarn", "Ivo Tarn"])
def test_capitals_make_no_second_customer(store: Store, typed: str) -> None:
    with store.writing() as session:
        ivo = customers.add_customer(session, Called("Ivo Tarn"), None, NOW)
        assert customers.customer_meant(session, typed) is ivo


@pytest.mark.parametrize("typed", ["Fern (no. 99)", "Fern (no. 1)", "Fern (no. 99999999999)", "(no. 1)"])
def test_a_number_that_is_not_theirs_is_part_of_a_name(store: Store, typed: str) -> None:
    with store.writing() as session:
        ivo = customers.add_customer(session, Called("Ivo Tarn"), None, NOW)
        assert customers.customer_meant(session, typed) is not ivo
        assert customers.customer_meant(session, typed).name == typed


def test_the_list_counts_jobs_and_puts_the_retired_last(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        for n in range(2):
            job = add_job(
                session, title=f"tray {n}", customer="Zoe Ash", pieces=1, revision_id=made.revision, now=NOW
            )
        close_job(session, job.id, NOW)
        old = customers.add_customer(session, Called("Abel Birch"), None, NOW)
        customers.retire_customer(session, old.id, False, made.ann, NOW)
        customers.retire_customer(session, old.id, False, made.ann, NOW)
        lines = customers.list_customers(session)
        assert [(c.name, c.jobs, c.open_jobs, c.retired) for c in lines] == [
            ("Zoe Ash", 2, 1, False),
            ("Abel Birch", 0, 0, True),
        ]
        assert customers.names_to_choose(session) == ("Zoe Ash",)
        assert [j.title for j in customers.jobs_of_customer(session, lines[0].id)] == ["tray 1", "tray 0"]
        # retired twice, written down once; and back
        assert len(history(session, "customers", old.id)) == 2
        customers.retire_customer(session, old.id, True, made.ann, NOW)
        assert old.retired_at is None


def test_what_changes_is_written_down_and_what_does_not_is_not(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        row = customers.add_customer(session, Called("Zoe Ash"), None, NOW)
        for _ in range(2):
            customers.change_customer(
                session, row.id, Called("Zoe Ash", email="z@ash.example"), made.ben, NOW
            )
        changed = [(e.field, e.after, e.person_id) for e in history(session, "customers", row.id)[1:]]
        assert changed == [("email", "z@ash.example", made.ben)]
        with pytest.raises(NotFound):
            customers.change_customer(session, 99, Called("x"), None, NOW)
        assert customers.customer_named(session, "Zoe Ash") is row
