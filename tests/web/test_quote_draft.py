"""The lists of a quote's form: a line more, a line less, and which of them say something."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.web.quote_draft import (
    MOST_LINES,
    ROWS,
    closed_up,
    lines,
    of_material,
    turned,
    with_line,
)

TWO = {
    "bought-lines": "2",
    "bought-0-words": "ash",
    "bought-0-kind": "material",
    "bought-1-words": "hinges",
    "bought-1-kind": "hardware",
    "bought-1-quantity": "4",
    "title": "a box",
}


def test_a_line_is_added_and_another_taken_out() -> None:
    """The lines after it move up, whatever else is typed stays."""
    more = turned(TWO, "add-bought")
    assert lines(more, "bought") == 3
    assert more["bought-1-words"] == "hinges"
    less = turned(more, "out-bought-0")
    assert lines(less, "bought") == 2
    assert (less["bought-0-words"], less["bought-0-kind"], less["bought-0-quantity"]) == (
        "hinges",
        "hardware",
        "4",
    )
    assert less.get("bought-1-words", "") == ""
    assert less["title"] == "a box"


@pytest.mark.parametrize(
    "button", ["", "out-bought-7", "out-bought-x", "add-nothing", "out-", "-", "out-bought-²"]
)
def test_other_buttons_change_nothing(button: str) -> None:
    assert turned(TWO, button) == TWO


def test_there_is_an_end_to_adding() -> None:
    full = {"option-lines": str(MOST_LINES)}
    with pytest.raises(BadInput, match="at most 60 lines"):
        turned(full, "add-option")
    assert lines({"option-lines": "999"}, "option") == MOST_LINES


def test_lines_that_say_nothing_are_closed_up() -> None:
    """A kind that is there by itself says nothing; a material of the list does."""
    typed = {
        **{
            "bought-lines": "4",
            "bought-0-kind": "hardware",
            "bought-1-kind": "m3",
            "bought-2-kind": "material",
        },
        **{"bought-2-words": " ", "bought-3-kind": "other", "bought-3-each": "4"},
        **{"charge-lines": "2", "charge-0-kind": "rush", "charge-1-kind": "delivery", "charge-1-price": "8"},
        **{"stage-lines": "1", "stage-0-kind": "2"},
    }
    found = closed_up(typed)
    assert [lines(found, name) for name in ("bought", "charge", "stage", "option")] == [2, 1, 1, 0]
    assert (found["bought-0-kind"], found["bought-1-each"]) == ("m3", "4")
    assert found["charge-0-price"] == "8"


def test_a_reckoned_line_takes_the_first_free_place() -> None:
    typed = {**turned(TWO, "add-bought"), "bought-2-kind": "material"}
    found = with_line(typed, "bought", {"words": "oak, 5/4 rough"})
    assert lines(found, "bought") == 3
    assert found["bought-2-words"] == "oak, 5/4 rough"
    assert lines(with_line(found, "bought", {"words": "ash"}), "bought") == 4


@given(st.lists(st.text(alphabet="ab ", max_size=3), max_size=8), st.integers(0, 9))
def test_taking_out_leaves_the_others_in_their_order(words: list[str], gone: int) -> None:
    typed = {"option-lines": str(len(words))} | {f"option-{n}-words": w for n, w in enumerate(words)}
    left = turned(typed, f"out-option-{gone}")
    shown = [left[f"option-{n}-words"] for n in range(lines(left, "option"))]
    assert shown == [w for n, w in enumerate(words) if n != gone]
    assert set(ROWS) == {"stage", "bought", "charge", "option"}


def test_what_a_choice_means() -> None:
    assert [of_material(k) for k in ("m3", "material", "m", "m9999999999", "hardware", "")] == [
        3,
        *[None] * 5,
    ]
