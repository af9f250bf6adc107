"""Customers and materials as plain lines, and such lines written down."""

from datetime import date, timedelta

from shoptrack.store.brought_in import (
    WHY,
    BroughtCustomer,
    MaterialLine,
    add_customers,
    add_materials,
    customers,
    materials,
)
from shoptrack.store.customers import Called
from shoptrack.store.edits import history
from shoptrack.store.tables import CustomerRow, MaterialPriceRow, MaterialWearRow
from tests.joinery import NOW, UNA, Joinery

ODILE = Called("Odile Marr", "", "odile@example.com", "555 0117", "4 Mill Lane", "")


def test_customers_are_added_and_filled_in_with_their_history(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        session.add(CustomerRow(name="Odile Marr", retired_at=NOW))
        session.flush()
        add_customers(session, [BroughtCustomer(ODILE, 1), BroughtCustomer(ODILE)], UNA, NOW)
    with joinery.store.reading() as session:
        first, second = customers(session)
        assert (first.line, first.id, first.retired) == (ODILE, 1, True)
        assert (second.line, second.id, second.retired) == (ODILE, 2, False)
        assert [edit.field for edit in history(session, "customers", 2)] == ["made"]
        changed = history(session, "customers", 1)
    assert [(edit.field, edit.after, edit.why) for edit in changed] == [
        ("email", "odile@example.com", WHY),
        ("phone", "555 0117", WHY),
        ("address", "4 Mill Lane", WHY),
    ]


def test_materials_count_as_of_a_day(joinery: Joinery) -> None:
    today = date(2026, 11, 25)
    with joinery.store.writing() as session:
        lines = [MaterialLine("elm", "board feet", 950, 1.2), MaterialLine("ash", "", None, None)]
        add_materials(session, lines, today, UNA, NOW)
        session.add(MaterialPriceRow(material_id=1, from_on=date(2027, 1, 1), cents=1100))
        session.add(MaterialWearRow(material_id=1, from_at=NOW + timedelta(days=9), factor=1.4))
    with joinery.store.reading() as session:
        assert [one.line for one in materials(session, today, NOW)] == [
            MaterialLine("ash", "", None, 1.0),
            MaterialLine("elm", "board feet", 950, 1.2),
        ]
        later = {
            one.line.name: one.line for one in materials(session, date(2027, 1, 1), NOW + timedelta(days=9))
        }
        before = next(one for one in materials(session, date(2026, 1, 1), NOW) if one.line.name == "elm")
        assert [edit.person_id for edit in history(session, "materials", 1)] == [UNA]
        starting = {row.material_id: row.starting for row in session.query(MaterialWearRow).all()}
    assert (later["elm"].cents, later["elm"].wear) == (1100, 1.4)
    assert before.line.cents is None
    assert (starting[1], starting[2]) == (False, True)
