"""What is bought: a price of the day or a typed one, waste on materials, and lines of the last quote."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.learning import learned
from shoptrack.flows.quoting import drafts
from shoptrack.flows.quoting.lines import priced, proposed
from shoptrack.flows.quoting.wanted import Wanted, WantedLine
from shoptrack.flows.quoting.work_out import work_out
from shoptrack.store.tables import MaterialRow
from tests.flows.quoting.shop import FORM, made, tray, worked_out
from tests.joinery import NOW, Joinery


def test_a_material_has_the_price_of_the_day_and_the_shops_waste(joinery: Joinery, wood: int) -> None:
    """6.5 board feet at 11.50 with a fifth on top are 89.70, priced on the 25th of November."""
    cherry, handles = worked_out(joinery, tray(joinery, wood)).bought
    assert (cherry.cents_each, cherry.waste_bp, cherry.cents) == (1150, 2000, 8970)
    assert (cherry.priced_on, cherry.price_from_on) == (date(2026, 11, 25), date(2026, 3, 2))
    assert (cherry.unit, cherry.words) == ("board feet", "cherry, 5/4")
    assert (handles.cents, handles.waste_bp, handles.priced_on) == (1500, 0, None)


def test_a_later_price_counts_from_its_day(joinery: Joinery, wood: int) -> None:
    known, later = learned(joinery.store, NOW), NOW + timedelta(days=10)
    with joinery.store.reading() as session:
        found = work_out(session, known, tray(joinery, wood), form_id=FORM, now=later)
    assert (found.bought[0].cents_each, found.bought[0].priced_on) == (1300, date(2026, 12, 5))


def test_a_typed_price_and_waste_win(joinery: Joinery, wood: int) -> None:
    line = WantedLine("material", "", 10, cents_each=900, waste_bp=500, material=wood)
    (found,) = worked_out(joinery, tray(joinery, wood, bought=(line,))).bought
    assert (found.words, found.cents, found.priced_on, found.price_from_on) == ("cherry", 9450, None, None)


def test_lines_add_up_to_the_cent(joinery: Joinery, wood: int) -> None:
    """Three times a third of a cent is one cent, and it is on one of the lines."""
    third = WantedLine("other", "screws", 0.1, cents_each=3, waste_bp=1111)
    found = worked_out(joinery, tray(joinery, wood, bought=(third,) * 3))
    assert sum(line.cents for line in found.bought) == found.worked.bought_cents
    exact = 3 * Decimal("0.1") * 3 * Decimal("1.1111")
    assert found.worked.bought_cents == round(exact)


@pytest.mark.parametrize(
    ("line", "field"),
    [
        (WantedLine("gold", "x", 1, 1), "bought-1-kind"),
        (WantedLine("other", "", 1, 1), "bought-1-words"),
        (WantedLine("other", "x", 0, 1), "bought-1-quantity"),
        (WantedLine("other", "x", float("nan"), 1), "bought-1-quantity"),
        (WantedLine("other", "x", 1), "bought-1-each"),
        (WantedLine("other", "x", 1, -1), "bought-1-each"),
        (WantedLine("other", "x", 1, 1, 30_001), "bought-1-waste"),
        (WantedLine("material", "x", 1, material=99), "bought-1-material"),
    ],
)
def test_a_line_that_cannot_be_is_named(joinery: Joinery, wood: int, line: WantedLine, field: str) -> None:
    fine = WantedLine("other", "x", 1, 1)
    with joinery.store.reading() as session, pytest.raises(BadInput) as refused:
        priced(session, (fine, line), 2000, NOW.date())
    assert refused.value.field == field


def test_a_material_without_a_price_asks_for_one(joinery: Joinery, wood: int) -> None:
    with joinery.store.writing() as session:
        session.add(MaterialRow(id=77, name="ebony"))
    with pytest.raises(BadInput, match="no price for ebony yet"):
        worked_out(joinery, tray(joinery, wood, bought=(WantedLine("material", "", 1, material=77),)))


def test_the_last_quote_of_a_pattern_proposes_its_lines(joinery: Joinery, wood: int) -> None:
    """Two trays took 6.5 feet and 4 handles; three take 9.75 and 6, and the trip outside stays one."""
    outside = WantedLine("outside work", "engraving", 1, cents_each=8000)
    wanted = tray(joinery, wood)
    made(joinery, replace(wanted, bought=(*wanted.bought, outside)))
    with joinery.store.reading() as session:
        found = proposed(session, 1, 3)
        begun = drafts.begin(session, 1, 3)
    assert [(line.words, line.quantity, line.cents_each) for line in found] == [
        ("cherry, 5/4", 9.75, None),
        ("handles", 6, 375),
        ("engraving", 1, 8000),
    ]
    assert begun == Wanted("", "tray", 3, joinery.revisions["tray"], bought=found)


def test_a_pattern_never_quoted_proposes_nothing(joinery: Joinery, wood: int) -> None:
    with joinery.store.reading() as session:
        assert proposed(session, 1, 2) == ()
        assert drafts.begin(session, 99) is None
