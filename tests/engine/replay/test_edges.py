"""What was said of edges, as replay gives it; and the question that a dull edge's spoiled piece brings up."""

import random
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.replay import Reader, live_entries, replay
from shoptrack.engine.shapes import DEEDS, Deed, Question, Replayed, World
from tests.engine.shop import ANN, BEN, Pencil, at, shop, stage

SAW, BIT = 1, 2
CUT = stage(1, "carving", tools=(BIT,))
BOTH = stage(2, "fitting", tools=(SAW, BIT))
BARE = stage(3, "sanding")


def world() -> World:
    return replace(shop(CUT, BOTH, BARE), tools={SAW: "saw blade", BIT: "V-bit"})


def spoil(book: Pencil, when: str, on: int, cause: str = "dull edge") -> str:
    return book.tap(when, "spoil", ANN, on, count=2.0, out_of=20.0, way_back=on, cause=cause)


def asked(book: Pencil, when: str = "16:00") -> tuple[Question, ...]:
    return tuple(q for q in replay(book.entries, world(), at(when)).questions if q.asks == "found-dull")


def deeds(book: Pencil, when: str = "16:00") -> tuple[Deed, ...]:
    return replay(book.entries, world(), at(when)).deeds


def test_a_deed_has_all_that_the_entry_says() -> None:
    """One that was sent, with its cost and the day it is expected; nothing of it before it was tapped."""
    book = Pencil()
    said = {"tool": SAW, "edge": 5, "cents": 1200, "look_again_on": date(2026, 3, 17), "text": "two teeth"}
    entry = book.tap("9:00", "edge", BEN, choice="sent", **said)
    (deed,) = deeds(book)
    assert deed == Deed(entry, at("9:00"), "sent", SAW, 5, BEN, None, 1200, date(2026, 3, 17), "two teeth")
    assert deeds(book, "8:59") == ()


def test_deeds_stand_in_the_order_they_count_in() -> None:
    """A meter read at 8:30 and told of last comes first."""
    book = Pencil()
    book.tap("9:00", "edge", ANN, tool=SAW, edge=1, choice="fitted")
    book.tap("8:30", "edge", ANN, tool=SAW, choice="meter", minutes=600.0)
    assert [(d.did, d.minutes) for d in deeds(book)] == [("meter", 600.0), ("fitted", None)]


def test_undo_is_a_strike_and_a_strike_can_be_struck() -> None:
    book = Pencil()
    dull = book.tap("9:00", "edge", ANN, tool=SAW, choice="found dull")
    strike = book.tap("9:01", "strike", ANN, of=dull)
    assert deeds(book) == ()
    book.tap("9:02", "strike", ANN, of=strike)
    assert [d.entry for d in deeds(book)] == [dull]


def test_it_was_earlier_is_a_retime() -> None:
    book = Pencil()
    dull = book.tap("9:00", "edge", ANN, tool=SAW, choice="found dull")
    book.tap("9:01", "retime", ANN, of=dull, to_at=at("8:20"))
    assert [d.at for d in deeds(book)] == [at("8:20")]


@pytest.mark.parametrize("said", [{"choice": "found dull"}, {"tool": SAW, "choice": "honed"}])
def test_what_says_nothing_of_a_tool_is_no_deed(said: dict[str, object]) -> None:
    """Another version's words, or no tool: the record refuses both, replay passes them by."""
    book = Pencil()
    book.tap("9:00", "edge", ANN, **said)
    assert deeds(book) == ()


def test_one_tool_is_asked_about_with_its_name() -> None:
    book = Pencil()
    of = spoil(book, "10:00", 1)
    (question,) = asked(book)
    assert (question.of, question.person, question.stages) == (of, ANN, (1,))
    assert question.words == "2 spoiled by a dull edge. Was the edge found dull?"
    # a name that is written large stands for itself
    assert [(o.choice, o.words, o.tool) for o in question.offers] == [
        ("found dull", "V-bit", BIT),
        ("no", "no", None),
    ]


def test_each_tool_of_the_stage_is_offered() -> None:
    book = Pencil()
    spoil(book, "10:00", 2)
    (question,) = asked(book)
    assert [(o.words, o.tool) for o in question.offers] == [
        ("the saw blade", SAW),
        ("V-bit", BIT),
        ("no", None),
    ]
    assert question.words.endswith("Which edge was found dull?")


@pytest.mark.parametrize("choice", ["found dull", "rough only"])
@pytest.mark.parametrize("when", ["10:00", "11:00"])
def test_found_dull_at_or_after_the_spoil_answers_it(choice: str, when: str) -> None:
    book = Pencil()
    spoil(book, "10:00", 2)
    dull = book.tap(when, "edge", BEN, tool=SAW, choice=choice)
    assert asked(book) == ()
    book.tap("12:00", "strike", BEN, of=dull)
    assert len(asked(book)) == 1


@pytest.mark.parametrize("choice", ["no", "yes"])
def test_no_answers_it_and_so_does_an_old_yes(choice: str) -> None:
    book = Pencil()
    of = spoil(book, "10:00", 1)
    book.tap("10:05", "answer", ANN, of=of, asks="found-dull", choice=choice)
    assert asked(book) == ()
    assert deeds(book) == ()


def test_what_was_found_of_another_tool_does_not_answer_it() -> None:
    book = Pencil()
    spoil(book, "10:00", 1)
    book.tap("10:05", "edge", ANN, tool=SAW, choice="found dull")
    book.tap("10:06", "edge", ANN, tool=BIT, choice="cleaned")
    assert len(asked(book)) == 1


def test_it_is_not_asked_of_an_edge_that_is_known_to_be_dull() -> None:
    """Found dull at 9:50, spoiled at 10:00; sharpened at 10:30, the next spoiled piece asks again."""
    book = Pencil()
    book.tap("9:50", "edge", ANN, tool=BIT, choice="found dull")
    spoil(book, "10:00", 1)
    assert asked(book) == ()
    book.tap("10:30", "edge", ANN, tool=BIT, choice="sharpened")
    spoil(book, "11:00", 1)
    assert [q.at for q in asked(book)] == [at("11:00")]


def test_another_cause_or_no_tool_asks_nothing() -> None:
    book = Pencil()
    spoil(book, "10:00", 1, "wood")
    spoil(book, "10:10", 3)
    assert asked(book) == ()


def _tapped(rng: random.Random) -> Pencil:
    book = Pencil()
    for n in range(25):
        when = at(f"{8 + n // 6}:{n % 6}0")
        which = rng.choice(("edge", "edge", "spoil", "strike", "retime"))
        earlier = [e.id for e in book.entries if e.kind == "edge"]
        if which == "spoil":
            book.tap(when, "spoil", ANN, 2, count=1.0, out_of=20.0, way_back=2, cause="dull edge")
        elif which == "edge" or not earlier:
            book.tap(when, "edge", ANN, tool=rng.choice((SAW, BIT)), choice=rng.choice(DEEDS), edge=1)
        elif which == "strike":
            book.tap(when, "strike", ANN, of=rng.choice(earlier))
        else:
            book.tap(when, "retime", ANN, of=rng.choice(earlier), to_at=at(f"{rng.randint(8, 11)}:05"))
    return book


@given(st.integers(0, 2**32))
def test_late_and_doubled_entries_change_nothing(seed: int) -> None:
    """Any order of arrival, some entries twice: the same deeds, the same questions."""
    rng = random.Random(seed)
    book = _tapped(rng)
    jumbled = [*book.entries, *rng.sample(book.entries, 5)]
    rng.shuffle(jumbled)
    assert replay(jumbled, world(), at("16:00")) == replay(book.entries, world(), at("16:00"))


@given(st.integers(0, 2**32), st.integers(0, 24))
def test_reading_on_is_as_reading_all_again(seed: int, cut: int) -> None:
    entries = live_entries(_tapped(random.Random(seed)).entries)
    reader = Reader(world())
    reader.read(entries[:cut])
    then = entries[cut - 1].at if 0 < cut <= len(entries) else at("16:00" if cut else "7:00")
    first: Replayed = reader.state(then)
    assert first.deeds == replay(entries[:cut], world(), then).deeds
    reader.read(entries[cut:])
    assert reader.state(at("16:00")) == replay(entries, world(), at("16:00"))
