"""The one sight that every page is made from."""

from datetime import timedelta

import pytest

from shoptrack.flows import at_hand
from shoptrack.flows.at_hand import left_for
from shoptrack.flows.shopfloor import gather, gather_job
from shoptrack.store.db import Store
from shoptrack.store.jobs import close_job
from tests.joinery import NOW, UNA, BusyDay, Joinery, at


def test_a_sight_has_every_open_job_and_what_is_asked(joinery: Joinery, day: BusyDay) -> None:
    """The busy Wednesday: a coat to wipe and a squeeze-out to scrape, a joint that was too cold."""
    sight = gather(joinery.store, NOW)
    assert set(sight.world.jobs) == {
        day.elm["job"],
        day.hall["job"],
        day.game["job"],
        day.larder["job"],
        day.letter["job"],
    }
    assert sight.standings.keys() == sight.world.stages.keys()
    assert {u.mark.mark.role for u in sight.untils} >= {"wipe", "scrape"}
    assert "doubtful-joint" in {q.asks for q in sight.questions}


def test_stages_of_a_job_come_in_their_order(joinery: Joinery, day: BusyDay) -> None:
    sight = gather(joinery.store, NOW)
    names = [sight.world.stages[s.stage].name for s in sight.stages_of(day.elm["job"])]
    assert names == ["milling", "glue-up", "carving the well", "inlay", "oiling"]


def test_the_log_is_read_once_for_one_head(joinery: Joinery, day: BusyDay) -> None:
    """Two looks without a tap between share what was read; a tap leaves its own reading for the next look."""
    first = gather(joinery.store, NOW)
    assert gather(joinery.store, NOW + timedelta(minutes=5)).entries is first.entries
    tap = joinery.tap("note", at("13:30"), day.elm["milling"], text="elm is wet")
    left = left_for(joinery.store)
    assert left is not None
    again = gather(joinery.store, at("13:31"))
    assert again.entries is left.entries
    assert again.entries[-1].id == tap


def test_a_look_after_a_tap_replays_nothing(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tap replayed the log for the tally; the pages of that minute are made from the same state."""
    joinery.tap("start", at("13:30"), day.game["glue-up"])
    monkeypatch.setattr(at_hand, "Reader", None)
    sight = gather(joinery.store, at("13:30") + timedelta(seconds=20))
    assert sight.replayed.people[UNA].stages == (day.game["glue-up"],)
    assert gather(joinery.store, at("13:30") + timedelta(seconds=40)) is sight


def test_a_closed_job_is_gathered_only_when_it_is_asked_for(joinery: Joinery, day: BusyDay) -> None:
    """The hall door is closed with a stint still open: the Floor knows it no more, its own page does."""
    hall = day.hall["job"]
    before = gather(joinery.store, NOW).standings[day.hall["frame"]].work
    with joinery.store.writing() as session:
        close_job(session, hall, NOW)
    sight = gather(joinery.store, NOW)
    assert hall not in sight.world.jobs
    assert not any(sight.world.stages[s].job == hall for s in sight.standings)
    assert not any(q.job == hall for q in sight.questions)
    own = gather_job(joinery.store, hall, NOW)
    assert own.standings[day.hall["frame"]].work == before
    assert hall not in gather(joinery.store, NOW).world.jobs


def test_the_lines_of_a_job_include_what_struck_them(joinery: Joinery, day: BusyDay) -> None:
    """A wrong note struck, and the strike struck: three lines of the job, and none of another."""
    note = joinery.tap("note", at("13:22"), day.game["milling"], text="wrong job")
    strike = joinery.tap("strike", at("13:23"), of=note)
    joinery.tap("strike", at("13:24"), of=strike)
    lines = gather(joinery.store, at("13:25")).lines(day.game["job"])
    assert [line.entry.kind for line in lines] == ["start", "finish", "note", "strike", "strike"]
    assert [bool(line.struck_by) for line in lines] == [False, False, False, True, False]


def test_an_empty_shop_is_seen_too(bare_store: Store) -> None:
    sight = gather(bare_store, NOW)
    assert (sight.standings, sight.questions, sight.untils) == ({}, (), ())
