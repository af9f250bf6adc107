"""Times that look wrong are listed; one tap leaves one out or brings it back, and what is learned follows."""

from datetime import timedelta

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.learning import learned
from shoptrack.flows.log_answers import answer_log, wild
from tests.flows.worked import mill
from tests.joinery import NOW, UNA, Joinery

USUAL = [31, 30, 32, 29, 30, 31, 33, 30, 31, 29, 30, 32]


def test_a_time_far_off_is_asked_about_until_somebody_says(joinery: Joinery) -> None:
    """Twelve trays in half an hour, one in four minutes: somebody tapped late. It counts after all; then
    Una finds that it doesn't; brought back it is listed as answered."""
    trays = mill(joinery, [*USUAL, 4])
    key = f"s{trays[-1]['milling']}"
    (odd,) = wild(learned(joinery.store, NOW))
    assert (odd.key, odd.kind, odd.unit, odd.counts) == (key, "milling", "boards", None)
    assert odd.weight < 0.8
    assert odd.usual_min == pytest.approx(30, rel=0.1)
    assert odd.time.hands_min == pytest.approx(4)
    for counts in (True, False, True):
        answer_log(joinery.store, key, counts, UNA, NOW + timedelta(minutes=counts))
        known = learned(joinery.store, NOW)
        assert [(one.key, one.counts, one.weight) for one in wild(known)] == [(key, counts, float(counts))]
        assert known.kinds[joinery.kinds["milling"]].hands.weights[-1] == float(counts)


def test_the_open_ones_come_first_newest_first(joinery: Joinery) -> None:
    trays = mill(joinery, [*USUAL, *USUAL, 2, 31, 1, 30, 2])
    keys = [f"s{trays[n]['milling']}" for n in (24, 26, 28)]
    assert [one.key for one in wild(learned(joinery.store, NOW))] == keys[::-1]
    answer_log(joinery.store, keys[2], False, None, NOW)
    listed = wild(learned(joinery.store, NOW))
    assert [(one.key, one.counts) for one in listed] == [(keys[1], None), (keys[0], None), (keys[2], False)]


def test_where_all_look_alike_nothing_is_asked(joinery: Joinery) -> None:
    mill(joinery, USUAL)
    assert wild(learned(joinery.store, NOW)) == ()


def test_a_time_that_is_not_there_is_refused(joinery: Joinery) -> None:
    with pytest.raises(NotFound):
        answer_log(joinery.store, "s99", True, UNA, NOW)
