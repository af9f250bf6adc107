"""What a person is asked about their stints: breaks, closing, timers left running."""

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Pass, Question, Replayed
from tests.engine.shop import ANN, Pencil, at, shop, stage

WORLD = shop(stage(1), stage(2, "carving"))  # the rule of thumb gives 60 min for either


def see(book: Pencil, when: str) -> Replayed:
    return replay(book.entries, WORLD, at(when))


def milling(book: Pencil, when: str) -> Pass:
    return see(book, when).passes[1][0]


def asked(replayed: Replayed, asks: str) -> Question | None:
    return next((q for q in replayed.questions if q.asks == asks), None)


def test_only_past_the_limit_is_asked() -> None:
    """A limit of 120 written into the start: at 119 min nobody asks, at 121 the Floor does; it counts within
    hours and teaches nothing until answered; all of it: 150 min that teach."""
    book = Pencil()
    start = book.tap("8:00", "start", ANN, 1, limit_min=120.0)
    assert asked(see(book, "9:59"), "still-on") is None
    assert asked(see(book, "10:01"), "still-on") is not None
    book.tap("10:30", "finish", ANN, 1)
    done = milling(book, "10:40")
    assert (done.attended_min, done.teaches, done.why_not) == (
        150,
        False,
        "longer than the limit, not answered yet",
    )
    book.tap("10:45", "answer", ANN, of=start, asks="still-on", choice="all")
    done = milling(book, "11:00")
    assert (done.attended_min, done.teaches) == (150, True)


def test_a_late_tap_takes_the_question_away() -> None:
    """The pause of 9:10 comes in late, from a tablet that was offline: nothing is asked any more."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1, limit_min=120.0)
    assert asked(see(book, "11:00"), "still-on") is not None
    late = Pencil("tablet-b")
    late.tap("9:10", "pause", ANN, 1)
    replayed = replay(book.entries + late.entries, WORLD, at("11:00"))
    assert asked(replayed, "still-on") is None
    assert replayed.passes[1][0].attended_min == 70


def test_the_limit_is_on_the_total_of_a_stage() -> None:
    """Two stints of 70 min with a limit of 120: the second is asked about; the answer settles both."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1, limit_min=120.0)
    book.tap("9:10", "pause", ANN, 1)
    second = book.tap("9:20", "start", ANN, 1, limit_min=120.0)
    book.tap("10:30", "pause", ANN, 1)
    question = asked(see(book, "10:40"), "still-on")
    assert question is not None
    assert question.of == second
    book.tap("10:45", "answer", ANN, of=second, asks="still-on", choice="all")
    assert asked(see(book, "10:50"), "still-on") is None


def test_soft_answers_are_offered_for_a_day_and_a_half() -> None:
    """Over lunch on Tuesday: offered until half past twelve on Wednesday night, then no more."""
    book = Pencil()
    book.tap("11:30", "start", ANN, 1)
    book.tap("13:00", "finish", ANN, 1)
    assert asked(see(book, "wed 23:00"), "lunch") is not None
    assert asked(see(book, "thu 1:30"), "lunch") is None


def test_until_closing_is_offered_only_for_what_went_past_it() -> None:
    """Left running over the night: "only until 17:00" is one of the answers; within the day it is not."""
    book = Pencil()
    book.tap("13:00", "start", ANN, 1, limit_min=60.0)
    within = asked(see(book, "15:00"), "still-on")
    assert within is not None
    assert [o.choice for o in within.offers] == ["all", "usual", "other"]
    past = asked(see(book, "wed 9:00"), "still-on")
    assert past is not None
    assert [(o.choice, o.to_at) for o in past.offers][1] == ("until", at("17:00"))
    assert "4 h 15" in asked_words(book)


def asked_words(book: Pencil) -> str:
    """What is asked on Wednesday at 8:15: four hours of Tuesday afternoon and a quarter."""
    question = asked(see(book, "wed 8:15"), "still-on")
    return "" if question is None else question.words
