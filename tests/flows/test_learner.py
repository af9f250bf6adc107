"""The learner beside a server: what is new is learned and settled, in parts, until it is told to end."""

import threading

import pytest

from shoptrack.flows import learner as beside
from shoptrack.flows.learner import Learner
from shoptrack.flows.learning import LOOKED_AFTER, remembered
from tests.flows.worked import mill
from tests.joinery import NOW, Joinery

MINUTES = [36, 41, 38, 44, 40]


def test_a_look_learns_and_settles_all_in_parts(joinery: Joinery, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five passes, two at a time; the record holds all of them afterwards, and nothing is left to do."""
    monkeypatch.setattr(beside, "AT_ONCE", 2)
    mill(joinery, MINUTES)
    learner = Learner(joinery.store, lambda: NOW, pause_s=0.0)
    assert learner.look() == 5
    known = remembered(joinery.store)
    assert known is not None
    assert len(known.track) == 5
    assert learner.look() == 0
    assert remembered(joinery.store) is known


def test_it_runs_beside_and_ends(joinery: Joinery, monkeypatch: pytest.MonkeyPatch) -> None:
    looked = threading.Event()
    look = Learner.look

    def told(self: Learner) -> int:
        found = look(self)
        looked.set()
        return found

    monkeypatch.setattr(Learner, "look", told)
    mill(joinery, MINUTES)
    learner = Learner(joinery.store, lambda: NOW, pause_s=0.0)
    learner.start()
    assert looked.wait(60)
    assert joinery.store in LOOKED_AFTER
    learner.stop()
    assert joinery.store not in LOOKED_AFTER
    known = remembered(joinery.store)
    assert known is not None
    assert len(known.track) == 5


def test_what_breaks_is_written_down_and_tried_again(
    joinery: Joinery, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    tried, again = [], threading.Event()

    def broken(self: Learner) -> int:
        tried.append(self)
        if len(tried) > 1:
            again.set()
            return 0
        raise RuntimeError("no room")

    monkeypatch.setattr(Learner, "look", broken)
    monkeypatch.setattr(beside, "LOOK_EVERY_S", 0.01)
    learner = Learner(joinery.store, lambda: NOW)
    learner.start()
    assert again.wait(60)
    learner.stop()
    assert "Nothing could be learned this time." in caplog.text
