"""The form of a new job: what is shown of a pattern and what is read."""

import pytest

from shoptrack.errors import BadInput
from shoptrack.web.new_job import Measured, read_new_job, shown_pattern
from tests.joinery import Joinery

TYPED = {"pattern": "1", "title": " six  trays ", "customer": "Ivo Tarn", "pieces": "6"}


def test_a_patterns_measures_are_shown(joinery: Joinery) -> None:
    shown = shown_pattern(joinery.store, "1")
    assert shown["chosen"] == 1
    assert [name for _, name in shown["patterns"]] == ["door", "tray"]
    assert shown["stages"][0] == Measured(1, "milling", "boards", 0.0, 2.0)
    assert shown["stages"][4] == Measured(5, "oiling", "coats", 3.0, 0.0)


@pytest.mark.parametrize("chosen", ["", "99", "x"])
def test_no_pattern_is_chosen_unasked_where_there_are_two(joinery: Joinery, chosen: str) -> None:
    shown = shown_pattern(joinery.store, chosen)
    assert shown["chosen"] is None
    assert shown["stages"] == ()


def test_what_was_typed_is_read() -> None:
    typed = {
        **TYPED,
        "measure-2": "7.5",
        "measure-3": "",
        "measure-x": "9",
        "must_keep": "yes",
        "price": "420",
    }
    job = read_new_job(typed, "USD")
    assert (job.title, job.pieces, job.must_keep, job.price_cents) == ("six trays", 6, True, 42000)
    assert job.measures == {2: 7.5}
    assert job.promised_on is None


@pytest.mark.parametrize("name", ["pattern", "title", "customer", "pieces"])
def test_what_is_missing_is_named(name: str) -> None:
    with pytest.raises(BadInput) as wrong:
        read_new_job({k: v for k, v in TYPED.items() if k != name}, "USD")
    assert wrong.value.field == name
