"""Times of stages with their names, logged and from before the log."""

from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy.exc import IntegrityError

from shoptrack.store import past_times
from shoptrack.store.past_times import PastTime, StageTime
from shoptrack.store.tables import PersonRow, StageKindRow
from tests.joinery import NOW, PIET, BusyDay, Joinery, at

OLD = PastTime(date(2025, 5, 6), "a tray", "tray", 1, "glue", 2, 6.0, 85.5, "Una", 1, "key")


def logged(joinery: Joinery) -> dict[tuple[str, str], StageTime]:
    with joinery.store.reading() as session:
        return {(time.job, time.stage): time for time in past_times.logged_times(session)}


def test_finished_stages_that_teach_are_listed_with_their_names(joinery: Joinery, day: BusyDay) -> None:
    time = logged(joinery)["six trays, elm", "glue-up"]
    assert time == StageTime(
        date(2026, 11, 25), "six trays, elm", "tray", "glue-up", joinery.kinds["glue-up"], "glue-up",
        6.0, "joints", 23.0, "Una",
    )  # fmt: skip


def test_what_teaches_nothing_is_left_out(joinery: Joinery, day: BusyDay) -> None:
    """The panel stock was finished without a start: nobody knows what it took; the inlay is not done."""
    found = logged(joinery)
    assert ("hall door, ash", "panel stock") not in found
    assert ("letter tray", "inlay") not in found


def test_who_worked_together_is_named_and_a_struck_start_is_not(joinery: Joinery) -> None:
    job = joinery.add("tray", "two at it", None)
    wrong = joinery.tap("start", at("9:00"), job["milling"], person=PIET)
    joinery.tap("strike", at("9:01"), of=wrong)
    joinery.tap("start", at("9:02"), job["milling"])
    joinery.tap("finish", at("9:40"), job["milling"])
    assert logged(joinery)["two at it", "milling"].person == "Una"
    joinery.tap("start", at("10:00"), job["glue-up"])
    joinery.tap("start", at("10:05"), job["glue-up"], person=PIET)
    joinery.tap("finish", at("10:30"), job["glue-up"])
    assert logged(joinery)["two at it", "glue-up"].person == "Una, Piet"


def test_a_late_evening_is_the_shops_own_day(joinery: Joinery) -> None:
    """Half past seven in New York, with the shop closed for hours, is the next day by UTC."""
    job = joinery.add("tray", "late", None)
    joinery.tap("start", at("16:00"), job["milling"])
    joinery.tap("finish", at("19:30"), job["milling"])
    assert logged(joinery)["late", "milling"].finished_on == date(2026, 11, 25)


def test_past_times_come_back_by_day_and_have_one_key_each(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        newer = replace(OLD, finished_on=date(2025, 6, 1), row_key="newer", pattern_id=None, person_id=None)
        past_times.add_past_times(session, [newer, OLD], NOW)
        past_times.add_past_times(session, [], NOW)
    with joinery.store.reading() as session:
        listed = list(past_times.past_times(session))
        assert past_times.past_keys(session) == {"key", "newer"}
        assert past_times.count_past_times(session) == 2
    assert listed[0] == StageTime(
        date(2025, 5, 6), "a tray", "tray", "glue", 2, "glue-up", 6.0, "joints", 85.5, "Una"
    )
    assert [time.finished_on for time in listed] == [date(2025, 5, 6), date(2025, 6, 1)]
    with pytest.raises(IntegrityError), joinery.store.writing() as session:
        past_times.add_past_times(session, [OLD], NOW)


def test_of_names_alike_the_one_in_use_counts(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        session.add(PersonRow(name="Una", retired_at=NOW))
        session.add(StageKindRow(name="old kind", unit="cuts", retired_at=NOW))
    with joinery.store.reading() as session:
        names = past_times.known_names(session)
    assert names.people["Una"] == 1
    assert names.kinds["old kind"][1] == "cuts"
    assert "old kind" not in names.kinds_in_use
    assert set(names.kinds_in_use) == set(joinery.kinds)
    assert names.patterns["tray"] == 1
