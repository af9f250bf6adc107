"""What was quoted beside what happened: by stage, by money, and over all quotes that became jobs."""

from datetime import datetime, timedelta
from math import exp, log

import pytest

from shoptrack.flows import quoted_against
from shoptrack.flows.jobs import set_closed
from shoptrack.flows.quoted_against import Against, Record
from shoptrack.flows.quoting import answers, drafts
from shoptrack.flows.quoting.wanted import Wanted, WantedLine, WantedStage
from shoptrack.store import costs
from shoptrack.store.costs import Spent
from shoptrack.store.jobs import job_row
from shoptrack.store.names import kind_names
from shoptrack.store.rates import set_rate
from shoptrack.store.shop import make_station
from tests.flows.tooling.sharp import planer
from tests.joinery import LONG_AGO, NOW, Joinery, at

QUOTED_AT = at("8:00", -30)


@pytest.fixture
def shop(joinery: Joinery) -> Joinery:
    """The small shop, an hour of hands at 60."""
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=6_000, from_on=LONG_AGO.date(), who=None, now=LONG_AGO)
    return joinery


def taken(shop: Joinery, n: int = 1, pattern: str = "door") -> dict[str, int]:
    """A quote of 100 of wood that was put out and taken: the stages of its job by name, and "job"."""
    wood = WantedLine("material", "ash", 10, 1_000, 0)
    wanted = Wanted("Odile Marr", f"door {n}", revision=shop.revisions[pattern], bought=(wood,))
    quote = drafts.make(shop.store, wanted, f"form-{n}", None, QUOTED_AT)
    answers.put_out(shop.store, quote, 1, None, QUOTED_AT)
    job = answers.take(shop.store, quote, 1, None, QUOTED_AT + timedelta(days=1))
    with shop.store.reading() as session:
        return {"job": job, **{stage.name: stage.id for stage in job_row(session, job).stages}}


def work(shop: Joinery, stage: int, minutes: int, start: datetime) -> None:
    shop.tap("start", start, stage, insisted=True)
    shop.tap("finish", start + timedelta(minutes=minutes), stage)


def against(shop: Joinery, job: int) -> Against | None:
    with shop.store.reading() as session:
        return quoted_against.against(session, job)


def record(shop: Joinery) -> Record | None:
    with shop.store.reading() as session:
        return quoted_against.record(session, kind_names(session))


def test_an_open_job_and_one_without_a_quote_say_nothing(shop: Joinery) -> None:
    door = taken(shop)
    assert against(shop, door["job"]) is None
    plain = shop.add("tray", "tray", None)
    set_closed(shop.store, plain["job"], True, None, NOW)
    assert against(shop, plain["job"]) is None
    assert record(shop) is None


def test_edges_are_worn_by_what_it_took(shop: Joinery) -> None:
    """Knives at 24.00 a sharpening: twice the middle of the quoted minutes wear twice as much."""
    planer(shop, renew_cents=2_400)
    plank = taken(shop, pattern="plank")
    work(shop, plank["planing"], 50, at("8:00", -2))
    set_closed(shop.store, plank["job"], True, None, NOW)
    found = against(shop, plank["job"])
    assert found is not None
    assert found.took_min == pytest.approx(2 * found.hands.p50, rel=0.03)
    assert found.worn_cents == pytest.approx(2 * found.worn.p50, rel=0.03)
    assert found.worn_cents > 100
    assert found.cost_cents == 5_000 + found.worn_cents


def test_each_stage_stands_beside_what_it_took(shop: Joinery) -> None:
    """The frame's rule of thumb is 15 + 4·10 = 55 min, its middle without a log; it took 110."""
    door = taken(shop)
    work(shop, door["frame"], 110, at("8:00", -2))
    work(shop, door["panel stock"], 45, at("10:00", -2))
    set_closed(shop.store, door["job"], True, None, NOW)
    found = against(shop, door["job"])
    assert found is not None
    by = {s.name: s for s in found.stages}
    frame, never = by["frame"], by["put together"]
    assert frame.quoted is not None
    assert frame.quoted.p50 == pytest.approx(55, rel=0.05)
    assert frame.took_min == pytest.approx(110)
    assert frame.over_min == pytest.approx(55, abs=3)
    # a t of 6 degrees of freedom with scale .6225: ln 2 above the middle is 1.11 of them, .846 under it
    assert frame.chance == pytest.approx(0.846, abs=0.005)
    assert (never.took_min, never.chance) == (None, None)
    assert found.took_min == pytest.approx(155)


def test_work_that_was_not_quoted_stands_alone(shop: Joinery) -> None:
    """A stage renamed since is one that was not begun, and one that was not quoted."""
    door = taken(shop)
    with shop.store.writing() as session:
        stage = next(s for s in job_row(session, door["job"]).stages if s.name == "frame")
        stage.name = "frame, again"
    work(shop, door["frame"], 60, at("8:00", -2))
    set_closed(shop.store, door["job"], True, None, NOW)
    found = against(shop, door["job"])
    assert found is not None
    by = {s.name: s for s in found.stages}
    assert by["frame"].took_min is None
    assert by["frame, again"].quoted is None
    assert by["frame, again"].took_min == pytest.approx(60)


def test_the_margin_that_was_left_is_of_what_it_brought(shop: Joinery) -> None:
    """Two hours at 60 and 130 of wood: it cost 250, where wood for 100 was quoted."""
    door = taken(shop)
    work(shop, door["frame"], 120, at("8:00", -2))
    with shop.store.writing() as session:
        wood = Spent("material", "ash", NOW.date(), cents=13_000)
        costs.add_cost(session, door["job"], wood, after=0, who=None, now=NOW)
    set_closed(shop.store, door["job"], True, None, NOW)
    found = against(shop, door["job"])
    assert found is not None
    assert (found.bought_cents, found.spent_cents, found.cost_cents) == (10_000, 13_000, 25_000)
    assert found.earned_cents == found.price_cents > 0
    assert found.margin_left == pytest.approx(1 - 25_000 / found.price_cents)
    assert found.margin_quoted == pytest.approx(1 - found.cost.p50 / found.price_cents)


def test_an_hour_costs_what_the_quote_said_however_dear_it_became(shop: Joinery) -> None:
    door = taken(shop)
    work(shop, door["frame"], 120, at("8:00", -2))
    set_closed(shop.store, door["job"], True, None, NOW)
    before = against(shop, door["job"])
    with shop.store.writing() as session:
        set_rate(session, cents_per_h=9_900, from_on=at("8:00", -10).date(), who=None, now=NOW)
    assert against(shop, door["job"]) == before


def test_the_record_says_how_far_quotes_were_off_and_by_what_kind(shop: Joinery) -> None:
    """Three doors whose frames took twice what was quoted and all else what was: under, mostly milling."""
    for n in range(3):
        door = taken(shop, n)
        day = -12 + n
        work(shop, door["frame"], 110, at("8:00", day))
        work(shop, door["panel stock"], 45, at("10:00", day))
        work(shop, door["panel glue-up"], 30, at("13:00", day))
        work(shop, door["put together"], 30, at("14:00", day))
        set_closed(shop.store, door["job"], True, None, NOW + timedelta(minutes=n))
    found = record(shop)
    assert found is not None
    assert [a.job.title for a in found.jobs] == ["door 2", "door 1", "door 0"]
    middle = sum(a.hands.p50 for a in found.jobs)
    assert found.over == pytest.approx(3 * 215 / middle - 1)
    assert found.over > 0.1
    assert found.mostly == "milling"
    assert found.counted == 3
    assert found.held == sum(a.took_min <= a.hands.p80 for a in found.jobs)
    assert (found.off_first, found.off_last) == (None, None)


def test_six_quotes_tell_whether_they_get_better(shop: Joinery) -> None:
    """Three that took twice as long, then three near the middle: off by less lately."""
    for n in range(6):
        door = taken(shop, n)
        work(shop, door["frame"], 200 if n < 3 else 120, at("8:00", -14 + n))
        set_closed(shop.store, door["job"], True, None, NOW + timedelta(minutes=n))
    found = record(shop)
    assert found is not None
    assert found.off_first is not None
    assert found.off_last is not None
    off = [abs(log(a.took_min / a.hands.p50)) for a in reversed(found.jobs)]
    assert found.off_first == pytest.approx(exp(sum(off[:3]) / 3))
    assert found.off_last == pytest.approx(exp(sum(off[3:]) / 3))


def test_a_machine_costs_what_its_own_stage_was_quoted_at(shop: Joinery) -> None:
    """Two carvings, one at the router at 30 an hour and one by a machine without a rate: an hour on each."""
    with shop.store.writing() as session:
        set_rate(session, cents_per_h=3_000, from_on=LONG_AGO.date(), station=1, who=None, now=LONG_AGO)
        lathe = make_station(session, "lathe").id
        set_rate(session, cents_per_h=0, from_on=LONG_AGO.date(), station=lathe, who=None, now=LONG_AGO)
    carving = shop.kinds["carving"]
    stages = (WantedStage(carving, 1, "rout", 1), WantedStage(carving, 1, "turn", lathe))
    quote = drafts.make(shop.store, Wanted("Odile Marr", "bowl", stages=stages), "bowl", None, QUOTED_AT)
    answers.put_out(shop.store, quote, 1, None, QUOTED_AT)
    job = answers.take(shop.store, quote, 1, None, QUOTED_AT)
    with shop.store.reading() as session:
        own = {stage.name: stage.id for stage in job_row(session, job).stages}
    work(shop, own["rout"], 60, at("8:00", -2))
    work(shop, own["turn"], 60, at("10:00", -2))
    set_closed(shop.store, job, True, None, NOW)
    found = against(shop, job)
    assert found is not None
    assert found.cost_cents == 2 * 6_000 + 3_000
