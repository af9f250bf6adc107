"""Strikes and retimes before anything else is read."""

import random
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.replay import book_lines, live_entries, replay
from tests.engine.shop import ANN, BEN, Pencil, at, shop, stage
from tests.engine.test_day import the_day, the_shop


def test_a_struck_entry_does_not_count_but_stays_readable() -> None:
    """A wrong start is struck: nothing is in hand, and the book still shows the line with what struck it."""
    book = Pencil()
    wrong = book.tap("8:00", "start", ANN, 1)
    strike = book.tap("8:01", "strike", ANN, of=wrong)
    assert live_entries(book.entries) == []
    line = next(x for x in book_lines(book.entries, {}) if x.entry.id == wrong)
    assert line.struck_by == strike


def test_a_strike_can_be_struck() -> None:
    """Struck by mistake, and the strike struck again: the start counts."""
    book = Pencil()
    start = book.tap("8:00", "start", ANN, 1)
    strike = book.tap("8:01", "strike", ANN, of=start)
    book.tap("8:02", "strike", ANN, of=strike)
    assert [e.id for e in live_entries(book.entries)] == [start]


def test_a_retime_moves_an_entry_and_the_last_one_wins() -> None:
    """A start at 8:00 was really at 7:30, no, at 7:45; a struck retime moves nothing."""
    book = Pencil()
    start = book.tap("8:00", "start", ANN, 1)
    book.tap("8:10", "retime", ANN, of=start, to_at=at("7:30"))
    last = book.tap("8:11", "retime", ANN, of=start, to_at=at("7:45"))
    assert [e.at for e in live_entries(book.entries)] == [at("7:45")]
    book.tap("8:12", "strike", ANN, of=last)
    assert [e.at for e in live_entries(book.entries)] == [at("7:30")]


def test_a_ring_of_strikes_ends() -> None:
    """Two strikes that name each other, which the record refuses, do not hang the replay."""
    book = Pencil()
    book.tap("8:00", "strike", ANN, of="tablet-a-0002")
    book.tap("8:01", "strike", ANN, of="tablet-a-0001")
    assert live_entries(book.entries) == []


def test_a_retimed_pause_shortens_the_stint() -> None:
    """Paused at 11:00 by tap, really at 10:00: 120 min become 60."""
    book = Pencil()
    book.tap("9:00", "start", ANN, 1)
    pause = book.tap("11:00", "pause", ANN, 1)
    world = shop(stage(1))
    assert replay(book.entries, world, at("12:00")).passes[1][0].attended_min == 120
    book.tap("11:30", "retime", ANN, of=pause, to_at=at("10:00"))
    assert replay(book.entries, world, at("12:00")).passes[1][0].attended_min == 60


@given(st.integers(0, 2**32))
def test_any_order_with_repeats_gives_the_same_state(seed: int) -> None:
    """The whole day's entries shuffled, some twice, in any order: the same passes, people, questions,
    clamps."""
    rng = random.Random(seed)
    entries = the_day().entries
    shuffled = entries + rng.choices(entries, k=10)
    rng.shuffle(shuffled)
    now = at("wed 8:10")
    assert replay(shuffled, the_shop(), now) == replay(entries, the_shop(), now)


@given(st.lists(st.tuples(st.sampled_from(["strike", "retime"]), st.integers(0, 40)), max_size=8))
def test_corrections_never_break_the_book(corrections: list[tuple[str, int]]) -> None:
    """Any strikes and retimes of any entries, corrections included: replay gives minutes that are never
    negative."""
    book = the_day()
    for kind, which in corrections:
        target = book.entries[which % len(book.entries)]
        book.tap("wed 8:05", kind, BEN, of=target.id, to_at=target.at - timedelta(minutes=25))
    replayed = replay(book.entries, the_shop(), at("wed 9:00"))
    for passed in (p for passes in replayed.passes.values() for p in passes):
        assert passed.attended_min >= 0
        assert passed.elapsed_min >= 0
    assert all(n >= 0 for n in replayed.free_clamps.values())
