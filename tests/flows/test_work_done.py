"""Stretches of work: they add up to what replay counted, and can be cut where a month ends."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.flows.shopfloor import Sight, gather_job
from shoptrack.flows.work_done import Work, work_done
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def works(joinery: Joinery, job: int, now: datetime = NOW) -> tuple[Sight, tuple[Work, ...]]:
    sight = gather_job(joinery.store, job, now)
    return sight, work_done(sight.replayed, sight.entries, sight.world, (job,))


def test_the_stretches_add_up_to_what_replay_counted(joinery: Joinery, day: BusyDay) -> None:
    """Every job of the busy Wednesday: boards milled together, rounds, work in hand now."""
    for thing in (day.elm, day.hall, day.game, day.larder, day.letter):
        sight, found = works(joinery, thing["job"])
        passes = [p for ps in sight.replayed.passes.values() for p in ps if p.job == thing["job"]]
        assert fsum(w.minutes for w in found) == pytest.approx(fsum(p.attended_min for p in passes))


def test_help_is_the_helpers(joinery: Joinery) -> None:
    """Una mills from 9 to 10, and says Piet, who was at another tray, helped for 20 minutes of it."""
    mine, his = joinery.add("tray", "hers", None), joinery.add("tray", "his", None)
    joinery.plan("start", at("8:50"), his["milling"], person=PIET)
    joinery.plan("start", at("9:00"), mine["milling"])
    joinery.plan("help", at("9:50"), mine["milling"], helper=PIET, minutes=20)
    joinery.plan("finish", at("10:00"), mine["milling"])
    joinery.plan("finish", at("10:10"), his["milling"], person=PIET)
    joinery.play()
    by = {w.person: w.minutes for w in works(joinery, mine["job"])[1]}
    assert by == {UNA: pytest.approx(60), PIET: pytest.approx(20)}
    assert [w.minutes for w in works(joinery, his["job"])[1]] == [pytest.approx(60)]


def test_a_finish_without_a_start_is_whose_it_was(joinery: Joinery) -> None:
    """Piet says afterwards that it was 45 minutes."""
    tray = joinery.add("tray", "tray", None)
    finish = joinery.tap("finish", at("10:00"), tray["milling"], person=PIET)
    joinery.tap("answer", at("10:01"), of=finish, asks="no-start", choice="other", minutes=45, person=PIET)
    sight, found = works(joinery, tray["job"])
    assert [(w.person, round(w.minutes), w.start) for w in found] == [(PIET, 45, at("10:00"))], (
        sight.questions
    )


def test_mending_is_work_of_whoever_mended_and_struck_mending_is_none(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00"), tray["milling"])
    joinery.tap("finish", at("9:30"), tray["milling"])
    joinery.tap("mend", at("11:00"), tray["milling"], minutes=12, cents=450, person=PIET)
    wrong = joinery.tap("mend", at("11:05"), tray["milling"], minutes=99, person=PIET)
    joinery.tap("strike", at("11:06"), of=wrong, person=PIET)
    found = works(joinery, tray["job"])[1]
    assert [(w.person, w.minutes) for w in found if w.mending] == [(PIET, 12)]
    assert fsum(w.minutes for w in found) == pytest.approx(42)


def test_work_done_again_says_so(joinery: Joinery) -> None:
    """Milled in 30 minutes, half spoiled, that half milled again in 20."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("9:00"), tray["milling"])
    joinery.tap("finish", at("9:30"), tray["milling"])
    joinery.tap(
        "spoil", at("9:31"), tray["milling"], count=1, out_of=2, way_back=tray["milling"], cause="tear-out"
    )
    joinery.tap("start", at("9:40"), tray["milling"])
    joinery.tap("finish", at("10:00"), tray["milling"])
    found = works(joinery, tray["job"])[1]
    assert [(w.redo, round(w.minutes)) for w in found] == [(0, 30), (1, 20)]


def test_nothing_done_is_no_work(joinery: Joinery) -> None:
    assert works(joinery, joinery.add("tray", "tray", None)["job"])[1] == ()


START = datetime(2026, 10, 31, 20, tzinfo=UTC)
ONE = Work(UNA, 1, 1, 0, START, START + timedelta(hours=8), 240)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=6))
def test_parts_add_up_wherever_it_is_cut(places: list[float]) -> None:
    """Cut at any instants: the parts' minutes are those of the whole, and none lies outside its part."""
    cuts = [START, *sorted(START + p * timedelta(hours=8) for p in places), START + timedelta(hours=8)]
    parts = [ONE.within(a, b) for a, b in pairwise(cuts)]
    assert fsum(p.minutes for p in parts if p) == pytest.approx(240)


def test_what_was_said_afterwards_falls_into_the_month_of_its_instant() -> None:
    said, midnight = replace(ONE, end=START), START + timedelta(hours=4)
    assert said.within(START, midnight) is said
    assert said.within(midnight, midnight + timedelta(days=1)) is None
    assert said.within(START - timedelta(days=1), START) is None
