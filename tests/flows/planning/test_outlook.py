"""Chances of open jobs in the shop's days and words."""

from datetime import date

from shoptrack.engine.outlook import look_ahead
from shoptrack.engine.promise import DRAWS
from shoptrack.engine.shapes.promised import Pace, Threat
from shoptrack.flows.planning.outlook import (
    Outlooks,
    ahead_of,
    day_of,
    keep_outlooks,
    last_outlooks,
    outlooks_by_job,
    outlooks_of,
    seed_of,
    threat_words,
)
from shoptrack.flows.planning.plan import Planned, plan_now
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.flows.spoilage import Spoilage
from shoptrack.store.jobs import close_job
from tests.joinery import NOW, Joinery, at

CLEAN = Spoilage(0.0, {})


def seen(joinery: Joinery) -> tuple[Sight, Planned]:
    sight = gather(joinery.store, NOW)
    return sight, plan_now(joinery.store, sight)


def found(joinery: Joinery, spoiled: Spoilage = CLEAN) -> Outlooks:
    sight, planned = seen(joinery)
    orders = len(planned.laid.problem.orders)
    ahead = ahead_of(sight, planned.laid, planned.plan.priority, spoiled, orders)
    assert ahead.draws == DRAWS
    return outlooks_of(sight, planned.laid, look_ahead(ahead), NOW)


def test_days_in_order_and_a_chance_for_what_was_promised(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", date(2026, 12, 31))["job"]
    one = found(joinery).of[job]
    assert one.p50_on is not None
    assert one.p80_on is not None
    assert one.p90_on is not None
    assert date(2026, 11, 26) < one.p50_on <= one.p80_on <= one.p90_on
    assert one.chance is not None
    assert one.chance > 0.5


def test_spoiled_work_makes_it_later(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None, pieces=4)["job"]
    clean, spoiled = found(joinery).of[job], found(joinery, Spoilage(0.5, {})).of[job]
    assert clean.p80_on is not None
    assert spoiled.p80_on is None or spoiled.p80_on >= clean.p80_on
    assert clean.chance is None


def test_what_is_ready_at_night_is_so_in_the_morning(joinery: Joinery) -> None:
    """A Wednesday evening is Thursday; a Friday night is Monday; closing time is still the day itself."""
    joinery.add("tray", "tray", None)
    sight, planned = seen(joinery)
    laid, calendar = planned.laid, sight.world.calendar
    assert day_of(calendar, laid, laid.minutes(at("17:00"))) == date(2026, 11, 25)
    assert day_of(calendar, laid, laid.minutes(at("21:00"))) == date(2026, 11, 26)
    assert day_of(calendar, laid, laid.minutes(at("23:00", 2))) == date(2026, 11, 30)
    assert day_of(calendar, laid, None) is None


def test_threats_by_name(joinery: Joinery) -> None:
    joinery.add("tray", "tray", None)
    _, planned = seen(joinery)
    tag = planned.laid.problem.orders[0].name
    assert threat_words(planned.laid, Threat("task", 0, 0.5)) == "how long “milling” takes"
    assert threat_words(planned.laid, Threat("order", 0, 0.5)) == f"the work on {tag}"
    resources = {n: threat_words(planned.laid, Threat("resource", n, 0.5)) for n in range(2)}
    assert set(resources.values()) == {"other work at the router", "other jobs’ clamps, 600 mm"}


def test_the_last_answer_is_kept_and_an_older_one_dropped(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    old = found(joinery)
    joinery.add("door", "door", None)
    new = found(joinery)
    keep_outlooks(joinery.store, new)
    keep_outlooks(joinery.store, old)
    sight = gather(joinery.store, NOW)
    assert last_outlooks(joinery.store, sight) is new
    with joinery.store.writing() as session:
        close_job(session, job, NOW)
    assert job not in outlooks_by_job(joinery.store, gather(joinery.store, NOW))
    assert len({seed_of(n) for n in range(-5, 6)}) == 11


def test_orders_that_come_are_like_those_that_nobody_has_begun(joinery: Joinery) -> None:
    """One tray is begun, one is not; a quote is no order yet. More orders make nothing surer."""
    begun, fresh = joinery.add("tray", "begun", date(2026, 12, 8)), joinery.add("tray", "fresh", None)
    joinery.tap("start", at("9:00"), begun["milling"])
    sight, planned = seen(joinery)
    laid, orders = planned.laid, len(planned.laid.problem.orders)
    alone = ahead_of(sight, laid, planned.plan.priority, CLEAN, orders)
    busy = ahead_of(sight, laid, planned.plan.priority, CLEAN, orders, (), Pace(6.0))
    assert (alone.pace.per_week, busy.pace.per_week) == (0.0, 6.0)
    assert busy.like == (laid.order_of[fresh["job"]],)
    before, after = (look_ahead(ask).promises[laid.order_of[fresh["job"]]].p80 for ask in (alone, busy))
    assert before is not None
    assert after is None or after >= before
