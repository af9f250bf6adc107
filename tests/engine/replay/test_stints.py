"""Start, pause, finish, put aside: who has what in hand."""

from datetime import date

import pytest

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Pass, Replayed
from tests.engine.shop import ANN, BEN, CLEO, Pencil, at, glue_up, shop, stage

WORLD = shop(
    stage(1),
    stage(2, "carving"),
    stage(3, "routing", attendance="within earshot", station=1, rule=(0, 1), quantity=90, job=2),
    stage(4, "sanding", after=(1,)),
)


def see(book: Pencil, when: str) -> Replayed:
    return replay(book.entries, WORLD, at(when))


def first(replayed: Replayed, number: int) -> Pass:
    return replayed.passes[number][0]


def test_one_hands_on_thing_at_a_time() -> None:
    """Ann mills, then starts carving: the milling stops at that instant without a tap of its own."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("9:00", "start", ANN, 2)
    replayed = see(book, "9:30")
    assert replayed.people[ANN].stages == (2,)
    assert [first(replayed, s).attended_min for s in (1, 2)] == [60, 30]
    assert first(replayed, 1).stints[0].ended_by == "switch"


def test_a_second_start_of_what_is_in_hand_changes_nothing() -> None:
    """Two taps on start, two entries: one stint, and the book says so."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    twice = book.tap("8:01", "start", ANN, 1)
    replayed = see(book, "9:00")
    assert len(first(replayed, 1).stints) == 1
    assert replayed.notes[twice] == "already in hand"


def test_two_people_at_one_stage() -> None:
    """Ann 8:00–9:00 leaves, Ben 8:30–9:30 finishes: 120 attended, 90 elapsed."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:30", "start", BEN, 1)
    book.tap("9:00", "pause", ANN, 1)
    assert see(book, "9:10").people.keys() == {BEN}
    book.tap("9:30", "finish", BEN, 1)
    done = first(see(book, "10:00"), 1)
    assert (done.attended_min, done.elapsed_min) == (120, 90)


def test_finish_ends_every_stint_and_asks_who_came_over() -> None:
    """Ben leaves his carving to help at the milling; Ann's finish ends his stint too and asks him "back to
    carving?". Yes: his carving goes on from that instant."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:00", "start", BEN, 2)
    book.tap("9:00", "start", BEN, 1)
    done = book.tap("9:30", "finish", ANN, 1)
    replayed = see(book, "9:40")
    assert replayed.people == {}
    (question,) = replayed.questions
    assert (question.of, question.asks, question.person, question.stages) == (done, "back", BEN, (2,))
    book.tap("9:45", "answer", BEN, of=done, asks="back", choice="yes")
    replayed = see(book, "10:00")
    assert replayed.questions == ()
    assert replayed.people[BEN].since == at("9:30")
    assert first(replayed, 2).attended_min == 60 + 30


def test_a_tap_answers_the_question_back_to() -> None:
    """Ben starts something himself: nobody asks any more."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:00", "start", BEN, 2)
    book.tap("9:00", "start", BEN, 1)
    book.tap("9:30", "finish", ANN, 1)
    book.tap("9:40", "start", BEN, 2)
    assert see(book, "9:50").questions == ()


def test_help_is_taken_out_of_the_helpers_own_stint() -> None:
    """Ben carves 8:00–10:00 and helps Ann 20 min at 9:00: milling 60 + 20, carving 100; he never switched.
    Help from somebody who has nothing in hand adds only."""
    book = Pencil()
    book.tap("8:00", "start", BEN, 2)
    book.tap("8:15", "start", ANN, 1)
    book.tap("9:00", "help", ANN, 1, helper=BEN, minutes=20.0)
    book.tap("9:05", "help", ANN, 1, helper=CLEO, minutes=5.0)
    book.tap("9:15", "finish", ANN, 1)
    book.tap("10:00", "pause", BEN, 2)
    replayed = see(book, "10:00")
    assert first(replayed, 1).attended_min == 60 + 20 + 5
    assert first(replayed, 2).attended_min == 100
    assert first(replayed, 2).elapsed_min == 120


def test_finish_without_a_start_asks_and_teaches_nothing_until_answered() -> None:
    """Ben's last tap was at 8:00, a note; at 9:00 he finishes a milling that nobody started."""
    book = Pencil()
    book.tap("8:00", "note", BEN, 1, text="short of boards")
    done = book.tap("9:00", "finish", BEN, 1)
    replayed = see(book, "9:05")
    (question,) = replayed.questions
    assert question.asks == "no-start"
    assert [(o.choice, o.to_at, o.minutes) for o in question.offers] == [
        ("since-last-tap", at("8:00"), None),
        ("usual", None, 60),
        ("other", None, None),
    ]
    assert (first(replayed, 1).teaches, first(replayed, 1).attended_min) == (False, 0)
    book.tap("9:10", "answer", BEN, of=done, asks="no-start", choice="since-last-tap", minutes=60.0)
    replayed = see(book, "9:15")
    assert replayed.questions == ()
    assert (first(replayed, 1).teaches, first(replayed, 1).attended_min) == (True, 60)


def test_the_usual_time_teaches_nothing() -> None:
    """Who answers "the usual" measured nothing."""
    book = Pencil()
    done = book.tap("9:00", "finish", BEN, 1)
    book.tap("9:10", "answer", BEN, of=done, asks="no-start", choice="usual", minutes=60.0)
    done_pass = first(see(book, "9:15"), 1)
    assert (done_pass.attended_min, done_pass.teaches) == (60, False)


def test_a_second_finish_changes_nothing() -> None:
    """Done at 9:00; a second finish at 9:20 from another tablet is only remarked."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("9:00", "finish", ANN, 1)
    twice = book.tap("9:20", "finish", BEN, 1)
    replayed = see(book, "9:30")
    assert first(replayed, 1).finished_at == at("9:00")
    assert replayed.notes[twice] == "already done"


def test_early_starts_are_marked() -> None:
    """Sanding before the milling it needs is done: marked; insisted upon: marked too."""
    book = Pencil()
    start = book.tap("8:00", "start", ANN, 4)
    replayed = see(book, "8:10")
    assert first(replayed, 4).early
    assert replayed.notes[start] == "before what it needs was done"
    insisted = Pencil()
    start = insisted.tap("8:00", "start", ANN, 4, insisted=True)
    assert see(insisted, "8:10").notes[start] == "started early, insisted"


def test_put_aside_and_taken_up() -> None:
    """The job goes aside while Ann is at it: her stint ends. Taken up it is free; a start takes it up too."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:30", "put-aside", BEN, job=1, reason="lumber", look_again_on=date(2026, 3, 16))
    replayed = see(book, "9:00")
    assert replayed.people == {}
    assert first(replayed, 1).attended_min == 30
    assert set(replayed.asides) == {1, 2, 4}
    assert first(replayed, 1).aside_by == "lumber"
    book.tap("9:30", "start", ANN, 1)
    assert set(see(book, "9:40").asides) == {2, 4}
    book.tap("9:50", "take-up", BEN, job=1)
    assert see(book, "10:00").asides == {}


def test_a_router_goes_on_while_its_person_does_something_else() -> None:
    """Ann sets the router up 9:00–9:10 and carves while it runs; she stops it at 10:40: 10 min of hers, 100
    of its."""
    book = Pencil()
    book.tap("9:00", "start", ANN, 3)
    book.tap("9:10", "start", ANN, 2)
    replayed = see(book, "9:30")
    assert first(replayed, 3).running
    assert replayed.people[ANN].stages == (2,)
    book.tap("10:40", "finish", ANN, 3)
    done = first(see(book, "11:00"), 3)
    assert (done.attended_min, done.machine_min, done.running) == (10, 100, False)


@pytest.mark.parametrize(("goes_on", "running"), [(True, True), (False, False)])
def test_leaving_a_running_machine_or_stopping_it(goes_on: bool, running: bool) -> None:
    """ "I leave it running" ends Ann's stint only; "pause" stops the machine."""
    book = Pencil()
    book.tap("9:00", "start", ANN, 3)
    book.tap("9:10", "pause", ANN, 3, goes_on=goes_on)
    replayed = see(book, "9:30")
    assert replayed.people == {}
    assert first(replayed, 3).running is running


def test_shop_time_lands_on_no_job() -> None:
    """Sweeping 8:00–8:20 between two stages: on no job, in the week's shop time."""
    book = Pencil()
    book.tap("8:00", "start", ANN, text="sweeping")
    assert see(book, "8:10").people[ANN].shop == "sweeping"
    book.tap("8:20", "start", ANN, 1)
    replayed = see(book, "8:30")
    (swept,) = replayed.shop_time
    assert (swept.name, swept.minutes) == ("sweeping", 20)
    assert first(replayed, 1).attended_min == 10


def test_leaving_a_glue_up_asks_whether_it_is_in_the_clamps() -> None:
    """Ann leaves a glue-up without "closed": its cure is assumed from that tap and she is asked. Yes settles
    it, no takes it back, a late "closed" answers it with its own instant."""
    world = shop(glue_up(1), stage(2))
    book = Pencil()
    book.tap("9:00", "start", ANN, 1)
    left = book.tap("9:40", "start", ANN, 2)
    replayed = replay(book.entries, world, at("9:45"))
    (made,) = first(replayed, 1).rounds
    assert (made.assumed, made.cured_from) == (True, at("9:40"))
    assert [(q.of, q.asks) for q in replayed.questions] == [(left, "in-clamps")]
    for choice, rounds, free in (("yes", 1, 4), ("no", 0, 8)):
        answered = Pencil(entries=list(book.entries))
        answered.tap("9:50", "answer", ANN, of=left, asks="in-clamps", choice=choice)
        replayed = replay(answered.entries, world, at("10:00"))
        assert replayed.questions == ()
        assert [r.assumed for r in first(replayed, 1).rounds] == [False] * rounds
        assert replayed.free_clamps[1] == free
    book.tap("9:55", "closed", ANN, 1, told="K2 off 10:35")
    replayed = replay(book.entries, world, at("10:00"))
    (made,) = first(replayed, 1).rounds
    assert (made.assumed, made.cured_from, made.told) == (False, at("9:55"), "K2 off 10:35")
    assert replayed.questions == ()
