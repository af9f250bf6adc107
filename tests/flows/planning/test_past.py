"""Rounds closed already: clamps they hold, coats that are wet, windows that run, jobs that wait for them."""

from dataclasses import replace

from shoptrack.engine.shapes import ClampNeed, Mark, Station
from shoptrack.engine.shapes.planned import After
from tests.engine.shop import ANN, LONG, OIL, PVA, Pencil, glue_up, shop, stage
from tests.flows.planning.laying import laid_at, past, placed, planned, tasks, wall

COATS = stage(1, "finishing", recipe=OIL, rounds=True, quantity=3, rule=(10, 20), interruption="none")
GLUED = glue_up(1, clamps=(ClampNeed(LONG, 8),))


def closed(when: str = "8:20", **more: object) -> Pencil:
    """The first stage begun at eight and closed."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap(when, "closed", ANN, 1, **more)
    book.tap(when, "pause", ANN, 1)
    return book


def test_clamps_out_are_held_until_they_may_come_off() -> None:
    """All eight long ones are in K2's panel until twenty past nine: the next panel waits for them."""
    laid = laid_at(shop(GLUED, glue_up(2, job=2)), "8:30", closed())
    (held,) = past(laid)
    assert (held.begun, held.crew, held.work, held.off) == ((), 0, 0, 50)
    assert {count for _, count in held.keeps} == {8}
    assert placed(laid, 2)[0].start == wall(laid, "9:20")
    assert not tasks(laid, 1)


def test_clamps_that_may_come_off_are_free_as_soon_as_somebody_is_here() -> None:
    """At noon they may long be off: nobody is here until a quarter to one."""
    laid = laid_at(shop(GLUED, glue_up(2, job=2, interruption="any")), "12:00", closed())
    assert [held.off for held in past(laid)] == [0]
    assert placed(laid, 2)[0].start == wall(laid, "12:45")


def test_what_follows_waits_for_its_real_mark() -> None:
    """Closed at twenty past eight with a day to cure: sanded tomorrow at twenty past eight."""
    laid = laid_at(shop(GLUED, stage(2, "sanding", after=(1,))), "8:30", closed())
    assert tasks(laid, 2)[0].earliest == wall(laid, "wed 8:20")
    assert placed(laid, 2)[0].start == wall(laid, "wed 8:20")


def test_the_next_coat_has_the_window_of_the_last_one() -> None:
    """On at twenty past eight: the next from 14:20 on and before 4:20 tomorrow, so today."""
    laid = laid_at(shop(COATS), "10:00", closed(count=1.0))
    (wet,) = past(laid)
    (after,) = tasks(laid, 1)[0].after
    assert laid.problem.tasks[after.task] == wet
    assert after.greatest == wall(laid, "wed 4:20")
    assert tasks(laid, 1)[0].earliest == wall(laid, "14:20")
    assert placed(laid, 1)[0].start == wall(laid, "14:20")
    assert not planned(laid).missed


def test_who_cleans_the_brush_is_not_at_the_next_coat() -> None:
    """The coat is on and Ann still has it in hand: until 8:35 she wipes it off; the next is not begun.

    Once she has said that it is wiped, she is free a minute later. What cures counts as it did.
    """
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1, count=1.0)
    laid = laid_at(shop(COATS), "8:25", book)
    assert [t.begun for t in tasks(laid, 1)] == [None, None]
    assert placed(laid, 1)[0].start == wall(laid, "14:20")
    (wiping,) = past(laid)
    assert (wiping.begun, wiping.crew, wiping.work) == ((laid.worker_of[ANN],), 1, 10)
    assert wiping.work + wiping.wet == wall(laid, "14:20")
    (after,) = tasks(laid, 1)[0].after
    assert wiping.work + (after.greatest or 0) == wall(laid, "wed 4:20")
    book.tap("8:26", "tended", ANN, 1, choice="wipe")
    assert [t.work for t in past(laid_at(shop(COATS), "8:27", book))] == [1]


def test_half_way_through_a_window_it_may_still_be_met_or_is_missed() -> None:
    """At five to five five minutes are left of the day: the coat comes tomorrow, too late, and that is said.

    Once the window is over nothing more is missed: it is scuffed and coated as soon as may be.
    """
    laid = laid_at(shop(COATS), "16:55", closed(count=1.0))
    plan = planned(laid)
    assert placed(laid, 1, plan)[0].start == wall(laid, "wed 8:00")
    assert [missed.late_min for missed in plan.missed] == [wall(laid, "wed 8:00") - wall(laid, "wed 4:20")]
    later = laid_at(shop(COATS), "wed 8:00", closed(count=1.0))
    assert tasks(later, 1)[0].after == ()
    assert not planned(later).missed


def test_a_wet_coat_keeps_dust_away() -> None:
    """Dry at twenty past two; sanding in the same room waits, in another it does not."""
    coats = replace(COATS, quantity=1)
    sanding = stage(2, "sanding", job=2, dusty=True, room=1)
    laid = laid_at(shop(coats, sanding), "10:00", closed(count=1.0))
    assert past(laid)[0].wet == wall(laid, "14:20")
    assert placed(laid, 2)[0].start == wall(laid, "14:20")
    away = shop(coats, replace(sanding, room=2))
    away = replace(away, rooms={**away.rooms, 2: replace(away.rooms[1], id=2)})
    assert placed(laid_at(away, "10:00", closed(count=1.0)), 2)[0].start == 0


def test_a_job_is_ready_when_its_last_coat_is() -> None:
    """All is done but curing: handled ten hours after twenty past eight."""
    laid = laid_at(shop(replace(COATS, quantity=1)), "10:00", closed(count=1.0))
    assert planned(laid).ready == (wall(laid, "18:20"),)
    assert not tasks(laid, 1)


def test_what_dries_on_a_rack_keeps_its_place() -> None:
    """One place on the rack, taken until twenty past six, when everybody is gone: free tomorrow at eight."""
    world = shop(replace(COATS, quantity=1, station=3), replace(COATS, id=2, job=2, quantity=1, station=3))
    world = replace(world, stations={3: Station(3, "rack", through_cure=True)})
    laid = laid_at(world, "10:00", closed(count=1.0))
    assert past(laid)[0].keeps == ((laid.station_of[3], 1),)
    assert placed(laid, 2)[0].start == wall(laid, "wed 8:00")
    assert tasks(laid, 2)[0].keeps == ((laid.station_of[3], 1),)


def test_what_is_dry_and_free_leaves_nothing() -> None:
    book = closed()
    book.tap("9:30", "unclamp", ANN, 1)
    laid = laid_at(shop(GLUED, stage(2, "sanding", after=(1,))), "thu 9:00", book)
    assert past(laid) == []
    assert tasks(laid, 2)[0].earliest == 0


def test_a_greatest_wait_that_runs_ends_when_it_ends() -> None:
    """Planed by nine, glued within four hours: with two hours gone two are left; after six none is asked."""
    glued = glue_up(2, needs=(replace(stage(9, after=(1,)).needs[0], greatest_wait_min=240.0),))
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("9:00", "finish", ANN, 1)
    laid = laid_at(shop(stage(1), glued), "11:00", book)
    (before,) = laid.past
    assert tasks(laid, 2)[0].after == (After(before, 0, 120),)
    assert tasks(laid_at(shop(stage(1), glued), "15:00", book), 2)[0].after == ()


def test_a_glue_without_a_clamps_off_mark_holds_them_until_work_goes_on() -> None:
    bare = replace(PVA, marks=(Mark("work", "can be worked", from_min=180.0, gates=True),))
    laid = laid_at(shop(glue_up(1, bare)), "8:30", closed())
    assert past(laid)[0].off == wall(laid, "11:20")
