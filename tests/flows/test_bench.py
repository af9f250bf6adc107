"""One person's bench, from a log in a real database file."""

from datetime import UTC, datetime, timedelta

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.bench import BenchView, bench, names
from shoptrack.flows.hand_over import hand_over
from shoptrack.flows.in_hand import if_started
from shoptrack.flows.planning.next_up import Why, next_up
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.record import tap
from shoptrack.flows.shopfloor import gather
from shoptrack.store import log
from shoptrack.store.db import Store

ANN, BEN = 1, 2
NOW = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
"""A Tuesday afternoon in a shop that works from 8 to 12 and from 13 to 17."""


def say(store: Store, kind: str, ago_min: float = 0, person: int = BEN, **said: object) -> str:
    id = f"tap-{kind}-{ago_min:g}-{person}"
    answer = tap(store, id=id, person=person, kind=kind, now=NOW, ago_min=ago_min, **said)
    assert answer.status == "done", answer.reason
    return id


def seen(store: Store, person: int = BEN, now: datetime = NOW) -> BenchView:
    return bench(gather(store, now), person, now)


def test_with_nothing_in_hand_the_first_ready_stage_is_offered(store: Store) -> None:
    """Nobody has begun: both jobs' first stages are ready, the others wait for the one before them."""
    view = seen(store)
    assert view.hand is None
    assert [c.stage.id for c in view.choices] == [11, 21]
    assert {c.stage.id for c in view.waiting} == {12, 13, 14, 22, 23, 24}
    waits = next(c for c in view.waiting if c.stage.id == 12)
    assert [(w.why, w.name) for w in waits.waits] == [("not done", "stage 1")]
    assert view.choices[0].then == ("stage 2",)
    assert view.first is not None
    assert view.first.stage == view.choices[0].stage


def test_what_is_in_hand_has_its_minutes_its_helpers_and_the_ways_back(store: Store) -> None:
    """Ben started stage 1 of K7 25 minutes ago; rule of thumb 20 + 3 × 20 = 80 minutes."""
    say(store, "start", 25, stages=[11])
    hand = seen(store).hand
    assert hand is not None
    assert hand.first.tag == "K7"
    assert hand.minutes == pytest.approx(25)
    assert hand.usual_min == pytest.approx(80)
    assert hand.main == "finish"
    assert hand.helpers == ((ANN, "Ann"),)
    assert hand.back_to == ((11, "stage 1"),)
    assert [c.stage.id for c in seen(store).choices] == [21]


def test_another_at_the_same_stage_is_named(store: Store) -> None:
    """Ann comes over: Ben's pause reads "I leave it", and Ann's page offers nothing of it twice."""
    say(store, "start", 25, stages=[11])
    say(store, "start", 5, person=ANN, stages=[11])
    hand = seen(store).hand
    assert hand is not None
    assert hand.others == ("Ann",)


def test_rounds_leave_what_is_not_yet_done(store: Store) -> None:
    """Stage 3 is done in rounds of 20 pieces: 7 are done, the button offers 7 more, at most the 13 left."""
    say(store, "start", 60, stages=[13], insisted=True)
    say(store, "round", 30, stages=[13], count=7)
    hand = seen(store).hand
    assert hand is not None
    assert (hand.main, hand.count, hand.left) == ("round", 7, 13)
    say(store, "round", 10, stages=[13], count=11)
    hand = seen(store).hand
    assert hand is not None
    assert (hand.count, hand.left, hand.counts) == (2, 2, (1, 2))


def test_shop_time_is_in_hand_without_a_stage(store: Store) -> None:
    say(store, "start", 10, text="sweeping")
    view = seen(store)
    assert view.hand is not None
    assert view.hand.shop == "sweeping"
    assert view.hand.stages == ()


def test_names_say_what_each_is_at(store: Store) -> None:
    """Ben mills K7; Ann is free at two o'clock and at home at night."""
    say(store, "start", 25, stages=[11])
    said = {n.name: n.doing for n in names(gather(store, NOW), NOW)}
    assert said == {"Ann": "free", "Ben": "milling K7"}
    night = NOW + timedelta(hours=9)
    assert {n.name: n.doing for n in names(gather(store, night), night)}["Ann"] == "home"


def test_the_last_tap_is_the_one_that_was_not_struck(store: Store) -> None:
    """Ben started, paused, and struck the pause: the start is what a strike would strike now."""
    start = say(store, "start", 25, stages=[11])
    pause = say(store, "pause", 5, stages=[11])
    last = seen(store).last
    assert last is not None
    assert last.id == pause
    say(store, "strike", of=pause)
    last = seen(store).last
    assert last is not None
    assert last.id == start
    assert last.words == "start K7 stage 1"


def test_the_when_row_has_lunch_only_after_lunch(store: Store) -> None:
    """At 14:00 lunch began at 12:00 and the last closing was yesterday 17:00; at 11:00 there was no lunch."""
    row = {e.words: e.value for e in seen(store).earlier}
    assert row["now"] == ""
    assert row["before lunch"] == "2025-03-04T12:00:00+00:00"
    assert row["at closing"] == "2025-03-03T17:00:00+00:00"
    morning = NOW.replace(hour=11)
    assert "before lunch" not in {e.words for e in seen(store, now=morning).earlier}


def planned(store: Store, person: int) -> BenchView:
    sight = gather(store, NOW)
    return bench(sight, person, NOW, next_up(sight, plan_now(store, sight)))


def test_the_plan_says_what_comes_first_and_why(store: Store) -> None:
    """Each gets one of the two stages that are ready, with a reason; what is the other's next comes last."""
    ann, ben = planned(store, ANN), planned(store, BEN)
    assert {ann.choices[0].stage.id, ben.choices[0].stage.id} == {11, 21}
    assert ann.choices[-1].stage.id == ben.choices[0].stage.id
    for view in (ann, ben):
        assert isinstance(view.because, Why)
        assert view.coming is None
        assert view.first is not None
        assert view.first.stage == view.choices[0].stage


def test_what_the_plan_has_next_though_it_cannot_be_started_yet(store: Store) -> None:
    """Ann and Ben have both first stages in hand: the second one of each waits for it, and is said so."""
    for person, stage in ((ANN, 11), (BEN, 21)):
        say(store, "start", 25, person=person, stages=[stage])
    view = planned(store, BEN)
    assert view.because is None
    assert view.coming is not None
    assert view.coming.choice.stage.id in (12, 22)
    assert view.coming.slot.starts_at is not None
    assert view.coming.slot.starts_at > NOW


def test_nobody_of_that_number(store: Store) -> None:
    with pytest.raises(NotFound, match="Nobody of that number"):
        seen(store, person=9)


def test_what_a_stage_would_look_like_in_hand_equals_what_it_looks_like(store: Store) -> None:
    """The tablet's spare page of a stage is the page it gets once the stage is started."""
    spare = if_started(gather(store, NOW), 11, BEN, NOW)
    say(store, "start", 0, stages=[11])
    assert seen(store).hand == spare


def test_a_tap_given_to_another_keeps_its_instant_and_is_given_once(store: Store) -> None:
    """Ben's start 25 minutes ago was Ann's: it is hers from then on, and a second send changes nothing."""
    mine = say(store, "start", 25, stages=[11])
    for _ in range(2):
        hand_over(store, mine, ANN, "given-away-1", NOW)
    assert seen(store).hand is None
    hers = seen(store, ANN).hand
    assert hers is not None
    assert hers.since == NOW - timedelta(minutes=25)
    with store.reading() as session:
        assert [e.kind for e in log.whole_log(session)] == ["start", "start", "strike"]


def test_a_tap_that_is_not_in_the_book_can_be_given_to_nobody(store: Store) -> None:
    with pytest.raises(NotFound, match="not in the book"):
        hand_over(store, "never-was-1", ANN, "given-away-1", NOW)
