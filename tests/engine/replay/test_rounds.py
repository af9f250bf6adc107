"""Closings, rounds, clamps, spoiled work, counts on the wall, thermometers."""

import math

import pytest

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import ClampNeed
from tests.engine.shop import ANN, BEN, LONG, OIL, QUICK, SHORT, Pencil, at, glue_up, shop, stage

INLAY = stage(
    1,
    "inlay",
    quantity=20,
    recipe=QUICK,
    rounds=True,
    clamps=(ClampNeed(SHORT, 1, per_piece=True),),
)


def test_rounds_are_as_uneven_as_the_work_was() -> None:
    """Seven, then five, of twenty: counts and instants are the taps' own."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:40", "closed", ANN, 1, count=7.0)
    book.tap("10:00", "unclamp", ANN, 1)
    book.tap("10:30", "closed", ANN, 1, count=5.0)
    replayed = replay(book.entries, shop(INLAY), at("11:00"))
    assert [(r.number, r.count) for r in replayed.passes[1][0].rounds] == [(1, 7), (2, 5)]
    assert replayed.passes[1][0].count_done == 12


def test_one_clamp_an_inlay_makes_rounds() -> None:
    """Twenty inlays with seven clamps, one each: at least ceil(20/7) = 3 rounds. Common practice, no
    source."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    left, hour, rounds = 20.0, 8, 0
    while left > 0:
        count = min(7.0, left)
        book.tap(f"{hour}:10", "closed", ANN, 1, count=count)
        assert min(replay(book.entries, shop(INLAY), at(f"{hour}:11")).free_clamps.values()) >= 0
        book.tap(f"{hour}:50", "unclamp", ANN, 1)
        left, hour, rounds = left - count, hour + 1, rounds + 1
    assert (
        rounds == math.ceil(20 / 7) == len(replay(book.entries, shop(INLAY), at("11:00")).passes[1][0].rounds)
    )


def test_setting_more_clamps_than_are_left_takes_the_oldest_round_off() -> None:
    """A second seven with seven clamps owned: the first seven must be off though nobody tapped it."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:40", "closed", ANN, 1, count=7.0)
    book.tap("9:50", "closed", ANN, 1, count=7.0)
    first, second = replay(book.entries, shop(INLAY), at("10:00")).passes[1][0].rounds
    assert (first.clamps, first.unclamp_assumed, first.unclamped_at) == ((), True, at("9:50"))
    assert second.clamps == ((SHORT, 7),)


def test_a_round_without_closing_cures_from_its_end() -> None:
    """A coat that nobody called closed dries from "coat 1 done"; one that was closed dries from there."""
    coats = stage(1, "finishing", quantity=3, recipe=OIL, rounds=True)
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:30", "round", ANN, 1, count=1.0)
    book.tap("15:00", "closed", ANN, 1)
    book.tap("15:10", "round", ANN, 1)
    first, second = replay(book.entries, shop(coats), at("15:30")).passes[1][0].rounds
    assert (first.cured_from, first.done_at) == (at("8:30"), at("8:30"))
    assert (second.cured_from, second.done_at, second.count) == (at("15:00"), at("15:10"), 1)


def test_finish_cures_what_was_never_closed() -> None:
    """A glue-up finished without "closed": marks count from the finish; a late closing moves them."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:40", "finish", ANN, 1)
    world = shop(glue_up(1))
    (made,) = replay(book.entries, world, at("8:50")).passes[1][0].rounds
    assert (made.cured_from, made.assumed) == (at("8:40"), False)
    book.tap("8:55", "closed", BEN, 1)
    (made,) = replay(book.entries, world, at("9:00")).passes[1][0].rounds
    assert made.cured_from == at("8:55")


def test_unclamp_carries_a_count() -> None:
    """Two of four clamps come off; the round still holds two."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:40", "closed", ANN, 1)
    book.tap("9:45", "unclamp", ANN, 1, count=2.0)
    replayed = replay(book.entries, shop(glue_up(1)), at("9:50"))
    (made,) = replayed.passes[1][0].rounds
    assert (made.clamps, made.clamps_set, made.unclamped_at) == (((LONG, 2),), ((LONG, 4),), None)
    assert replayed.free_clamps[LONG] == 6


def test_going_on_takes_the_clamps_off_but_a_parallel_glue_up_does_not() -> None:
    """Two glue-ups of one job, then flattening the first: only the first one's clamps are taken as off."""
    world = shop(glue_up(1), glue_up(2), stage(3, "flattening", after=(1,)))
    book = Pencil()
    for number, when in ((1, "8:00"), (2, "9:00")):
        book.tap(when, "start", ANN, number)
        book.tap(when.replace("00", "30"), "closed", ANN, number)
    assert replay(book.entries, world, at("9:40")).free_clamps[LONG] == 0
    book.tap("15:00", "start", ANN, 3, insisted=True)
    replayed = replay(book.entries, world, at("15:10"))
    assert replayed.free_clamps[LONG] == 4
    assert replayed.passes[1][0].rounds[0].unclamp_assumed


def test_a_longer_clamp_stands_in_for_a_shorter() -> None:
    """Nine short ones set with seven owned: two long ones are out. Common practice, no source."""
    wide = stage(1, "inlay", quantity=9, recipe=QUICK, clamps=(ClampNeed(SHORT, 9),))
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:40", "closed", ANN, 1)
    assert replay(book.entries, shop(wide), at("9:00")).free_clamps == {LONG: 6, SHORT: 0}


def test_on_the_wall_recounts_a_pool() -> None:
    """Five long clamps counted on the wall though eight are owned and none is logged out; one glue-up later,
    one."""
    book = Pencil()
    book.tap("8:00", "recount", ANN, pool=LONG, count=5.0)
    assert replay(book.entries, shop(glue_up(1)), at("8:10")).free_clamps[LONG] == 5
    book.tap("8:20", "start", ANN, 1)
    book.tap("8:40", "closed", ANN, 1)
    assert replay(book.entries, shop(glue_up(1)), at("8:50")).free_clamps[LONG] == 1


def test_spoiled_before_anything_follows_opens_only_what_was_done() -> None:
    """One of four spoiled at the second of three stages: the first two open again for a quarter, the third,
    not begun, will take all pieces as they come."""
    world = shop(
        stage(1, quantity=8), stage(2, "carving", quantity=4, after=(1,)), stage(3, after=(2,)), pieces=4
    )
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("9:00", "finish", ANN, 1)
    book.tap("9:00", "start", ANN, 2)
    spoiled = book.tap("9:30", "spoil", ANN, 2, count=1.0, way_back=1, cause="wood")
    replayed = replay(book.entries, world, at("9:40"))
    assert [(p.redo, p.quantity) for p in replayed.passes[1]] == [(0, 8), (1, 2)]
    assert [(p.redo, p.quantity) for p in replayed.passes[2]] == [(0, 3), (1, 1)]
    assert len(replayed.passes[3]) == 1
    assert replayed.passes[1][1].after_spoil == spoiled
    assert replayed.passes[1][0].attended_min == 60
    (spoil,) = replayed.spoils
    assert (spoil.count, spoil.out_of, spoil.cause) == (1, 4, "wood")


@pytest.mark.parametrize("then", ["pause", "finish"])
def test_when_all_is_spoiled_the_next_finish_ends_the_redo(then: str) -> None:
    """The one piece is spoiled at the second stage, and whoever was at it leaves it. Made again, milled and
    carved once each, it is done: not a third time for a pass of which nothing was left."""
    world = shop(stage(1, quantity=4), stage(2, "carving", quantity=1, after=(1,)), pieces=1)
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("9:00", "finish", ANN, 1)
    book.tap("9:00", "start", ANN, 2)
    book.tap("9:30", "spoil", ANN, 2, count=1.0, way_back=1, cause="wood")
    left = replay(book.entries, world, at("9:35"))
    assert left.people[ANN].stages == (2,)
    book.tap("9:40", then, ANN, 2)
    for began, ended, number in (("10:00", "10:30", 1), ("10:30", "11:00", 2)):
        book.tap(began, "start", ANN, number)
        book.tap(ended, "finish", ANN, number)
    replayed = replay(book.entries, world, at("11:00"))
    assert [(p.redo, p.quantity, p.finished_at) for p in replayed.passes[2]] == [
        (0, 0, at("9:40")),
        (1, 1, at("11:00")),
    ]
    assert [p.attended_min for p in replayed.passes[2]] == [40, 30]
    assert [p.why_not for p in replayed.passes[2]] == [
        "all of it was spoiled",
        "done again for spoiled pieces",
    ]


def test_spoiled_after_it_was_paused_the_redo_is_next() -> None:
    """The one piece, paused at 9:20 and found spoiled at 9:30: the next start is the redo’s."""
    world = shop(stage(1, "carving", quantity=3), pieces=1)
    book = Pencil()
    book.tap("9:00", "start", ANN, 1)
    book.tap("9:20", "pause", ANN, 1)
    book.tap("9:30", "spoil", ANN, 1, count=1.0, way_back=1, cause="wood")
    book.tap("9:40", "start", ANN, 1)
    first, again = replay(book.entries, world, at("9:50")).passes[1]
    assert (first.finished_at, first.attended_min) == (at("9:30"), 20)
    assert (again.redo, again.started_at) == (1, at("9:40"))


def test_a_thermometer_in_fahrenheit_is_asked_about() -> None:
    """72 typed where °C was meant: not used until somebody says it was °F, then 22.2 °C."""
    book = Pencil()
    book.tap("8:00", "temperature", ANN, room=1, value_c=18.5)
    odd = book.tap("9:00", "temperature", ANN, room=1, value_c=72.0)
    world = shop(stage(1))
    replayed = replay(book.entries, world, at("9:10"))
    assert [r.c for r in replayed.readings] == [18.5]
    assert [o.choice for o in replayed.questions[0].offers] == ["as-fahrenheit", "as-written", "not-right"]
    book.tap("9:15", "answer", ANN, of=odd, asks="temperature", choice="as-fahrenheit")
    replayed = replay(book.entries, world, at("9:20"))
    assert replayed.questions == ()
    assert [r.c for r in replayed.readings] == pytest.approx([18.5, 22.222], abs=1e-3)


def test_spread_goes_with_the_next_closing() -> None:
    """Spread at 8:20, closed at 8:28: the round knows both."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "spread", ANN, 1)
    book.tap("8:28", "closed", ANN, 1)
    (made,) = replay(book.entries, shop(glue_up(1)), at("8:30")).passes[1][0].rounds
    assert (made.spread_at, made.cured_from) == (at("8:20"), at("8:28"))


def test_tended_marks_are_kept_on_the_round() -> None:
    """Wiped off: said once, known from then on."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:10", "closed", ANN, 1)
    book.tap("8:20", "tended", ANN, 1, choice="wipe")
    coats = stage(1, "finishing", quantity=2, recipe=OIL, rounds=True)
    assert replay(book.entries, shop(coats), at("8:30")).passes[1][0].rounds[0].tended == {"wipe"}
