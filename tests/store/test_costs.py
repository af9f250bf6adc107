"""Costs beside the hours: an amount, or a quantity at the price of its day; added once, taken back once."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store import costs
from shoptrack.store.costs import Spent
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.tables import CostRow, MaterialPriceRow, MaterialRow
from tests.store.making import NOW, furnish, order

ON = date(2026, 3, 1)


def add(session: Session, job: int, spent: Spent, after: int = 0) -> CostRow:
    return costs.add_cost(session, job, spent, after=after, who=None, now=NOW)


def walnut(session: Session, *prices: tuple[date, int]) -> int:
    row = MaterialRow(name="walnut", unit="board foot")
    session.add(row)
    session.flush()
    session.add_all(MaterialPriceRow(material_id=row.id, from_on=on, cents=cents) for on, cents in prices)
    session.flush()
    return row.id


def test_a_quantity_costs_the_price_of_its_day(store: Store) -> None:
    """12.50 a board foot from January, 14 from March: 10.5 feet in February and on 1 March."""
    with store.writing() as session:
        job = order(session, furnish(session))[0]
        wood = walnut(session, (date(2026, 1, 1), 1250), (ON, 1400))
        early, late = (
            add(session, job, Spent("material", "", on, wood, 10.5)).cents for on in (date(2026, 2, 28), ON)
        )
        assert (early, late) == (13125, 14700)
        assert costs.price_on(session, wood, date(2025, 12, 31)) is None
        with pytest.raises(BadInput, match="no price for walnut on that day") as wrong:
            add(session, job, Spent("material", "", date(2025, 12, 31), wood, 1))
        assert wrong.value.field == "cost"


def test_an_amount_that_was_written_wins(store: Store) -> None:
    with store.writing() as session:
        job = order(session, furnish(session))[0]
        wood = walnut(session, (ON, 1400))
        assert add(session, job, Spent("material", "", ON, wood, 10, cents=9900)).cents == 9900


@pytest.mark.parametrize(
    "spent", [Spent("other", "", ON), Spent("material", "", ON, 1), Spent("material", "", ON, None, 3.0)]
)
def test_neither_an_amount_nor_a_price(store: Store, spent: Spent) -> None:
    with store.writing() as session:
        job = order(session, furnish(session))[0]
        with pytest.raises(BadInput, match="Write the amount"):
            add(session, job, spent)
        with pytest.raises(BadInput, match="no such material"):
            add(session, job, Spent("material", "", ON, 99, 1.0))


def test_a_form_sent_twice_costs_once(store: Store) -> None:
    """The same words from a fresh form are a second cost: two boxes of screws on one day."""
    screws = Spent("hardware", "screws", ON, cents=800)
    with store.writing() as session:
        job = order(session, furnish(session))[0]
        assert add(session, job, screws) is add(session, job, screws)
        add(session, job, screws, after=costs.newest_cost(session, job))
        assert [c.cents for c in costs.costs_of(session, job)] == [800, 800]


def test_a_cost_taken_back_counts_no_longer(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job, other = order(session, made)[0], order(session, made)[0]
        cost = add(session, job, Spent("other", "freight", ON, cents=100))
        with pytest.raises(NotFound):
            costs.take_back(session, other, cost.id, made.ann, NOW)
        for _ in range(2):
            costs.take_back(session, job, cost.id, made.ann, NOW)
        assert costs.costs_of(session, job) == []
        assert [e.field for e in history(session, "costs", cost.id)] == ["made", "retired_at"]


@given(tenths=st.integers(1, 100_000), price=st.integers(0, 10**7))
def test_a_quantity_in_tenths_costs_what_it_does_on_paper(tenths: int, price: int) -> None:
    """Held against whole numbers: tenths times cents, half a cent up."""
    spent = Spent("material", "", ON, 1, tenths / 10)
    assert costs.times_price(spent.quantity or 0.0, price) == (tenths * price * 2 + 10) // 20
