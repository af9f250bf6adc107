"""A quote’s form read and filled again: nothing is lost on the way, what is wrong is said of its field."""

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.quoting.wanted import (
    TermsSaid,
    Wanted,
    WantedCharge,
    WantedLine,
    WantedOption,
    WantedStage,
)
from shoptrack.web.quote_fields import fields_of, read_wanted
from shoptrack.web.render import Wall

WALL = Wall()
OF_PATTERN = Wanted(
    customer="Odile Marr",
    title="two trays",
    pieces=2,
    revision=7,
    measures={1: 4.25, 3: 1 / 3},
    bought=(
        WantedLine("material", "cherry", 6.5, material=3, waste_bp=1250),
        WantedLine("hardware", "pins, “brass”", 12, cents_each=45, unit="pieces"),
    ),
    charges=(WantedCharge("delivery", "to the door", 4000), WantedCharge("rush", "by Friday", 5000)),
    options=(WantedOption("feet", 2500, True), WantedOption("a lid", 9000)),
    terms=TermsSaid(2500, 1000, 887.5, "VAT", 5000, 3333, 14, 6150),
    price_at="half",
    price_cents=123_456,
    words="oiled\nby hand",
    notes="straight grain",
)
OF_STAGES = Wanted(
    customer="Ruy Plas",
    title="a shelf",
    stages=(WantedStage(1, 8.5, "boards"), WantedStage(3, 2, "", 1)),
    charges=(WantedCharge("other", "a second coat", 0),),
)


@pytest.mark.parametrize("wanted", [OF_PATTERN, OF_STAGES], ids=["pattern", "stages"])
@pytest.mark.parametrize("wall", [WALL, Wall(currency="KWD", length_unit="mm"), Wall(currency="JPY")])
def test_a_filled_form_says_the_same_again(wanted: Wanted, wall: Wall) -> None:
    assert read_wanted(fields_of(wanted, wall), wall) == wanted


BASE = {**fields_of(OF_STAGES, WALL), "bought-0-kind": "material"}


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"title": " "}, "title", "Its title is missing."),
        ({"customer": ""}, "customer", "The customer is missing."),
        ({"pieces": "0"}, "pieces", "The number of pieces must be a whole number from 1 to 10000."),
        ({"stage-0-kind": ""}, "stage-0-kind", "Choose the kind of stage."),
        ({"stage-1-quantity": ""}, "stage-1-quantity", "The measure is missing."),
        ({"bought-0-each": "4", "bought-0-quantity": "1"}, "bought-0-words", "What is bought is missing."),
        ({"bought-0-words": "ash"}, "bought-0-each", "Say what one costs."),
        ({"bought-0-each": "4", "bought-0-words": "ash"}, "bought-0-quantity", "The quantity is missing."),
        ({"bought-0-each": "4", "bought-0-kind": "gold"}, "bought-0-kind", "Its kind can’t be that."),
        ({"charge-0-price": ""}, "charge-0-price", "Its price is missing."),
        ({"margin": "96"}, "margin", "The margin is at most 95 %."),
        ({"tax": "x"}, "tax", "“x” is not a share: write it like 30 or 8.1 %."),
        ({"tax": "8.8751"}, "tax", "“8.8751” has more than three decimals."),
        ({"price": "-4"}, "price", "That price can’t be meant."),
        ({"valid_days": "0"}, "valid_days", "The days it holds must be a whole number from 1 to 3650."),
        ({"price_at": ""}, "price_at", "What the price stands on is missing."),
    ],
)
def test_what_is_wrong_is_said_of_its_field(typed: dict[str, str], field: str, sentence: str) -> None:
    lines = "1" if any(name.startswith("bought") for name in typed) else "0"
    with pytest.raises(BadInput) as wrong:
        read_wanted({**BASE, "bought-lines": lines, **typed}, WALL)
    assert (wrong.value.field, str(wrong.value)) == (field, sentence)


def test_who_it_is_for_may_be_missing_while_it_is_only_reckoned() -> None:
    found = read_wanted({**fields_of(OF_STAGES, WALL), "customer": ""}, WALL, whole=False)
    assert (found.customer, found.title) == ("", "a shelf")


def test_a_charge_without_words_is_called_by_its_kind_and_a_material_by_its_own() -> None:
    typed = {
        **BASE,
        "bought-lines": "1",
        "charge-0-words": "",
        "bought-0-kind": "m4",
        "bought-0-quantity": "2,5",
    }
    found = read_wanted(typed, WALL)
    assert found.charges[0].words == "other"
    assert found.bought == (WantedLine("material", "", 2.5, material=4),)
