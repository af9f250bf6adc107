"""Answers to what the book asked: each settles its question and what hangs on it."""

from dataclasses import replace

from shoptrack.engine.replay import rounds, stints
from shoptrack.engine.replay.book import Book, Sitting
from shoptrack.engine.shapes import Entry, Reading


def answer(book: Book, e: Entry) -> None:
    """Settle one question; an answer to nothing that is asked is kept for what is reckoned at the end."""
    if e.of is None:
        return
    key = (e.of, e.asks)
    question = book.questions.pop(key, None)
    book.answers[key] = e
    if e.asks == "in-clamps":
        _in_clamps(book, e)
    elif e.asks == "no-start":
        _no_start(book, e)
    elif e.asks == "back" and question is not None and e.choice == "yes":
        _back(book, e, question.person, question.stages)
    elif e.asks == "temperature":
        _temperature(book, e)
    elif e.asks in ("doubtful-joint", "open-time"):
        _judge(book, e)


def _in_clamps(book: Book, e: Entry) -> None:
    """Yes: it was closed when it was left. No: it was not, and its clamps are on the wall."""
    for draft in book.drafts():
        for made in [r for r in draft.rounds if r.entry == e.of and r.assumed]:
            if e.choice == "yes":
                made.assumed = False
                continue
            draft.rounds.remove(made)
            for pool, held in made.clamps.items():
                book.hold(pool, made.job, -held)


def _no_start(book: Book, e: Entry) -> None:
    for draft in book.drafts():
        if draft.no_start == e.of and e.minutes is not None:
            draft.said_min = e.minutes
            draft.no_start = ""
            draft.usual_said = e.choice == "usual"


def _back(book: Book, e: Entry, person: int | None, stages: tuple[int, ...]) -> None:
    """They went back at the instant of the finish that set them free."""
    asked_at = next(
        (s.end for s in reversed(book.sittings) if s.person == person and s.joined and s.end), None
    )
    if person is None or person in book.open or asked_at is None:
        return
    stages_left = [s for s in book.known(stages) if book.current(s).finished_at is None]
    if stages_left:
        stints.sit(book, Sitting(person, asked_at, e.id), stages_left)


def _judge(book: Book, e: Entry) -> None:
    """A joint was in doubt: it is sound, or its round is done again."""
    for draft in list(book.drafts()):
        for made in [r for r in draft.rounds if r.entry == e.of and not r.judged]:
            made.judged = e.choice
            if e.choice == "redo":
                stage = draft.stage
                again = replace(
                    e,
                    stages=(stage.id,),
                    way_back=stage.id,
                    count=made.count,
                    out_of=stage.quantity,
                    cause="other",
                )
                rounds.spoil(book, again)


def _temperature(book: Book, e: Entry) -> None:
    doubted = book.doubted.get(e.of or "")
    if doubted is None or doubted.value_c is None or doubted.room is None or e.choice == "not-right":
        return
    c = rounds.celsius(doubted.value_c) if e.choice == "as-fahrenheit" else doubted.value_c
    book.readings.append(Reading(doubted.room, doubted.at, c))
