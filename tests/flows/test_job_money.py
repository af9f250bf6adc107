"""What a job earns and cost: hours at dated rates, one rounding, lines that add up to their sum."""

from datetime import date

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.job_money import Reckoning, reckon
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store import costs, extras
from shoptrack.store.costs import Spent
from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from shoptrack.store.rates import set_rate
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at

LONG_AGO_ON = date(2025, 1, 1)


def rate(joinery: Joinery, cents: int, from_on: date = LONG_AGO_ON, **whose: int) -> None:
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=cents, from_on=from_on, who=None, now=NOW, **whose)


def sums(joinery: Joinery, job: int) -> Reckoning:
    sight = gather_job(joinery.store, job, NOW)
    with joinery.store.reading() as session:
        return reckon(session, sight, job)


def milled(joinery: Joinery) -> dict[str, int]:
    """Milled by Una on Tuesday from 9 to 10, and by Piet on Wednesday from 9 to 9:30."""
    tray = joinery.add("tray", "tray", None)
    for who, start, end in ((UNA, at("9:00", -1), at("10:00", -1)), (PIET, at("9:00"), at("9:30"))):
        joinery.tap("start", start, tray["milling"], person=who)
        joinery.tap("pause", end, tray["milling"], person=who)
    return tray


def test_hours_cost_the_rate_of_their_day_and_person(joinery: Joinery) -> None:
    """Anybody 50 an hour, 54 from Wednesday on; Piet 60: 60 min of Una's Tuesday, 30 of Piet's Wednesday."""
    rate(joinery, 5000)
    rate(joinery, 5400, date(2026, 11, 25))
    rate(joinery, 6000, person=PIET)
    tray = milled(joinery)
    found = sums(joinery, tray["job"])
    assert [(h.name, round(h.minutes), h.cents) for h in found.by_person] == [
        ("Piet", 30, 3000),
        ("Una", 60, 5000),
    ]
    assert [(h.name, h.cents) for h in found.by_stage] == [("milling", 8000)]
    assert (found.hands_cents, found.unpriced_min) == (8000, 0)


def test_hours_without_a_rate_are_said_to_be_without(joinery: Joinery) -> None:
    rate(joinery, 5000, date(2026, 11, 25))
    found = sums(joinery, milled(joinery)["job"])
    assert (found.hands_cents, found.unpriced_min) == (2500, pytest.approx(60))


def test_what_is_left(joinery: Joinery) -> None:
    """500 and an extra of 20, less 80 of hands, 15 of wood and mending of 4.50 and 12 minutes at 50."""
    rate(joinery, 5000)
    tray = milled(joinery)
    joinery.tap("mend", at("11:00"), tray["milling"], minutes=12, cents=450)
    with joinery.store.writing() as session:
        edit(session, job_row(session, tray["job"]), None, NOW, price_cents=50000)
        for number, cents in ((1, 2000), (2, 7000)):
            extras.add_extra(
                session, tray["job"], number=number, words=str(number), cents=cents, asked_on=LONG_AGO_ON,
                who=None, now=NOW,
            )  # fmt: skip
        extras.approve(session, tray["job"], 1, LONG_AGO_ON, "", None, NOW)
        wood = Spent("material", "elm", LONG_AGO_ON, cents=1500)
        costs.add_cost(session, tray["job"], wood, after=0, who=None, now=NOW)
    found = sums(joinery, tray["job"])
    assert found.earned_cents == 52000
    assert (found.hands_cents, found.spent_cents, found.mends_cents) == (8500, 1500, 450)
    assert found.left_cents == 52000 - 8500 - 1500 - 450


def test_a_job_without_a_price_has_a_cost_and_nothing_left(joinery: Joinery) -> None:
    found = sums(joinery, milled(joinery)["job"])
    assert (found.earned_cents, found.left_cents, found.cost_cents) == (None, None, 0)


def test_a_machine_costs_while_it_runs(joinery: Joinery, day: BusyDay) -> None:
    """The router carves for two minutes with Piet in earshot, at 30 an hour."""
    rate(joinery, 3000, station=1)
    tray = joinery.add("tray", "carved", None)
    joinery.tap("start", at("13:22"), tray["carving the well"], person=PIET, insisted=True)
    joinery.tap("finish", at("13:24"), tray["carving the well"], person=PIET)
    found = sums(joinery, tray["job"])
    assert (round(found.machine_min, 6), found.machine_cents) == (2, 100)


def test_work_done_again_is_shown_beside(joinery: Joinery) -> None:
    """Milled in 30 minutes, half of it spoiled and milled again in 20, at 60 an hour."""
    rate(joinery, 6000)
    tray = joinery.add("tray", "tray", None)
    stage = tray["milling"]
    joinery.tap("start", at("9:00"), stage)
    joinery.tap("finish", at("9:30"), stage)
    joinery.tap("spoil", at("9:31"), stage, count=1, out_of=2, way_back=stage, cause="tear-out")
    joinery.tap("start", at("9:40"), stage)
    joinery.tap("finish", at("10:00"), stage)
    found = sums(joinery, tray["job"])
    assert (round(found.again_min), found.again_cents, found.hands_cents) == (20, 2000, 5000)
    assert [round(h.again_min) for h in found.by_stage] == [20]


def test_a_closed_job_is_reckoned_the_same(joinery: Joinery) -> None:
    rate(joinery, 5000)
    tray = milled(joinery)
    before = sums(joinery, tray["job"])
    with joinery.store.writing() as session:
        edit(session, job_row(session, tray["job"]), None, NOW, closed_at=NOW)
    assert sums(joinery, tray["job"]) == before


def test_a_job_that_is_not_there(joinery: Joinery) -> None:
    with pytest.raises(NotFound):
        sums(joinery, 99)
