"""The hours a job still takes: a range that tightens as work is done, the same at every look."""

from dataclasses import astuple
from datetime import UTC, datetime

import pytest

from shoptrack.engine.durations import quantile_min
from shoptrack.flows.forecast import Forecast, forecast, forecasts, job_forecast
from shoptrack.flows.jobs import set_closed
from shoptrack.flows.learning import learned
from shoptrack.flows.shopfloor import gather_job
from shoptrack.store.tables import JobRow, TallyRow
from tests.flows.worked import mill, stage_at, workdays
from tests.joinery import NOW, PIET, UNA, Joinery, at


def told(shop: Joinery, job: int, when: str = "13:24") -> Forecast:
    found = job_forecast(shop.store, gather_job(shop.store, job, at(when)), job, at(when))
    assert found is not None
    return found


def practised(shop: Joinery) -> None:
    """Six trays of which milling and glue-up are done, in about 40 and 35 minutes."""
    for days, more in zip(workdays(-60), (0, 4, -3, 2, -2, 1), strict=False):
        tray = shop.add("tray", f"tray {days}", None)
        stage_at(shop, tray["milling"], at("8:00", days), 40 + more)
        stage_at(shop, tray["glue-up"], at("9:00", days), 35 - more)


def width(found: Forecast) -> float:
    return found.all_min.p90 - found.all_min.p10


def test_of_a_job_that_nobody_began_all_is_to_come(joinery: Joinery) -> None:
    """By rule of thumb 35 + 30 + 55 + 80 + 65 minutes; the middle of their sum is more, for
    what runs long runs longer than what is quick saves."""
    tray = joinery.add("tray", "tray", None)
    found = told(joinery, tray["job"])
    assert found.to_come_min == found.all_min
    assert (found.spent_min, found.first_min, found.untested) == (0, None, True)
    assert [one.name for one in found.stages] == list(tray)[1:]
    assert 265 < found.to_come_min.p50 < 340
    assert found.to_come_min.p10 < 200 < 350 < found.to_come_min.p90


def test_it_tightens_as_stages_are_finished(joinery: Joinery) -> None:
    """With each stage there is less to come, and its end is known better."""
    practised(joinery)
    tray = joinery.add("tray", "tray", None)
    seen = [told(joinery, tray["job"], "7:59")]
    for name, when, minutes in (("milling", "8:00", 41), ("glue-up", "9:00", 34), ("inlay", "10:00", 85)):
        stage_at(joinery, tray[name], at(when), minutes)
        seen.append(told(joinery, tray["job"]))
    assert [len(one.stages) for one in seen] == [5, 4, 3, 2]
    assert sorted((width(one) for one in seen), reverse=True) == [width(one) for one in seen]
    assert sorted((one.to_come_min.p50 for one in seen), reverse=True) == [
        one.to_come_min.p50 for one in seen
    ]
    assert seen[-1].spent_min == pytest.approx(41 + 34 + 85)
    assert seen[-1].all_min.p50 == pytest.approx(seen[-1].spent_min + seen[-1].to_come_min.p50)
    first = seen[-1].first_min
    assert first is not None
    assert first.p90 - first.p10 > width(seen[-1])
    assert first.p50 == pytest.approx(seen[0].all_min.p50, rel=0.15)


def test_the_same_look_gives_the_same_minutes(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    sight = gather_job(joinery.store, tray["job"], NOW)
    known = learned(joinery.store, NOW)
    assert forecast(known, sight, tray["job"]) == forecast(known, sight, tray["job"])
    assert (
        forecasts(joinery.store, sight, NOW)[tray["job"]].to_come_min
        == told(joinery, tray["job"]).to_come_min
    )


def test_a_stage_in_hand_takes_longer_than_it_has(joinery: Joinery) -> None:
    """Milling is in hand since an hour, where 40 minutes are usual: some is still to come, and less than of
    one just begun is of all of it."""
    practised(joinery)
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00"), tray["milling"], person=PIET)
    early, late = told(joinery, tray["job"], "8:10"), told(joinery, tray["job"], "9:00")
    assert (early.stages[0].spent_min, late.stages[0].spent_min) == (10, 60)
    assert early.stages[0].to_come_min.p50 == pytest.approx(30, abs=5)
    assert 0 < late.stages[0].to_come_min.p10 < late.stages[0].to_come_min.p50 < 20
    assert late.all_min.p50 > early.all_min.p50 + 15


def test_of_rounds_what_is_left_counts(joinery: Joinery) -> None:
    """Seven of ten inlays are in clamps: of 20 minutes and 6 for each three are left, without the set-up."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00"), tray["inlay"], insisted=True)
    joinery.tap("closed", at("8:40"), tray["inlay"], count=7)
    joinery.tap("pause", at("8:41"), tray["inlay"])
    inlay = next(one for one in told(joinery, tray["job"]).stages if one.name == "inlay")
    assert quantile_min(inlay.foretold, 0.5) == pytest.approx(18, rel=0.02)
    assert inlay.spent_min == 1
    joinery.tap("start", at("9:00"), tray["inlay"])
    joinery.tap("closed", at("9:15"), tray["inlay"], count=3)
    assert "inlay" not in [one.name for one in told(joinery, tray["job"]).stages], (
        "there is nothing left of it"
    )


def test_a_job_that_runs_long_is_expected_to_go_on_so(joinery: Joinery) -> None:
    """Two trays, one of them slow in its first two stages: of the same rest it has more to come."""
    practised(joinery)
    slow, quick = joinery.add("tray", "slow", None), joinery.add("tray", "quick", None)
    for tray, factor, hour, who in ((slow, 1.5, 8, UNA), (quick, 0.8, 10, PIET)):
        stage_at(joinery, tray["milling"], at(f"{hour}:00"), 40 * factor, who)
        stage_at(joinery, tray["glue-up"], at(f"{hour + 1}:05"), 35 * factor, who)
    left_slow, left_quick = (told(joinery, tray["job"]).to_come_min for tray in (slow, quick))
    assert left_slow.p50 > 1.1 * left_quick.p50
    assert all(a > b for a, b in zip(astuple(left_slow), astuple(left_quick), strict=True))


def test_pieces_to_be_done_again_are_to_come(joinery: Joinery) -> None:
    """One of two boards is spoiled: milling it again comes back as a stage to come, of one board."""
    practised(joinery)
    tray = joinery.add("tray", "tray", None)
    stage_at(joinery, tray["milling"], at("8:00"), 40)
    joinery.tap("start", at("9:00"), tray["glue-up"])
    said = {"count": 1, "out_of": 2, "way_back": tray["milling"], "cause": "wood"}
    joinery.tap("spoil", at("9:05"), tray["glue-up"], **said)
    stages = told(joinery, tray["job"]).stages
    again = [one for one in stages if one.name == "milling"]
    whole = learned(joinery.store, NOW).foretell(joinery.kinds["milling"], 2.0, 1)
    assert len(again) == 1
    assert quantile_min(again[0].foretold, 0.5) < 0.9 * quantile_min(whole, 0.5)


def test_when_all_is_done_nothing_is_to_come_and_a_closed_job_has_no_forecast(joinery: Joinery) -> None:
    (tray,) = mill(joinery, [40])
    for hour, name in enumerate(("glue-up", "carving the well", "inlay", "oiling"), 8):
        stage_at(joinery, tray[name], at(f"{hour}:00"), 30)
    found = told(joinery, tray["job"])
    assert astuple(found.to_come_min) == (0, 0, 0, 0)
    assert (found.stages, found.untested, found.all_min.p50) == ((), False, pytest.approx(found.spent_min))
    set_closed(joinery.store, tray["job"], True, UNA, NOW)
    sight = gather_job(joinery.store, tray["job"], NOW)
    assert job_forecast(joinery.store, sight, tray["job"], NOW) is None
    assert forecasts(joinery.store, sight, NOW) == {}


def test_a_one_off_is_the_first_of_no_pattern(joinery: Joinery) -> None:
    """It is foretold by its kinds alone, and nothing is said of a pattern that it doesn't have."""
    tray = joinery.add("tray", "one-off", None)
    with joinery.store.writing() as session:
        session.get_one(JobRow, tray["job"]).pattern_revision_id = None
    found = told(joinery, tray["job"])
    assert (found.untested, len(found.stages)) == (False, 5)


def test_mends_are_worked_too(joinery: Joinery) -> None:
    """Forty minutes of milling and fifteen of mending it are 55 that the job took by now."""
    tray = joinery.add("tray", "tray", None)
    stage_at(joinery, tray["milling"], at("8:00"), 40)
    before = told(joinery, tray["job"])
    joinery.tap("mend", at("9:00"), tray["milling"], minutes=15)
    found = told(joinery, tray["job"])
    assert (before.spent_min, found.spent_min) == (40, 55)
    assert found.to_come_min == before.to_come_min


@pytest.mark.parametrize(
    ("start", "end"),
    [
        (datetime(2026, 10, 30, 20, tzinfo=UTC), datetime(2026, 11, 2, 14, tzinfo=UTC)),
        (datetime(2026, 3, 6, 21, tzinfo=UTC), datetime(2026, 3, 9, 13, tzinfo=UTC)),
    ],
    ids=["clocks go back", "clocks go forward"],
)
def test_a_weekend_of_an_hour_more_or_less_is_no_time_at_work(
    joinery: Joinery, start: datetime, end: datetime
) -> None:
    """In hand from Friday at four until Monday at nine by New York's clocks, which change on that Sunday:
    an hour of each day is worked, in the forecast as in the tally.
    Source: the zone database (America/New_York), changes of 1 November and 8 March 2026.
    """
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", start, tray["milling"])
    joinery.tap("pause", end, tray["milling"])
    found = job_forecast(joinery.store, gather_job(joinery.store, tray["job"], end), tray["job"], end)
    assert found is not None
    assert found.spent_min == pytest.approx(120)
    with joinery.store.reading() as session:
        assert session.get_one(TallyRow, (tray["milling"], 0)).attended_min == pytest.approx(120)
