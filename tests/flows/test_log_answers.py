"""One word leaves a time out or brings it back, and what is learned follows."""

from datetime import timedelta

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.learning import learned
from shoptrack.flows.log_answers import answer_log
from shoptrack.flows.times import odd_ones
from tests.flows.worked import mill
from tests.joinery import NOW, UNA, Joinery

USUAL = [31, 30, 32, 29, 30, 31, 33, 30, 31, 29, 30, 32]


def test_a_time_far_off_is_asked_about_until_somebody_says(joinery: Joinery) -> None:
    """Twelve trays in half an hour, one in four minutes: somebody tapped late. It counts after all; then
    Una finds that it doesn't, and then that it does; nobody is asked again."""
    trays = mill(joinery, [*USUAL, 4])
    key, kind = f"s{trays[-1]['milling']}", joinery.kinds["milling"]
    known = learned(joinery.store, NOW).kinds[kind]
    assert [(one.key, one.hands_min) for one, _ in odd_ones(known)] == [(key, pytest.approx(4))]
    assert known.hands.weights[-1] < 0.8
    for n, counts in enumerate((True, False, True)):
        answer_log(joinery.store, key, counts, UNA, NOW + timedelta(minutes=n))
        known = learned(joinery.store, NOW).kinds[kind]
        assert (known.times[-1].key, known.times[-1].counts) == (key, counts)
        assert known.hands.weights[-1] == float(counts)
        assert odd_ones(known) == []


def test_a_time_that_is_not_there_is_refused(joinery: Joinery) -> None:
    with pytest.raises(NotFound):
        answer_log(joinery.store, "s99", True, UNA, NOW)
