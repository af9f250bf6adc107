"""The reckoner of boards on a quote's form: a size typed becomes a line to buy, in the shop's own units."""

import pytest

from shoptrack.errors import BadInput
from shoptrack.web.quote_boards import with_boards
from shoptrack.web.quote_draft import lines
from shoptrack.web.render import Wall

TYPED = {
    "boards-thickness": "3/4", "boards-width": "5 7/8", "boards-length": "3' 11", "boards-count": "10",
    "boards-words": "ash", "boards-each": "9.80", "title": "a door",
}  # fmt: skip


def test_a_size_becomes_a_line_with_its_rough_thickness_said() -> None:
    """What is the same for the next part stays, the rest of its size is typed anew."""
    found = with_boards(TYPED, Wall())
    assert lines(found, "bought") == 1
    assert {part: found[f"bought-0-{part}"] for part in ("words", "kind", "quantity", "unit", "each")} == {
        "words": "ash, 4/4 rough",
        "kind": "material",
        "quantity": "20",
        "unit": "board feet",
        "each": "9.80",
    }
    assert (found["boards-thickness"], found["boards-words"], found["boards-width"]) == ("3/4", "ash", "")
    assert found["title"] == "a door"


def test_in_millimetres() -> None:
    typed = {
        **TYPED,
        "boards-thickness": "20",
        "boards-width": "100",
        "boards-length": "1000",
        "boards-words": "",
    }
    found = with_boards(typed, Wall(length_unit="mm"))
    assert (found["bought-0-words"], found["bought-0-unit"]) == ("boards, 26 mm rough", "m³")


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"boards-thickness": ""}, "boards-thickness"),
        ({"boards-width": "wide"}, "boards-width"),
        ({"boards-count": "0"}, "boards-count"),
        ({"boards-thickness": "20"}, "boards-thickness"),
    ],
)
def test_what_is_wrong_is_said_of_its_field(typed: dict[str, str], field: str) -> None:
    with pytest.raises(BadInput) as wrong:
        with_boards({**TYPED, **typed}, Wall())
    assert wrong.value.field == field
