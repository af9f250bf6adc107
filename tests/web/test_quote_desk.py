"""What a quote's form shows beside what is typed, and the fields it begins with."""

from datetime import date

import pytest

from shoptrack.errors import NotFound, Refused
from shoptrack.flows.quoting import answers
from shoptrack.web.quote_desk import begun, desk_of, taken_up
from shoptrack.web.render import Wall
from tests.flows.quoting.shop import made, price_all, tray
from tests.joinery import NOW, UNA, Joinery

TODAY = date(2026, 11, 25)


@pytest.fixture
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


def test_a_new_quote_begins_with_its_pattern(joinery: Joinery, wood: int) -> None:
    """Its measures are told, each list has a line to write in, and the shop's terms stand beside."""
    with joinery.store.reading() as session:
        fields = begun(session, "1", Wall())
        desk = desk_of(session, fields, None, Wall(), TODAY)
    assert (fields["title"], fields["pieces"], fields["bought-lines"]) == ("tray", "1", "1")
    assert [(m.name, m.unit, m.fixed, m.per_piece) for m in desk.measures][:1] == [
        ("milling", "boards", 0, 2)
    ]
    assert (desk.heading, desk.address, desk.pattern_name) == ("A new quote", "/quotes/new", "tray")
    assert (desk.terms.margin_bp, desk.taken_over, desk.board_unit) == (2500, None, "board foot")
    assert ("m1", "cherry, by board feet") in desk.kinds_bought
    assert desk.has_field("measure-1")
    assert desk.has_field("bought-0-each")
    assert not any(desk.has_field(name) for name in ("measure-77", "pattern", "bought-0-secret", ""))


def test_without_a_pattern(joinery: Joinery, wood: int) -> None:
    with joinery.store.reading() as session:
        fields = begun(session, "none", Wall())
        desk = desk_of(session, fields, None, Wall(length_unit="mm"), TODAY)
        for nowhere in ("7", "x", "²"):
            with pytest.raises(NotFound):
                begun(session, nowhere, Wall())
    assert (desk.measures, desk.pattern, desk.board_unit) == ((), None, "m³")
    assert fields["stage-lines"] == "1"


def test_a_quote_is_taken_up_as_it_is_until_it_is_answered(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    with joinery.store.reading() as session:
        fields = taken_up(session, quote, Wall())
        desk = desk_of(session, fields, quote, Wall(), TODAY)
        fresh = begun(session, "1", Wall())
        assert desk_of(session, fresh, None, Wall(), TODAY).taken_over == quote
    assert (fields["base"], fields["customer"], fields["bought-1-words"]) == ("1", "Odile Marr", "handles")
    assert (desk.heading, desk.taken_over) == (f"Quote {quote}, the next revision", None)
    assert (fresh["pieces"], fresh["bought-0-quantity"]) == ("2", "6.5")
    answers.turn_down(joinery.store, quote, 1, "no", UNA, NOW)
    with joinery.store.reading() as session, pytest.raises(Refused):
        taken_up(session, quote, Wall())
