"""A month's figures: stints cut where it begins and ends, by the shop's wall, whatever the clocks do."""

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Calendar
from shoptrack.flows.month_figures import (
    Figure,
    by_month,
    next_month,
    office_figures,
    whole_minutes,
    work_figures,
)
from shoptrack.flows.work_done import work_done
from shoptrack.store.log import whole_log
from shoptrack.store.months import Sold
from shoptrack.store.rates import set_rate
from shoptrack.store.snapshot import whole_world
from tests.flows.autumn import FRIDAY, MONDAY, NOVEMBER, OCTOBER, on, over_the_end
from tests.joinery import NOW, PIET, ZONE, BusyDay, Joinery, at

HERE = Calendar(ZONE, ())


def figures(joinery: Joinery, month: date, now: datetime = NOW) -> dict[str, int]:
    with joinery.store.reading() as session:
        return {f.key: f.value for f in work_figures(session, HERE, month, now)}


def test_a_stint_over_the_end_of_a_month_is_cut_there(joinery: Joinery) -> None:
    """Friday 16:00 to Monday 9:00: the last hour of Friday is October's, the first of Monday November's."""
    over_the_end(joinery)
    october, november = figures(joinery, OCTOBER), figures(joinery, NOVEMBER)
    assert (october["job_min:1"], november["job_min:1"]) == (60, 60)
    assert (october["kind_min:milling"], november["kind_min:milling"]) == (60, 60)
    assert (october["job_min_all"], november["job_min_all"]) == (60, 60)


def test_shop_time_counts_within_hours(joinery: Joinery) -> None:
    """Piet sweeps from 11:30 to 13:00 with lunch from 12:00 to 12:30."""
    over_the_end(joinery)
    assert figures(joinery, OCTOBER)["shop_min:2"] == 60
    assert "shop_min:2" not in figures(joinery, NOVEMBER)


def test_a_month_with_shop_time_alone(joinery: Joinery) -> None:
    joinery.tap("start", on(FRIDAY, "9:00"), person=PIET, text="sweeping")
    joinery.tap("pause", on(FRIDAY, "9:30"), person=PIET)
    assert figures(joinery, OCTOBER)["shop_min_all"] == 30


def test_hands_cost_the_rates_of_their_days(joinery: Joinery) -> None:
    """50 an hour in October, 60 from November."""
    over_the_end(joinery)
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=5000, from_on=date(2026, 1, 1), who=None, now=NOW)
        set_rate(session, cents_per_h=6000, from_on=NOVEMBER, who=None, now=NOW)
    assert figures(joinery, OCTOBER)["hands"] == 5000
    assert figures(joinery, NOVEMBER)["hands"] == 6000


def test_the_running_month_runs_until_now(joinery: Joinery, day: BusyDay) -> None:
    """Una is at the hall door since 13:00: ten minutes later there are ten minutes more."""
    before, after = figures(joinery, NOVEMBER), figures(joinery, NOVEMBER, NOW + timedelta(minutes=10))
    assert after["job_min:1"] - before["job_min:1"] == 10


def test_the_window_says_what_the_whole_log_says(joinery: Joinery, day: BusyDay) -> None:
    """All entries there are, replayed with every job: the same minutes by person."""
    over_the_end_of = figures(joinery, NOVEMBER)
    with joinery.store.reading() as session:
        entries, world = whole_log(session), whole_world(session)
    found = work_done(replay(entries, world, NOW), entries, world, world.jobs)
    by = {p: whole_minutes(w.minutes for w in found if w.person == p) for p in (1, 2)}
    assert {1: over_the_end_of["job_min:1"], 2: over_the_end_of["job_min:2"]} == by


def test_mending_moved_into_a_month_counts_there(joinery: Joinery) -> None:
    """Tapped in November, and said by a later move to have been in October."""
    tray = over_the_end(joinery)
    mend = joinery.tap("mend", on(MONDAY, "10:00"), tray["milling"], minutes=5, cents=700)
    assert (figures(joinery, OCTOBER)["mends"], figures(joinery, NOVEMBER)["mends"]) == (0, 700)
    joinery.tap("retime", at("9:00"), of=mend, to_at=on(FRIDAY, "9:00").isoformat())
    assert (figures(joinery, OCTOBER)["mends"], figures(joinery, NOVEMBER)["mends"]) == (700, 0)


def sold(**said: object) -> Sold:
    start: dict[str, object] = {
        "job": 1, "closed_at": None, "called_off": False, "delivered_on": None, "price_cents": 0,
        "deposit_cents": 0, "deposit_on": None,
    }  # fmt: skip
    return Sold(**{**start, **said})  # type: ignore[arg-type]


def office(rows: list[Sold], month: date = OCTOBER) -> dict[str, int]:
    return {f.key: f.value for f in office_figures(by_month(rows, [], HERE), month)}


def test_a_job_is_closed_on_the_shops_own_day() -> None:
    """31 October 23:30 in New York is 1 November by UTC."""
    late = sold(closed_at=on(date(2026, 10, 31), "19:30") + timedelta(hours=4))
    assert late.closed_at is not None
    assert late.closed_at.month == 11
    assert office([late])["closed"] == 1
    assert office([late], NOVEMBER)["closed"] == 0


def test_a_job_called_off_is_counted_apart() -> None:
    found = office([sold(closed_at=on(FRIDAY, "9:00"), called_off=True)])
    assert (found["closed"], found["off"]) == (0, 1)


@pytest.mark.parametrize(
    ("delivered_on", "owed"), [(None, 5000), (date(2026, 10, 31), 0), (date(2026, 11, 1), 5000)]
)
def test_a_deposit_is_owed_at_the_end_of_a_month_until_delivered(
    delivered_on: date | None, owed: int
) -> None:
    job = sold(deposit_cents=5000, deposit_on=date(2026, 10, 2), delivered_on=delivered_on)
    assert office([job])["owed"] == owed
    assert office([job], date(2026, 9, 1))["owed"] == 0


def test_what_was_spent_is_the_month_of_its_day_by_kind() -> None:
    spent = [(date(2026, 10, 1), "material", 5), (date(2026, 10, 31), "material", 2), (NOVEMBER, "other", 9)]
    found = {f.key: f.value for f in office_figures(by_month([], spent, HERE), OCTOBER)}
    assert found["spent:material"] == 7
    assert "spent:other" not in found
    assert Figure("spent:material", "material", "cents", 7).group == "spent"


@given(st.dates(date(2000, 1, 1), date(2100, 12, 31)))
def test_the_next_month_begins_after_this_one_ends(day: date) -> None:
    after = next_month(day)
    assert after.day == 1
    assert after > day
    assert (after - timedelta(days=1)).month == day.month


@given(st.lists(st.floats(0, 10_000), max_size=40), st.randoms(use_true_random=False))
def test_minutes_are_the_same_in_any_order(minutes: list[float], shuffle: "object") -> None:
    other = list(minutes)
    shuffle.shuffle(other)  # type: ignore[attr-defined] # hypothesis' own random
    assert whole_minutes(minutes) == whole_minutes(other)
