"""The forms of a job's pages: what is read from them, and each mistake beside its field."""

from datetime import date

import pytest

from shoptrack.errors import BadInput
from shoptrack.web.job_fields import day_said, read_cost, read_described

TODAY = date(2026, 11, 25)
WORDS = {"title": " tray,  elm ", "customer": "Odile Marr", "pieces": "6"}
COST = {"kind": "material", "cost_words": "elm", "spent_on": "2026-11-20", "cost": "12.50"}


def test_words_are_read() -> None:
    said = read_described({**WORDS, "deposit": "0", "price": "", "must_keep": "yes", "notes": "a\nb"}, "USD")
    assert (said.title, said.pieces, said.must_keep, said.notes) == ("tray, elm", 6, True, "a\nb")
    assert (said.price_cents, said.deposit_cents, said.deposit_on) == (None, None, None)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("title", ""),
        ("customer", " "),
        ("pieces", "0"),
        ("price", "dear"),
        ("deposit", "-5"),
        ("deposit_on", "x"),
    ],
)
def test_a_mistake_names_its_field(field: str, value: str) -> None:
    with pytest.raises(BadInput) as wrong:
        read_described({**WORDS, field: value}, "USD")
    assert wrong.value.field == field


def test_a_cost_is_read() -> None:
    spent = read_cost({**COST, "quantity": "2,5", "material": "3"}, "USD", TODAY)
    assert (spent.cents, spent.quantity, spent.material_id, spent.spent_on.day) == (1250, 2.5, 3, 20)
    assert read_cost({**COST, "spent_on": "", "cost": ""}, "USD", TODAY).spent_on == TODAY


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("kind", "bribe"),
        ("kind", ""),
        ("spent_on", "2026-11-26"),
        ("quantity", "-1"),
        ("material", "x"),
        ("cost", "1.234"),
    ],
)
def test_a_mistake_in_a_cost_names_its_field(field: str, value: str) -> None:
    with pytest.raises(BadInput) as wrong:
        read_cost({**COST, field: value}, "USD", TODAY)
    assert wrong.value.field == field


def test_a_day_to_come_is_not_over() -> None:
    assert day_said({"on": "2026-11-25"}, "on", "The day", TODAY) == TODAY
    with pytest.raises(BadInput, match="still to come"):
        day_said({"on": "2027-01-01"}, "on", "The day", TODAY)
