"""When and why something is next, in the shop's own time."""

from datetime import UTC, datetime, timedelta

from flask import Flask

from shoptrack.flows.planning.next_up import Blocked, Slot, Why
from shoptrack.web.clock import settle
from shoptrack.web.next_words import because, slot_words

NOON = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
"""Twelve on the wall of the shop."""


def test_a_reason_has_the_shops_own_time(bare_app: Flask) -> None:
    with bare_app.test_request_context():
        settle(NOON)
        assert because(None) == ""
        assert because(Blocked("resource", "router", NOON + timedelta(hours=3))) == "router free 15:00"
        waits = Why("K7", "", NOON + timedelta(days=5), False, (), True, None)
        assert because(waits) == "left until Mon 12:00 it is too late for a wait that must be kept"


def test_when_and_who(bare_app: Flask) -> None:
    with bare_app.test_request_context():
        settle(NOON)
        assert slot_words(Slot(1, None, (1,), ("Una",), None)) == "now Una"
        tomorrow = NOON + timedelta(days=1)
        assert slot_words(Slot(1, tomorrow, (1, 2), ("Una", "Piet"), None)) == "tomorrow 12:00 Una and Piet"
        assert slot_words(Slot(1, tomorrow, (), (), None)) == "tomorrow 12:00"
