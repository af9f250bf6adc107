"""Reading on from where one was gives what reading all of it again gives."""

import random
from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.replay import Reader, live_entries, replay
from shoptrack.engine.shapes import Entry
from tests.engine.shop import ANN, BEN, CLEO, Pencil, at
from tests.engine.test_day import CARVE, GLUE_K7, INLAY, MILL_B3, MILL_K7, MILL_M2, the_day, the_shop

WORLD = the_shop()
PEOPLE = (ANN, BEN, CLEO)
STAGES = tuple(WORLD.stages)
TOGETHER = (MILL_K7, MILL_B3, MILL_M2)


def scribble(rng: random.Random, length: int) -> list[Entry]:
    """A log of random taps over a few days: nonsense, but such as a shop could tap."""
    book = Pencil()
    now = at("mon 7:30")
    for _ in range(length):
        now += timedelta(minutes=rng.choice((0, 1, 4, 15, 50, 200, 700)))
        person, stage = rng.choice(PEOPLE), rng.choice(STAGES)
        kind = rng.choices(*zip(*HOW.items(), strict=True))[0]
        if kind == "together":
            book.tap(now, "start", person, *rng.sample(TOGETHER, rng.choice((2, 3))), limit_min=90.0)
        elif kind == "shop":
            book.tap(now, "start", person, text="sweeping")
        elif kind == "aside":
            book.tap(now, "put-aside", person, job=WORLD.stages[stage].job, reason="lumber")
        elif kind == "answer":
            _answer(rng, book, now)
        else:
            book.tap(now, kind, person, stage, **_said(rng, kind))
    return book.entries


HOW = {"start": 30, "pause": 10, "finish": 12, "closed": 12, "round": 4, "unclamp": 5, "help": 5, "mend": 2}
HOW |= {
    "spoil": 3,
    "together": 6,
    "shop": 4,
    "aside": 2,
    "take-up": 2,
    "answer": 10,
    "spread": 2,
    "tended": 1,
}


def _said(rng: random.Random, kind: str) -> dict[str, object]:
    if kind == "start":
        return {"limit_min": rng.choice((30.0, 200.0, None)), "insisted": rng.random() < 0.1}
    if kind in ("closed", "round", "finish", "unclamp"):
        return {"count": rng.choice((None, None, 1.0, 4.0))}
    if kind == "help":
        return {"helper": rng.choice(PEOPLE), "minutes": rng.choice((10.0, 30.0, 300.0))}
    if kind == "spoil":
        return {
            "count": 2.0,
            "out_of": 20.0,
            "way_back": rng.choice((CARVE, INLAY, GLUE_K7)),
            "cause": "dull edge",
        }
    return {"mend": {"minutes": 5.0, "cents": 100}, "tended": {"choice": "scrape"}}.get(kind, {})


def _answer(rng: random.Random, book: Pencil, now: datetime) -> None:
    """Answer something that is asked, if anything is."""
    asked = replay(book.entries, WORLD, now).questions
    if asked:
        question = rng.choice(asked)
        offer = rng.choice(question.offers)
        minutes = offer.minutes if offer.minutes is not None else rng.choice((None, 12.0))
        said = {"of": question.of, "asks": question.asks, "choice": offer.choice, "to_at": offer.to_at}
        book.tap(now, "answer", question.person, **said, minutes=minutes)


@settings(max_examples=60)
@given(st.integers(0, 2**32), st.lists(st.integers(1, 25), min_size=1, max_size=8))
def test_reading_on_is_as_reading_all_again(seed: int, steps: list[int]) -> None:
    """A random log read in pieces, its state asked for after each piece, sometimes hours later: every time
    the same as a replay from the first entry."""
    rng = random.Random(seed)
    entries = live_entries(scribble(rng, sum(steps)))
    reader, done = Reader(WORLD), 0
    for step in steps:
        piece = entries[done : done + step]
        if not piece:
            break
        assert reader.follows(piece)
        reader.read(piece)
        done += step
        for later in (0, rng.choice((1, 45, 800, 3000))):
            now = piece[-1].at + timedelta(minutes=later if done >= len(entries) else 0)
            assert reader.state(now) == replay(entries[:done], WORLD, now)


@settings(max_examples=15)
@given(st.integers(0, 2**32))
def test_some_jobs_only(seed: int) -> None:
    """The state of two jobs is the same whether the others are asked for too or not."""
    rng = random.Random(seed)
    entries = scribble(rng, 60)
    now = entries[-1].at + timedelta(minutes=20)
    jobs = set(rng.sample(sorted(WORLD.jobs), 2))
    some, whole = replay(entries, WORLD, now, jobs), replay(entries, WORLD, now)
    assert {s for s in some.passes} == {s.id for s in WORLD.stages.values() if s.job in jobs}
    assert all(some.passes[s] == whole.passes[s] for s in some.passes)
    assert some.people == whole.people
    own = [q for q in whole.questions if not q.stages or any(s in some.passes for s in q.stages)]
    assert list(some.questions) == own


def test_a_correction_or_an_earlier_entry_can_t_be_read_on() -> None:
    """A strike, a retime, an entry before the last one: all of it must be read again."""
    reader = Reader(WORLD)
    entries = live_entries(the_day().entries)
    reader.read(entries)
    last = entries[-1]
    later = replace(last, id="later", seq=last.seq + 1, at=last.at + timedelta(minutes=1))
    assert reader.follows([later])
    assert not reader.follows([replace(later, kind="strike", of=last.id)])
    assert not reader.follows([replace(later, kind="retime", of=last.id)])
    assert not reader.follows([replace(later, at=last.at - timedelta(minutes=1))])


def test_the_scribbled_logs_are_worth_reading() -> None:
    """Over ten seeds the nonsense raises every kind of question that replay asks, spoils, helps and puts
    aside."""
    asked: Counter[str] = Counter()
    spoils = asides = 0
    for seed in range(10):
        entries = scribble(random.Random(seed), 120)
        state = replay(entries, WORLD, entries[-1].at)
        asked.update(q.asks for q in state.questions)
        spoils += len(state.spoils)
        asides += len(state.asides)
    assert {"in-clamps", "no-start", "still-on", "back", "found-dull", "closing"} <= asked.keys()
    assert spoils
    assert asides


def test_help_reaches_back_into_a_stint_that_has_ended() -> None:
    """Ben carves 8:00–9:00 and goes over to S2; at 9:10 he is said to have helped Ann for the last half hour:
    20 min of that come out of the carving, whose stint was read, and reckoned, before."""
    book = Pencil()
    book.tap("8:00", "start", BEN, CARVE)
    book.tap("8:00", "start", ANN, GLUE_K7)
    book.tap("9:00", "finish", BEN, CARVE)
    reader = Reader(WORLD)
    reader.read(book.entries)
    assert reader.state(at("9:05")).passes[CARVE][0].attended_min == 60
    book.tap("9:10", "help", ANN, GLUE_K7, helper=BEN, minutes=30.0)
    reader.read(book.entries[-1:])
    state = reader.state(at("9:10"))
    assert state.passes[CARVE][0].attended_min == 40
    assert state == replay(book.entries, WORLD, at("9:10"))
