"""One instant for a whole request."""

from datetime import UTC, datetime, timedelta

from flask import Flask

from shoptrack.web.clock import now, settle


def test_a_request_has_one_now(bare_app: Flask) -> None:
    instants = iter(datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=n) for n in range(9))
    bare_app.config["NOW"] = lambda: next(instants)
    with bare_app.test_request_context("/"):
        first = now()
        assert now() == first
    with bare_app.test_request_context("/"):
        assert now() == first + timedelta(seconds=1)


def test_a_request_may_speak_of_another_instant(bare_app: Flask) -> None:
    with bare_app.test_request_context("/"):
        earlier = now() - timedelta(seconds=30)
        assert settle(earlier) == now() == earlier


def test_without_an_override_it_is_the_servers_clock(bare_app: Flask) -> None:
    bare_app.config["NOW"] = None
    with bare_app.test_request_context("/"):
        assert now().tzinfo is UTC
        assert now().year >= 2025
