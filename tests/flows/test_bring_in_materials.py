"""Materials from a file: new ones, and none overwritten."""

import pytest

from shoptrack.flows.bring_in import ways_of
from shoptrack.flows.bring_in_materials import NO_WEAR, judging, write
from shoptrack.flows.bring_in_shapes import Already, Found, Judge, RowWrong
from shoptrack.flows.bring_in_sheet import Row
from shoptrack.store.brought_in import MaterialLine, materials
from shoptrack.store.tables import MaterialRow
from tests.joinery import NOW, UNA, Joinery

ELM = {"material": "elm", "unit": "board feet", "price": "9.50", "wear": "1.2"}


def judge_of(joinery: Joinery, mark: str = ".") -> Judge[MaterialLine]:
    with joinery.store.reading() as session:
        return judging(session, ways_of(session, NOW), mark)


def bring(joinery: Joinery, *cells: dict[str, str], mark: str = ".") -> list[Found[MaterialLine] | Already]:
    judge = judge_of(joinery, mark)
    found = [judge(Row(n, one)) for n, one in enumerate(cells, 2)]
    with joinery.store.writing() as session:
        new = [one.item for one in found if isinstance(one, Found)]
        write(session, new, ways_of(session, NOW), UNA, NOW)
    return found


def test_new_materials_come_in_once(joinery: Joinery) -> None:
    bring(joinery, ELM, {"material": "=bog oak 🪵"})
    assert bring(joinery, ELM, {"material": "=bog oak 🪵"}, {"material": "ELM"}) == [Already.THERE] * 3
    with joinery.store.reading() as session:
        ways = ways_of(session, NOW)
        lines = [one.line for one in materials(session, ways.today, NOW)]
    assert lines == [
        MaterialLine("=bog oak 🪵", "", None, 1.0),
        MaterialLine("elm", "board feet", 950, 1.2),
    ]


def test_a_wear_that_is_not_said_starts_as_the_usual_woods(joinery: Joinery) -> None:
    (found,) = bring(joinery, {"material": "ash", "price": "6,25"}, mark=",")
    assert isinstance(found, Found)
    assert (found.item.cents, found.notes) == (625, (NO_WEAR,))


@pytest.mark.parametrize(
    ("cells", "column", "said"),
    [
        ({"price": "10"}, "price", "with another price"),
        ({"wear": "1.3"}, "wear", "with another wear"),
        ({"unit": "m3"}, "unit", "with another unit"),
        ({"material": ""}, "material", "missing"),
        ({"material": "x" * 201}, "material", "longer than"),
        ({"material": "yew", "price": "dear"}, "price", "amount of money"),
        ({"material": "yew", "price": "-1"}, "price", "can’t be meant"),
        ({"material": "yew", "price": "9.505"}, "price", "more decimals"),
        ({"material": "yew", "wear": "0"}, "wear", "above nought"),
        ({"material": "yew", "wear": "-1"}, "wear", "above nought"),
        ({"material": "yew", "wear": "500"}, "wear", "too much"),
        ({"material": "yew", "wear": "hard"}, "wear", "not a number"),
        ({"material": "old pine"}, "material", "put away"),
    ],
)
def test_rows_that_are_refused(joinery: Joinery, cells: dict[str, str], column: str, said: str) -> None:
    bring(joinery, ELM)
    with joinery.store.writing() as session:
        session.add(MaterialRow(name="old pine", unit="board feet", retired_at=NOW))
    with pytest.raises(RowWrong) as refused:
        judge_of(joinery)(Row(2, {**ELM, **cells}))
    wrong = refused.value.wrong[0]
    assert wrong.column == column
    assert said in wrong.sentence


def test_a_material_twice_in_a_file_with_two_prices_is_refused(joinery: Joinery) -> None:
    judge = judge_of(joinery)
    assert isinstance(judge(Row(2, ELM)), Found)
    assert judge(Row(3, ELM)) is Already.THERE
    with pytest.raises(RowWrong) as refused:
        judge(Row(4, {**ELM, "price": "11"}))
    assert "twice" in refused.value.wrong[0].sentence
