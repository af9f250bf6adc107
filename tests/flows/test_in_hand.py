"""What the bench shows of the stages a person has in hand."""

from datetime import timedelta

from shoptrack.engine.replay import live_entries
from shoptrack.flows.in_hand import Hand, glue_of, if_started, in_hand, tape_of
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def hand(joinery: Joinery, person: int, clock: str = "13:24") -> Hand | None:
    sight = gather(joinery.store, at(clock))
    return in_hand(sight, live_entries(sight.entries), person, at(clock))


def test_a_coat_offers_closing_the_next_one(joinery: Joinery, day: BusyDay) -> None:
    """Piet oils: one of three coats is on, two are left; the large button closes one more."""
    oiling = hand(joinery, PIET)
    assert oiling is not None
    assert (oiling.first.stage.id, oiling.main, oiling.count, oiling.left) == (
        day.letter["oiling"],
        "closed",
        1,
        2,
    )
    assert oiling.since == at("13:15")
    assert oiling.minutes == 9
    assert [name for _, name in oiling.helpers] == ["Una"]


def test_plain_work_offers_done(joinery: Joinery, day: BusyDay) -> None:
    frame = hand(joinery, UNA)
    assert frame is not None
    assert (frame.main, frame.count, frame.glue) == ("finish", None, None)
    assert [name for _, name in frame.back_to] == ["frame"]


def test_the_open_time_runs_from_the_spreading(joinery: Joinery, day: BusyDay) -> None:
    """Spread at 13:30 in a room of 20 °C: the glue's own open time; closed, it runs no more."""
    glue_up = day.game["glue-up"]
    joinery.tap("start", at("13:26"), glue_up)
    joinery.tap("spread", at("13:30"), glue_up)
    spread = hand(joinery, UNA, "13:32")
    assert spread is not None
    assert (spread.main, spread.spread_at) == ("closed", at("13:30"))
    sight = gather(joinery.store, at("13:32"))
    glue = glue_of(sight, sight.world.stages[glue_up], at("13:30"))
    assert glue is not None
    assert glue.open_min is not None
    assert spread.open_until == at("13:30") + timedelta(minutes=glue.open_min)
    joinery.tap("closed", at("13:36"), glue_up)
    closed = hand(joinery, UNA, "13:37")
    assert closed is not None
    assert (closed.spread_at, closed.open_until, closed.main) == (None, None, "finish")


def test_the_line_for_the_tape_rounds_to_the_safe_side(joinery: Joinery, day: BusyDay) -> None:
    """What opens is rounded up to five minutes, and work starts when the shop is open."""
    sight = gather(joinery.store, NOW)
    stage = sight.world.stages[day.game["glue-up"]]
    glue = glue_of(sight, stage, NOW)
    assert glue is not None
    opens = {m.mark.role: m.from_at for m in glue.marks}
    tape = {t.word: t.at for t in tape_of(sight, stage, NOW)}
    off, clamps_off = tape["off"], opens["clamps off"]
    assert clamps_off is not None
    assert timedelta(0) <= off - clamps_off < timedelta(minutes=5)
    assert off.minute % 5 == 0
    work, opened = tape["carving"], opens["work"]
    assert opened is not None
    assert work >= opened
    assert tape_of(sight, sight.world.stages[day.hall["frame"]], NOW) == ()


def test_inlays_are_counted_by_the_clamps_that_are_free(joinery: Joinery, day: BusyDay) -> None:
    """Twelve 600s, of which the trays' and the panel's glue-ups hold some: no round is larger than what hangs
    there."""
    sight = gather(joinery.store, NOW)
    (free,) = sight.replayed.free_clamps.values()
    shown = if_started(sight, day.letter["inlay"], UNA, NOW)
    assert shown.left == 3
    assert shown.count == min(3, free)
    assert shown.counts == (1, 2, 3)


def test_nothing_in_hand_is_none_and_shop_time_has_no_stage(joinery: Joinery, day: BusyDay) -> None:
    joinery.tap("pause", at("13:26"), day.hall["frame"])
    assert hand(joinery, UNA, "13:27") is None
    joinery.tap("start", at("13:28"), text="honing")
    honing = hand(joinery, UNA, "13:31")
    assert honing is not None
    assert (honing.shop, honing.stages, honing.minutes) == ("honing", (), 3)
