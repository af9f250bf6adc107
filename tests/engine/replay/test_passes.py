"""What a replay gives of each pass: its stints, what it was done with, why it does not teach, clamps left."""

from shoptrack.engine.replay import replay
from tests.engine.shop import ANN, BEN, LONG, SHORT, Pencil, at, glue_up, shop, stage


def test_a_stage_finished_out_of_a_set_splits_the_stint() -> None:
    """Two milled together 8:00–9:00, then one alone until 9:30: two stints of the second, 30 and 30 min."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1, 2)
    book.tap("9:00", "finish", ANN, 1)
    book.tap("9:30", "finish", ANN, 2)
    second = replay(book.entries, shop(stage(1), stage(2)), at("10:00")).passes[2][0]
    assert [(s.together, s.attended_min) for s in second.stints] == [((1, 2), 30), ((2,), 30)]
    assert second.together == (1, 2)


def test_alone_and_together_is_not_together() -> None:
    """Begun alone, ended with another: it teaches by itself."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:30", "start", ANN, 1, 2)
    book.tap("9:00", "finish", ANN, 1, 2)
    state = replay(book.entries, shop(stage(1), stage(2)), at("10:00"))
    assert state.passes[1][0].together == ()
    assert state.passes[2][0].together == (1, 2)


def test_nothing_begun_has_nothing_to_say() -> None:
    untouched = replay([], shop(stage(1)), at("10:00")).passes[1][0]
    assert (untouched.started_at, untouched.attended_min, untouched.teaches, untouched.why_not) == (
        None,
        0,
        False,
        "",
    )


def test_in_hand_does_not_teach_yet_and_has_no_reason() -> None:
    book = Pencil()
    book.tap("8:00", "start", BEN, 1)
    going = replay(book.entries, shop(stage(1)), at("8:30")).passes[1][0]
    assert (going.teaches, going.why_not, going.open_stints[0].person) == (False, "", BEN)


def test_clamps_of_jobs_that_are_not_asked_for_are_on_the_wall() -> None:
    """A job that was closed has let go of its clamps, though nobody tapped them off."""
    world = shop(glue_up(1, job=1), glue_up(2, job=2))
    book = Pencil()
    for number in (1, 2):
        book.tap("8:00", "start", ANN, number)
        book.tap("8:30", "closed", ANN, number)
    assert replay(book.entries, world, at("9:00")).free_clamps == {LONG: 0, SHORT: 7}
    assert replay(book.entries, world, at("9:00"), {2}).free_clamps == {LONG: 4, SHORT: 7}
