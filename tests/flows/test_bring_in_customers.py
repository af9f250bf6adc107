"""Customers from a file: new, known, filled in, or refused because another thing is known of them."""

import pytest

from shoptrack.flows.bring_in import ways_of
from shoptrack.flows.bring_in_customers import FILLED_IN, judging, write
from shoptrack.flows.bring_in_shapes import Already, Found, Judge, RowWrong
from shoptrack.flows.bring_in_sheet import Row
from shoptrack.store.brought_in import BroughtCustomer, customers
from shoptrack.store.edits import history
from shoptrack.store.tables import CustomerRow
from tests.joinery import NOW, UNA, Joinery

ODILE = {
    "name": "Odile Marr",
    "contact": "",
    "email": "odile@example.com",
    "phone": "555 0117",
    "address": "4 Mill Lane\nFernbridge",
    "notes": "=rings before noon",
}


def judge_of(joinery: Joinery) -> Judge[BroughtCustomer]:
    with joinery.store.reading() as session:
        return judging(session, ways_of(session, NOW), ".")


def there(joinery: Joinery, *rows: CustomerRow) -> None:
    with joinery.store.writing() as session:
        session.add_all(rows)


def bring(joinery: Joinery, *cells: dict[str, str]) -> list[Found[BroughtCustomer] | Already]:
    judge = judge_of(joinery)
    found = [judge(Row(n, one)) for n, one in enumerate(cells, 2)]
    with joinery.store.writing() as session:
        new = [one.item for one in found if isinstance(one, Found)]
        write(session, new, ways_of(session, NOW), UNA, NOW)
    return found


def test_new_customers_come_in_with_their_history_and_only_once(joinery: Joinery) -> None:
    other = {"name": "Odile Marr", "phone": "555 0118"}
    (first, second) = bring(joinery, ODILE, other)
    assert isinstance(first, Found)
    assert isinstance(second, Found)  # two of one name
    assert bring(joinery, ODILE, other, ODILE) == [Already.THERE] * 3
    with joinery.store.reading() as session:
        lines = [one.line for one in customers(session)]
        made = history(session, "customers", 1)
    assert [line.phone for line in lines] == ["555 0117", "555 0118"]
    assert lines[0].notes == "=rings before noon"
    assert [(edit.field, edit.person_id, edit.why) for edit in made] == [
        ("made", UNA, "brought in from a file")
    ]


def test_the_same_row_twice_in_a_file_is_one_customer(joinery: Joinery) -> None:
    assert bring(joinery, ODILE, ODILE)[1] is Already.THERE


def test_a_customer_known_by_name_alone_is_filled_in(joinery: Joinery) -> None:
    there(joinery, CustomerRow(name="Odile Marr", phone="555 0117"))
    (found,) = bring(joinery, {**ODILE, "name": "odile  marr"})
    assert isinstance(found, Found)
    assert found.notes == (FILLED_IN,)
    with joinery.store.reading() as session:
        (only,) = customers(session)
        changed = {edit.field for edit in history(session, "customers", 1)}
    assert (only.line.name, only.line.email) == ("Odile Marr", "odile@example.com")
    assert changed == {"email", "address", "notes"}
    assert bring(joinery, ODILE) == [Already.THERE]


@pytest.mark.parametrize(
    ("known", "column", "said"),
    [
        (CustomerRow(name="Odile Marr", phone="555 0000"), "phone", "with another phone"),
        (CustomerRow(name="Odile Marr", email="o@example.com"), "email", "with another email"),
        (CustomerRow(name="Odile Marr", notes="pays late"), "notes", "with other notes"),
        (CustomerRow(name="Odile Marr", retired_at=NOW), "name", "customer of that name already"),
    ],
)
def test_what_is_known_otherwise_is_never_overwritten(
    joinery: Joinery, known: CustomerRow, column: str, said: str
) -> None:
    there(joinery, known)
    with pytest.raises(RowWrong) as refused:
        judge_of(joinery)(Row(2, ODILE))
    (wrong,) = refused.value.wrong
    assert wrong.column == column
    assert said in wrong.sentence


def test_one_of_several_of_a_name_is_not_guessed_at(joinery: Joinery) -> None:
    there(joinery, CustomerRow(name="Odile Marr"), CustomerRow(name="Odile Marr"))
    with pytest.raises(RowWrong) as refused:
        judge_of(joinery)(Row(2, ODILE))
    assert refused.value.wrong[0].column == "name"


def test_two_rows_do_not_fill_one_customer(joinery: Joinery) -> None:
    there(joinery, CustomerRow(name="Odile Marr"))
    judge = judge_of(joinery)
    assert isinstance(judge(Row(2, ODILE)), Found)
    with pytest.raises(RowWrong):
        judge(Row(3, {**ODILE, "phone": "555 0199"}))


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"name": ""}, "name"),
        ({"name": "  "}, "name"),
        ({"name": "x" * 201}, "name"),
        ({"email": "x" * 201}, "email"),
        ({"notes": "x" * 4001}, "notes"),
        ({"address": "x" * 4001}, "address"),
    ],
)
def test_rows_that_are_refused(joinery: Joinery, cells: dict[str, str], column: str) -> None:
    with pytest.raises(RowWrong) as refused:
        judge_of(joinery)(Row(2, {**ODILE, **cells}))
    assert [wrong.column for wrong in refused.value.wrong] == [column]
