from datetime import timedelta

from shoptrack.store.hours_spent import orders_before, orders_in_log, spent_before, spent_in_log
from shoptrack.store.jobs import close_job
from tests.joinery import NOW, Joinery, at
from tests.times import FIRST, bring_in, mill


def test_minutes_of_closed_orders_by_kind(joinery: Joinery) -> None:
    """An open order is not in it; once closed its hour of milling is, where it was closed in time."""
    job = mill(joinery, "a tray", 60, -3)
    with joinery.store.writing() as session:
        assert list(spent_in_log(session, None, None)) == []
        close_job(session, job, NOW)
    with joinery.store.reading() as session:
        (milling,) = spent_in_log(session, None, None)
        assert (milling.name, milling.hands_min, milling.machine_min, milling.orders) == ("milling", 60, 0, 1)
        assert orders_in_log(session, NOW - timedelta(days=1), 1) == 1
        assert orders_in_log(session, NOW + timedelta(days=1), None) == 0
        assert orders_in_log(session, None, 2) == 0


def test_what_was_done_again_counts_too(joinery: Joinery) -> None:
    tray = joinery.add("tray", "spoiled", None, 2)
    joinery.tap("start", at("9:00", -2), tray["milling"])
    joinery.tap("finish", at("10:00", -2), tray["milling"])
    joinery.tap(
        "spoil", at("10:05", -2), tray["milling"], count=1, out_of=4, way_back=tray["milling"], cause="wood"
    )
    joinery.tap("start", at("11:00", -2), tray["milling"])
    joinery.tap("finish", at("11:20", -2), tray["milling"])
    with joinery.store.writing() as session:
        close_job(session, tray["job"], NOW)
    with joinery.store.reading() as session:
        assert [one.hands_min for one in spent_in_log(session, None, None)] == [80]


def test_before_the_log_an_order_is_its_name(joinery: Joinery) -> None:
    bring_in(joinery, "milling", [30.0, 40.0], job="old tray", pattern=1)
    bring_in(joinery, "glue-up", [50.0, 60.0])
    with joinery.store.reading() as session:
        assert [(s.name, s.hands_min, s.orders) for s in spent_before(session, None, None)] == [
            ("milling", 70, 1),
            ("glue-up", 110, 2),
        ]
        assert orders_before(session, None, None) == 3
        assert orders_before(session, None, 1) == 1
        assert orders_before(session, FIRST + timedelta(days=1), None) == 2
