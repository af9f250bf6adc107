"""Where a job left its plan: what spoiled pieces cost, stages taken out, the whole job put aside."""

from datetime import date

import pytest

from shoptrack.flows import job_stages
from shoptrack.flows.off_plan import OffPlan, off_plan
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store.rates import list_rates, set_rate
from tests.joinery import LONG_AGO, NOW, PIET, UNA, BusyDay, Joinery, at


def told(joinery: Joinery, job: int) -> OffPlan:
    with joinery.store.reading() as session:
        rates = list_rates(session)
    return off_plan(gather_job(joinery.store, job, NOW), job, rates)


def spoiled_tray(joinery: Joinery) -> dict[str, int]:
    """Four trays: milled for 60 min, glued for 20; one of four breaks at the carving, again from milling."""
    tray = joinery.add("tray", "four trays", None, 4)
    for start, end, name in (("8:00", "9:00", "milling"), ("9:00", "9:20", "glue-up")):
        joinery.tap("start", at(start, -1), tray[name])
        joinery.tap("finish", at(end, -1), tray[name])
    joinery.tap("start", at("9:30"), tray["carving the well"], insisted=True)
    joinery.tap("pause", at("10:10"), tray["carving the well"])
    joinery.tap(
        "spoil", at("10:20"), tray["carving the well"],
        count=1, out_of=4, way_back=tray["milling"], cause="tear-out",
    )  # fmt: skip
    return tray


def test_spoiled_pieces_with_the_work_lost_and_done_again(joinery: Joinery) -> None:
    """A quarter of 60 + 20 + 40 minutes is lost; 12 minutes of milling again so far, at 60 an hour."""
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=6000, from_on=LONG_AGO.date(), who=UNA, now=LONG_AGO)
    tray = spoiled_tray(joinery)
    joinery.tap("start", at("10:30"), tray["milling"])
    joinery.tap("finish", at("10:42"), tray["milling"])
    (sp,) = told(joinery, tray["job"]).spoiled
    assert (sp.count, sp.out_of, sp.cause) == (1, 4, "tear-out")
    assert (sp.found, sp.way_back) == ("carving the well", "milling")
    assert (sp.lost_min, sp.again_min) == pytest.approx((30, 12))
    assert sp.cents == 4200
    assert not sp.through


def test_without_a_rate_there_are_minutes_and_no_cost(joinery: Joinery) -> None:
    (sp,) = told(joinery, spoiled_tray(joinery)["job"]).spoiled
    assert (sp.lost_min, sp.cents) == (pytest.approx(30), None)


def test_a_job_put_aside_as_a_whole_and_taken_up(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    joinery.tap(
        "put-aside",
        at("9:00"),
        job=job,
        reason="deposit",
        look_again_on="2026-12-01",
        text="half",
        person=PIET,
    )
    aside = told(joinery, job).aside
    assert aside is not None
    assert (aside.reason, aside.look_again_on, aside.text, aside.by) == (
        "deposit", date(2026, 12, 1), "half", "Piet",
    )  # fmt: skip
    joinery.tap("take-up", at("9:30"), job=job)
    assert told(joinery, job).aside is None


def test_a_stage_put_aside_is_not_the_job(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("put-aside", at("9:00"), tray["inlay"], reason="lumber")
    assert told(joinery, tray["job"]) == OffPlan((), (), None)


def test_stages_taken_out_with_the_minutes_that_stay(joinery: Joinery, day: BusyDay) -> None:
    job_stages.take_out(joinery.store, day.elm["job"], day.elm["milling"], UNA, NOW, "")
    (gone,) = told(joinery, day.elm["job"]).taken_out
    assert gone.name == "milling"
    assert gone.minutes > 20
