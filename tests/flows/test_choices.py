"""What may be started, what waits, and for what."""

from shoptrack.flows.choices import choices, next_waiting
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, BusyDay, Joinery, at, glued_last_week


def test_ready_stages_by_promised_date_with_what_waits_for_them(joinery: Joinery, day: BusyDay) -> None:
    found = list(choices(gather(joinery.store, NOW), ("ready", "set down")))
    assert [c.promised_on for c in found if c.promised_on] == sorted(
        c.promised_on for c in found if c.promised_on
    )
    assert found[-1].promised_on is None
    game = next(c for c in found if c.place.job == day.game["job"])
    assert (game.place.name, game.then, game.usual_min) == ("glue-up", ("carving the well",), 30)


def test_a_stage_waits_for_the_cure_before_it(joinery: Joinery, day: BusyDay) -> None:
    """The elm trays' carving waits for their glue; the larder doors wait for a word on a joint."""
    found = {c.place.job: c for c in next_waiting(gather(joinery.store, NOW))}
    (wait,) = found[day.elm["job"]].waits
    assert (wait.why, wait.what) == ("curing", "glue-up")
    assert wait.until_at == found[day.elm["job"]].until_at
    assert "doubtful" in [w.why for w in found[day.larder["job"]].waits]


def test_work_still_to_do_in_the_same_job_is_not_news(joinery: Joinery, day: BusyDay) -> None:
    """The game tray's carving only waits for a glue-up that is itself on the list."""
    assert day.game["job"] not in {c.place.job for c in next_waiting(gather(joinery.store, NOW))}


def test_one_waiting_stage_of_each_job_soonest_first(joinery: Joinery, day: BusyDay) -> None:
    found = list(next_waiting(gather(joinery.store, NOW)))
    jobs = [c.place.job for c in found]
    assert len(jobs) == len(set(jobs))


def test_a_machine_that_is_taken_says_by_what(joinery: Joinery) -> None:
    """Two trays may be carved; the router does one at a time. The other stays ready, and says so."""
    first, second = joinery.add("tray", "a", None), joinery.add("tray", "b", None)
    for tray in (first, second):
        joinery.plan("finish", at("9:00", -8), tray["milling"])
        joinery.plan("start", at("9:10", -7), tray["glue-up"])
        joinery.plan("closed", at("9:20", -7), tray["glue-up"])
        joinery.plan("finish", at("9:25", -7), tray["glue-up"])
    joinery.plan("start", at("13:00"), first["carving the well"])
    joinery.play()
    found = next(c for c in choices(gather(joinery.store, NOW), ("ready",)) if c.place.job == second["job"])
    assert found.place.name == "carving the well"
    assert [(w.why, w.what) for w in found.waits] == [("station", "router (A2)")]


def test_some_of_it_is_ready(joinery: Joinery) -> None:
    """4 of 10 inlays are through their day in the glue: 1.2 of 3 coats, so one may go on."""
    tray = glued_last_week(joinery, "tray")
    joinery.tap("start", at("9:00", -6), tray["carving the well"])
    joinery.tap("finish", at("10:00", -6), tray["carving the well"])
    joinery.tap("start", at("8:10", -2), tray["inlay"])
    joinery.tap("closed", at("8:40", -2), tray["inlay"], count=4)
    joinery.tap("pause", at("8:45", -2), tray["inlay"])
    found = next(
        c for c in choices(gather(joinery.store, at("16:00")), ("ready",)) if c.place.stage == tray["oiling"]
    )
    assert found.ready_count == 1
