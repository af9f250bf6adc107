"""What an hour of hands and a clamp over a night earned, by pattern and customer."""

from datetime import date

from shoptrack.flows.jobs import set_closed
from shoptrack.flows.what_pays import Spread, WhatPays, what_pays
from shoptrack.store import costs, extras
from shoptrack.store.costs import Spent
from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from shoptrack.store.rates import set_rate
from tests.joinery import NOW, Joinery, at

ON = date(2026, 11, 25)


def found(joinery: Joinery) -> WhatPays:
    with joinery.store.reading() as session:
        return what_pays(session, NOW)


def sold(joinery: Joinery, price_cents: int, hours: int, day: int = -1) -> int:
    """A tray on whose milling so many hours were worked one morning, closed on Wednesday at a price."""
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00", day), tray["milling"])
    joinery.tap("finish", at(f"{8 + hours}:00", day), tray["milling"])
    close(joinery, tray["job"], price_cents)
    return tray["job"]


def close(joinery: Joinery, job: int, price_cents: int | None) -> None:
    with joinery.store.writing() as session:
        edit(session, job_row(session, job), None, NOW, price_cents=price_cents)
    set_closed(joinery.store, job, True, None, NOW)


def test_nothing_was_sold_yet(joinery: Joinery) -> None:
    assert found(joinery) == WhatPays(None, (), (), None)


def test_a_job_without_hours_or_price_says_nothing(joinery: Joinery) -> None:
    close(joinery, joinery.add("tray", "never begun", None)["job"], 50_000)
    tray = joinery.add("tray", "a present", None)
    joinery.tap("start", at("8:00"), tray["milling"])
    joinery.tap("finish", at("9:00"), tray["milling"])
    close(joinery, tray["job"], None)
    assert found(joinery).all is None


def test_an_hour_earns_what_is_left_of_price_and_extras_after_what_was_bought(joinery: Joinery) -> None:
    """600 and an extra of 60 for two hours, 160 of wood: 500 over two hours are 250 an hour."""
    job = sold(joinery, 60_000, 2)
    with joinery.store.writing() as session:
        extras.add_extra(session, job, number=1, words="a lid", cents=6_000, asked_on=ON, who=None, now=NOW)
        extras.approve(session, job, 1, ON, "by phone", None, NOW)
        extras.add_extra(session, job, number=2, words="gilt", cents=9_000, asked_on=ON, who=None, now=NOW)
        wood = Spent("material", "elm", ON, cents=16_000)
        costs.add_cost(session, job, wood, after=0, who=None, now=NOW)
    whole = found(joinery).all
    assert whole is not None
    assert (whole.jobs, whole.earned_cents, whole.hour_cents, whole.hour_range) == (1, 50_000, 25_000, None)
    assert (whole.price_cents, whole.level_cents) == (66_000, 66_000)


def test_the_level_price_gives_each_pattern_what_all_earn_an_hour(joinery: Joinery) -> None:
    """One hour for 300 and three for 300: 150 an hour together, so 150 and 450 would be level."""
    sold(joinery, 30_000, 1)
    door = joinery.add("door", "door", None)
    joinery.tap("start", at("13:00", -1), door["frame"])
    joinery.tap("finish", at("16:00", -1), door["frame"])
    close(joinery, door["job"], 30_000)
    pays = found(joinery)
    assert pays.all is not None
    assert pays.all.hour_cents == 15_000
    by = {p.name: (p.hour_cents, p.price_cents, p.level_cents) for p in pays.by_pattern}
    assert by == {"tray": (30_000, 30_000, 15_000), "door": (10_000, 30_000, 45_000)}
    assert [p.name for p in pays.by_pattern] == ["tray", "door"]
    assert [(p.name, p.jobs) for p in pays.by_customer] == [("Odile Marr", 2)]


def test_a_range_is_told_from_three_jobs_on(joinery: Joinery) -> None:
    """One hour each for 100, 200 and 300: a tenth of the way from 100 to 200, and from 300 back."""
    for price_cents, day in ((10_000, -6), (20_000, -5)):
        sold(joinery, price_cents, 1, day)
    assert found(joinery).by_pattern[0].hour_range is None
    sold(joinery, 30_000, 1)
    assert found(joinery).by_pattern[0].hour_range == Spread(12_000, 28_000)


def test_clamps_count_the_midnights_they_were_held_over(joinery: Joinery) -> None:
    """Four clamps from Monday afternoon to Wednesday morning: two nights, eight clamp-nights."""
    tray = joinery.add("tray", "tray", None)
    glue = tray["glue-up"]
    joinery.tap("start", at("15:00", -2), glue, insisted=True)
    joinery.tap("closed", at("16:00", -2), glue)
    joinery.tap("finish", at("16:00", -2), glue)
    joinery.tap("unclamp", at("9:00"), glue)
    close(joinery, tray["job"], 80_000)
    whole = found(joinery).all
    assert whole is not None
    assert (whole.clamp_nights, whole.night_cents) == (8, 10_000)


def test_clamps_that_nobody_took_off_are_held_until_the_job_is_closed(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("15:00", -1), tray["glue-up"], insisted=True)
    joinery.tap("closed", at("16:00", -1), tray["glue-up"])
    joinery.tap("finish", at("16:00", -1), tray["glue-up"])
    close(joinery, tray["job"], 80_000)
    whole = found(joinery).all
    assert whole is not None
    assert whole.clamp_nights == 4


def test_a_machine_costs_its_rate(joinery: Joinery) -> None:
    """An hour at the router at 30 an hour: of 200 for the hour 170 are earned."""
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=3_000, from_on=date(2025, 1, 1), station=1, who=None, now=NOW)
    tray = joinery.add("tray", "tray", None)
    joinery.tap("start", at("8:00"), tray["carving the well"], insisted=True)
    joinery.tap("finish", at("9:00"), tray["carving the well"])
    close(joinery, tray["job"], 20_000)
    whole = found(joinery).all
    assert whole is not None
    assert whole.earned_cents == 17_000
