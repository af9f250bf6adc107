"""How a station reads its programs is said anew: what was read is timed by it, and open stages follow."""

from dataclasses import replace

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.programs.router import router_view, say
from shoptrack.store import routers
from shoptrack.store.edits import history
from shoptrack.store.inspection import replay_check
from shoptrack.store.jobs import close_job
from tests.flows.programs.shop import TWO_BITS, Router
from tests.joinery import NOW, UNA

OWN = routers.Router(rapid_mm_min=1000.0, tool_change_s=15.0, starting=False)
BY_OWN = 1 + 3 + 500 / 1000 + 0.5 + 2 * 15 / 60


def test_a_station_begins_with_starting_values(router: Router) -> None:
    view = router_view(router.store, router.station)
    assert view.router.starting
    assert view.factor.runs == 0
    assert view.programs == 0
    with pytest.raises(NotFound):
        router_view(router.store, 999)


def test_other_rates_time_the_programs_anew_and_stages_follow(router: Router) -> None:
    router.attach(router.routing)
    say(router.store, router.station, OWN, UNA, NOW)
    row = router.row(router.routing)
    assert row.quantity == pytest.approx(BY_OWN, abs=0.005)
    assert row.hands_at_min == [pytest.approx(0.25 + 1 + 0.5, abs=0.01)]
    with router.store.reading() as session:
        assert replay_check(session, NOW) == []
        fields = {line.field for line in history(session, "stations", router.station)}
    assert {"rapids_mm", "tool_change_s"} <= fields


def test_dwells_in_milliseconds_shrink(router: Router) -> None:
    router.attach(router.routing)
    say(router.store, router.station, replace(OWN, dwell_unit="milliseconds"), UNA, NOW)
    assert router.row(router.routing).quantity == pytest.approx(BY_OWN - 0.5 + 0.0005, abs=0.006)


def test_the_next_program_is_read_by_them(router: Router) -> None:
    say(router.store, router.station, OWN, UNA, NOW)
    router.attach(router.routing)
    assert router.row(router.routing).quantity == pytest.approx(BY_OWN, abs=0.005)


def test_a_program_that_says_no_unit_is_counted(router: Router) -> None:
    router.attach(router.routing, TWO_BITS.replace(b"G21 ", b""))
    assert router_view(router.store, router.station).by_own_unit == 1


def test_what_is_closed_keeps_what_it_said(router: Router) -> None:
    router.attach(router.routing)
    before = router.row(router.routing).quantity
    with router.store.writing() as session:
        close_job(session, router.job, NOW, UNA)
    say(router.store, router.station, OWN, UNA, NOW)
    assert router.row(router.routing).quantity == before


def test_said_twice_it_is_said_once_and_nonsense_is_refused(router: Router) -> None:
    for _ in range(2):
        say(router.store, router.station, OWN, UNA, NOW)
    with router.store.reading() as session:
        lines = [line.field for line in history(session, "stations", router.station)]
    assert lines.count("rapids_mm") == 1
    for bad, field in (({"rapid_mm_min": 0.0}, "rapid"), ({"tool_change_s": -1.0}, "change")):
        with pytest.raises(BadInput) as wrong:
            say(router.store, router.station, replace(OWN, **bad), UNA, NOW)  # type: ignore[arg-type]
        assert wrong.value.field == field
