"""A word on a time that looks wrong: kept once with its history, changed, refused where there is no time."""

from datetime import date, timedelta

import pytest
from sqlalchemy import select

from shoptrack.errors import NotFound
from shoptrack.store.edits import history
from shoptrack.store.histories import changes
from shoptrack.store.log_answers import say_of_log
from shoptrack.store.past_times import PastTime, add_past_times
from shoptrack.store.tables import LogAnswerRow, PastTimeRow
from tests.flows.worked import mill
from tests.joinery import NOW, PIET, UNA, Joinery

HOUR = timedelta(hours=1)


def test_a_word_is_there_once_and_may_be_changed(joinery: Joinery) -> None:
    """Una leaves it out, says so again by a double press, and Piet brings it back an hour later."""
    (tray,) = mill(joinery, [69])
    key = f"s{tray['milling']}"
    for counts, who, when, new in (
        (False, UNA, NOW, True),
        (False, UNA, NOW + HOUR / 60, False),
        (True, PIET, NOW + HOUR, True),
    ):
        with joinery.store.writing() as session:
            assert say_of_log(session, key, counts, who, when) == new
    with joinery.store.reading() as session:
        (row,) = session.scalars(select(LogAnswerRow))
        assert (row.counts, row.person_id, row.said_at) == (True, PIET, NOW + HOUR)
        made, changed = history(session, "log_answers", row.id)
        assert (made.field, made.why, made.person_id) == ("made", "it is left out", UNA)
        assert (changed.field, changed.before, changed.after) == ("counts", False, True)
        told = changes(session, ["log_answers"], 5)
        assert told[0].name.endswith("milling time that looked wrong")


def test_a_time_from_before_the_log_can_be_left_out_too(joinery: Joinery) -> None:
    kind = joinery.kinds["milling"]
    time = PastTime(date(2024, 5, 6), "old tray", "", None, "milling", kind, 4, 900, "", None, "a")
    with joinery.store.writing() as session:
        add_past_times(session, [time], NOW)
        past = session.scalars(select(PastTimeRow.id)).one()
        say_of_log(session, f"p{past}", False, None, NOW)
    with joinery.store.reading() as session:
        assert session.scalars(select(LogAnswerRow.past_time_id)).all() == [past]
        assert changes(session, ["log_answers"], 5)[0].name == "milling"


@pytest.mark.parametrize(
    "key", ["", "s", "s0", "p1", "x1", "s1.5", "s-1", "s" + "9" * 40, "s١", "s1; --", "😀"]
)
def test_what_names_no_time_is_refused(joinery: Joinery, key: str) -> None:
    with joinery.store.writing() as session, pytest.raises(NotFound, match="no such time"):
        say_of_log(session, key, True, UNA, NOW)
