"""A tap in the wrong name becomes somebody else's in one go."""

import pytest

from shoptrack.errors import NotFound, Refused
from shoptrack.flows.hand_over import hand_over, said_by
from shoptrack.flows.shopfloor import gather
from shoptrack.store import log
from tests.joinery import PIET, UNA, BusyDay, Joinery, at


def test_that_was_piet(joinery: Joinery, day: BusyDay) -> None:
    """Una's tablet stood in Piet's corner: the start of 13:30 becomes his at 13:30, and hers is struck."""
    mine = day.game["glue-up"]
    wrong = joinery.tap("start", at("13:30"), mine)
    hand_over(joinery.store, wrong, PIET, "over-0001", at("13:34"))
    sight = gather(joinery.store, at("13:35"))
    assert sight.replayed.people[PIET].stages == (mine,)
    assert sight.replayed.people[PIET].since == at("13:30")
    assert sight.replayed.people[UNA].stages == (day.hall["frame"],)


def test_sent_twice_it_is_done_once(joinery: Joinery, day: BusyDay) -> None:
    wrong = joinery.tap("start", at("13:30"), day.game["glue-up"])
    for _ in range(2):
        hand_over(joinery.store, wrong, PIET, "over-0001", at("13:34"))
    with joinery.store.reading() as session:
        kinds = [e.kind for e in log.whole_log(session)]
    assert kinds[-2:] == ["start", "strike"]
    assert kinds.count("strike") == 1


def test_what_was_said_goes_along(joinery: Joinery, day: BusyDay) -> None:
    """A round of three stays a round of three, with the line for the tape."""
    inlay = day.letter["inlay"]
    said = joinery.tap("closed", at("13:30"), inlay, person=PIET, count=2, told="E2 off 14:30")
    with joinery.store.reading() as session:
        entry = log.entry(session, said)
    assert entry is not None
    assert said_by(entry) == {"stages": [inlay], "count": 2.0, "told": "E2 off 14:30"}


def test_a_strike_or_an_unknown_tap_is_nobodys(joinery: Joinery, day: BusyDay) -> None:
    note = joinery.tap("note", at("13:30"), day.game["milling"], text="x")
    strike = joinery.tap("strike", at("13:31"), of=note)
    for of in (strike, "never-was"):
        with pytest.raises(NotFound):
            hand_over(joinery.store, of, PIET, "over-0001", at("13:34"))


def test_to_somebody_who_does_not_work_here_nothing_is_struck(joinery: Joinery, day: BusyDay) -> None:
    wrong = joinery.tap("start", at("13:30"), day.game["glue-up"])
    with pytest.raises(Refused):
        hand_over(joinery.store, wrong, 99, "over-0001", at("13:34"))
    assert gather(joinery.store, at("13:35")).replayed.people[UNA].stages == (day.game["glue-up"],)
