"""One row's cells, and what is wrong with them gathered."""

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_shapes import Look, Reading, RowWrong, Wrong
from shoptrack.flows.bring_in_sheet import EXTRA, Row


def refuse(text: str) -> int:
    raise BadInput(f"{text} is wrong.")


def test_all_that_is_wrong_with_a_row_is_gathered() -> None:
    reading = Reading(Row(7, {"kind": "glue", "minutes": "x"}))
    assert reading.read("kind", str.upper, "") == "GLUE"
    assert reading.read("minutes", refuse, 5) == 5
    assert reading.read("job", refuse, 6) == 6
    with pytest.raises(RowWrong) as wrong:
        reading.settle()
    assert wrong.value.wrong == (Wrong(7, "minutes", "x is wrong."), Wrong(7, "job", " is wrong."))


def test_a_row_with_nothing_wrong_is_settled() -> None:
    Reading(Row(7, {})).settle()


def test_cells_beyond_the_last_column_are_wrong_at_once() -> None:
    assert [wrong.column for wrong in Reading(Row(7, {EXTRA: "and ash"})).wrong] == [""]


def test_a_row_with_two_wrong_cells_is_refused_once() -> None:
    wrong = (Wrong(2, "a", "."), Wrong(2, "b", "."), Wrong(5, "a", "."))
    assert Look(9, (1,), 0, wrong, ()).refused == 2
