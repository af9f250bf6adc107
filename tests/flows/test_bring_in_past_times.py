"""Rows of past times: taken, known again, or refused by row, field and sentence."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.shapes import Rule
from shoptrack.flows.bring_in import ways_of
from shoptrack.flows.bring_in_past_times import (
    NO_PATTERN,
    NOBODY,
    base_of,
    judging,
    key_of,
    write,
)
from shoptrack.flows.bring_in_shapes import Already, Found, Judge, RowWrong, Wrong
from shoptrack.flows.bring_in_sheet import EXTRA, Row
from shoptrack.store import past_times as store
from shoptrack.store import shop
from shoptrack.store.past_times import PastTime, StageTime
from tests.joinery import LONG_AGO, NOW, UNA, BusyDay, Joinery

GOOD = {
    "finished_on": "2026-04-03",
    "job": "tea trays",
    "pattern": "tray",
    "stage": "glue the bottoms",
    "kind": "glue-up",
    "measure": "6",
    "unit": "joints",
    "minutes": "85",
    "person": "Una",
}
LONG = "x" * 201


def judge_of(joinery: Joinery, mark: str = ".") -> Judge[PastTime]:
    with joinery.store.reading() as session:
        return judging(session, ways_of(session, NOW), mark)


def item(found: Found[PastTime] | Already) -> PastTime:
    assert isinstance(found, Found)
    return found.item


@pytest.fixture
def judge(joinery: Joinery) -> Judge[PastTime]:
    with joinery.store.writing() as session:
        shop.make_kind(session, "sanding", unit="square feet", rule=Rule(5, 5), from_at=LONG_AGO)
    return judge_of(joinery)


def test_a_row_becomes_a_time_with_the_shops_own_ids(joinery: Joinery, judge: Judge[PastTime]) -> None:
    time = item(judge(Row(2, GOOD)))
    assert (time.finished_on, time.quantity, time.minutes) == (date(2026, 4, 3), 6, 85)
    assert (time.kind_id, time.person_id, time.pattern_id) == (joinery.kinds["glue-up"], UNA, 1)
    assert (time.job, time.stage, time.person) == ("tea trays", "glue the bottoms", "Una")
    assert time.row_key == key_of(base_of(time), 0)


def test_names_are_known_whatever_their_capitals_and_space(judge: Judge[PastTime]) -> None:
    time = item(judge(Row(2, {**GOOD, "kind": " Glue-UP ", "person": "una", "pattern": "TRAY "})))
    assert (time.person_id, time.pattern_id) == (UNA, 1)


def test_unknown_people_and_patterns_stay_as_text(judge: Judge[PastTime]) -> None:
    found = judge(Row(2, {**GOOD, "person": "Old Tom 🪵", "pattern": "=sledge"}))
    assert isinstance(found, Found)
    assert (found.item.person, found.item.person_id) == ("Old Tom 🪵", None)
    assert (found.item.pattern, found.item.pattern_id) == ("=sledge", None)
    assert found.notes == (NOBODY, NO_PATTERN)


def test_what_may_be_left_out(judge: Judge[PastTime]) -> None:
    """Without a stage it is called as its kind; without a unit it is in the kind's."""
    needed = {name: GOOD[name] for name in ("finished_on", "kind", "measure", "minutes")}
    time = item(judge(Row(2, needed)))
    assert (time.stage, time.job, time.pattern, time.person) == ("glue-up", "", "", "")


def test_measures_of_the_other_system_are_turned(judge: Judge[PastTime]) -> None:
    time = item(judge(Row(2, {**GOOD, "kind": "sanding", "unit": "m²", "measure": "2"})))
    assert time.quantity == pytest.approx(21.527821)  # 2 / 0.09290304


@pytest.mark.parametrize(
    ("cells", "column", "said"),
    [
        ({"finished_on": ""}, "finished_on", "It is missing."),
        ({"finished_on": "03/04/2026"}, "finished_on", "could be 2026-03-04 or 2026-04-03"),
        ({"finished_on": "03/04/26"}, "finished_on", "is not a date"),
        ({"finished_on": "April"}, "finished_on", "is not a date"),
        ({"finished_on": "46115"}, "finished_on", "is not a date"),
        ({"finished_on": "2026-02-30"}, "finished_on", "There is no such day"),
        ({"finished_on": "2027-01-01"}, "finished_on", "still to come"),
        ({"finished_on": "1026-04-03"}, "finished_on", "too long ago"),
        ({"finished_on": "=TODAY()"}, "finished_on", "is not a date"),
        ({"kind": ""}, "kind", "It is missing; the kinds of stage are: milling"),
        ({"kind": "turning"}, "kind", "no kind of stage called “turning”; there are: milling, glue-up"),
        ({"kind": "<script>"}, "kind", "no kind of stage called “<script>”"),
        ({"kind": "glue up"}, "kind", "no kind of stage called “glue up”"),
        ({"kind": LONG}, "kind", "no kind of stage called"),
        ({"measure": ""}, "measure", "It is missing."),
        ({"measure": "0"}, "measure", "above nought"),
        ({"measure": "-4"}, "measure", "above nought"),
        ({"measure": "some"}, "measure", "is not a number"),
        ({"measure": "1,5"}, "measure", "thousands or decimals"),
        ({"measure": "nan"}, "measure", "is not a number"),
        ({"measure": "inf"}, "measure", "is not a number"),
        ({"measure": "1e999"}, "measure", "is not a number"),
        ({"measure": "99999999999"}, "measure", "too much to be meant"),
        ({"measure": "6 joints"}, "measure", "is not a number"),
        ({"unit": "coats"}, "unit", "“coats”, but this kind of stage is measured in joints"),
        ({"unit": "square feet"}, "unit", "measured in joints"),
        ({"kind": "sanding", "unit": "feet"}, "unit", "measured in square feet"),
        ({"kind": "sanding", "unit": "m3"}, "unit", "measured in square feet"),
        ({"unit": LONG}, "unit", "measured in joints"),
        ({"minutes": ""}, "minutes", "It is missing."),
        ({"minutes": "0"}, "minutes", "above nought"),
        ({"minutes": "-85"}, "minutes", "above nought"),
        ({"minutes": "1,250"}, "minutes", "thousands or decimals"),
        ({"minutes": "1:99"}, "minutes", "is not a length of time"),
        ({"minutes": "a while"}, "minutes", "is not a length of time"),
        ({"minutes": "3 years"}, "minutes", "is not a number"),
        ({"minutes": "600000"}, "minutes", "too much to be meant"),
        ({"job": LONG}, "job", "longer than 200 letters"),
        ({"pattern": LONG}, "pattern", "longer than 200 letters"),
        ({"stage": LONG}, "stage", "longer than 200 letters"),
        ({"person": LONG}, "person", "longer than 200 letters"),
        ({EXTRA: "and ash"}, "", "more cells than the first row"),
    ],
)
def test_a_row_that_is_refused_names_the_field_and_says_why(
    judge: Judge[PastTime], cells: dict[str, str], column: str, said: str
) -> None:
    with pytest.raises(RowWrong) as refused:
        judge(Row(7, {**GOOD, **cells}))
    (wrong,) = refused.value.wrong
    assert (wrong.row, wrong.column) == (7, column)
    assert said in wrong.sentence
    assert wrong.sentence.endswith(".")
    assert len(wrong.sentence) < 200


def test_all_wrong_fields_of_a_row_are_told(judge: Judge[PastTime]) -> None:
    with pytest.raises(RowWrong) as refused:
        judge(Row(7, {**GOOD, "finished_on": "x", "measure": "x", "minutes": "x", "kind": "x"}))
    assert [w.column for w in refused.value.wrong] == ["finished_on", "kind", "measure", "minutes"]
    assert all(isinstance(w, Wrong) for w in refused.value.wrong)


def test_equal_rows_of_a_file_are_two_times_and_come_in_once(joinery: Joinery) -> None:
    first = judge_of(joinery)
    times = [item(first(Row(n, GOOD))) for n in (2, 3)]
    assert times[0].row_key != times[1].row_key
    with joinery.store.writing() as session:
        write(session, times, ways_of(session, NOW), UNA, NOW)
    again = judge_of(joinery)
    assert [again(Row(n, GOOD)) for n in (2, 3)] == [Already.THERE, Already.THERE]
    assert isinstance(again(Row(4, GOOD)), Found)


@pytest.mark.parametrize(
    "cells",
    [
        {"finished_on": "3.4.2026"},
        {"measure": "6.0", "minutes": "85.00"},
        {"minutes": "1 h 25"},
        {"unit": ""},
        {"job": "tea trays "},
        {"kind": "GLUE-UP"},
    ],
)
def test_the_same_row_as_another_program_writes_it_is_known_again(
    joinery: Joinery, cells: dict[str, str]
) -> None:
    with joinery.store.writing() as session:
        write(session, [item(judge_of(joinery)(Row(2, GOOD)))], ways_of(session, NOW), UNA, NOW)
    assert judge_of(joinery)(Row(2, {**GOOD, **cells})) is Already.THERE


def test_what_the_log_has_is_there_already(joinery: Joinery, day: BusyDay) -> None:
    """The times of the log, taken out, bring nothing back; each more of the same is a new one, once."""
    with joinery.store.reading() as session:
        logged = list(store.logged_times(session))
    assert logged
    judge = judge_of(joinery)
    assert all(judge(row_of(time)) is Already.THERE for time in logged)
    one_more = item(judge(row_of(logged[0])))
    assert one_more.row_key == key_of(base_of(logged[0]), 0)


def row_of(time: StageTime) -> Row:
    cells = {
        "finished_on": time.finished_on.isoformat(),
        "job": time.job,
        "pattern": time.pattern,
        "stage": time.stage,
        "kind": time.kind,
        "measure": repr(time.quantity),
        "unit": time.unit,
        "minutes": repr(time.minutes),
        "person": time.person,
    }
    return Row(2, cells)


def test_tomorrow_is_by_the_shops_own_calendar(joinery: Joinery) -> None:
    """At 1:24 in the night by UTC it is still the evening before in New York."""
    with joinery.store.reading() as session:
        judge = judging(session, ways_of(session, NOW + timedelta(hours=7)), ".")
    assert isinstance(judge(Row(2, {**GOOD, "finished_on": "2026-11-25"})), Found)
    with pytest.raises(RowWrong):
        judge(Row(2, {**GOOD, "finished_on": "2026-11-26"}))


@given(
    st.lists(st.text(max_size=8), min_size=4, max_size=4),
    st.lists(st.text(max_size=8), min_size=4, max_size=4),
)
def test_rows_have_one_key_only_where_they_are_equal(one: list[str], other: list[str]) -> None:
    def base(texts: list[str]) -> str:
        job, pattern, stage, person = texts
        return base_of(PastTime(date(2026, 1, 1), job, pattern, None, stage, 1, 1.0, 1.0, person, None, ""))

    def plain(texts: list[str]) -> list[str]:
        return [text.replace("\r\n", "\n").replace("\r", "\n").strip() for text in texts]

    assert (key_of(base(one), 0) == key_of(base(other), 0)) == (plain(one) == plain(other))
