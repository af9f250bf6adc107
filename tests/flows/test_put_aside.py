"""What is put aside: a whole job in one line, and on the Floor once its day has come."""

from datetime import date, timedelta

from shoptrack.flows.floor import floor
from shoptrack.flows.put_aside import look_again, put_aside
from shoptrack.flows.shopfloor import gather
from shoptrack.store.jobs import close_job
from tests.joinery import NOW, Joinery, at


def test_a_whole_job_is_one_line_and_a_stage_its_own(joinery: Joinery) -> None:
    tray, door = joinery.add("tray", "tray", None), joinery.add("door", "door", None)
    joinery.tap("put-aside", at("9:00"), door["frame"], reason="lumber")
    joinery.tap("put-aside", at("9:05"), job=tray["job"], reason="deposit", look_again_on="2026-11-26")
    first, second = put_aside(gather(joinery.store, NOW))
    assert (first.job, first.stage, first.name, first.reason) == (tray["job"], None, "", "deposit")
    assert (second.stage, second.name, second.look_again_on) == (door["frame"], "frame", None)


def test_the_floor_asks_from_its_day_on_until_it_is_taken_up_or_put_off(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    joinery.tap("put-aside", at("9:05"), job=job, reason="deposit", look_again_on="2026-11-26", text="half")
    assert floor(gather(joinery.store, NOW)).look_again == ()
    for later in (1, 5):
        (line,) = floor(gather(joinery.store, NOW + timedelta(days=later))).look_again
        assert (line.look_again_on, line.text) == (date(2026, 11, 26), "half")
    joinery.tap("put-aside", at("9:00", 1), job=job, reason="deposit", look_again_on="2026-12-09")
    assert look_again(gather(joinery.store, NOW + timedelta(days=2))) == ()
    joinery.tap("take-up", at("9:00", 20), job=job)
    assert put_aside(gather(joinery.store, NOW + timedelta(days=21))) == ()


def test_a_closed_job_is_not_asked_about(joinery: Joinery) -> None:
    job = joinery.add("tray", "tray", None)["job"]
    joinery.tap("put-aside", at("9:05"), job=job, reason="other", look_again_on="2026-11-25")
    assert len(look_again(gather(joinery.store, NOW))) == 1
    with joinery.store.writing() as session:
        close_job(session, job, NOW)
    assert look_again(gather(joinery.store, NOW)) == ()
