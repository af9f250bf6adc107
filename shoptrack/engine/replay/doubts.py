"""Sittings and their minutes → what a person is asked about them: breaks, closing, timers left running."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from shoptrack.engine import hours
from shoptrack.engine.replay.book import Book, Draft, Sitting
from shoptrack.engine.replay.timed import OFFERED_FOR, Asked, Timed
from shoptrack.engine.shapes import Entry, Offer, Question, in_force
from shoptrack.engine.units import show_minutes


def offer_breaks(
    book: Book, timed: Timed, sitting: Sitting, start: datetime, end: datetime, through: bool, now: datetime
) -> None:
    """Offer "worked through" and "worked until" for a sitting of the last day and a half."""
    if end < now - OFFERED_FOR:
        return
    calendar = book.world.calendar
    spans = hours.spans(calendar, sitting.person, start, end)
    gaps = [(a[1], b[0]) for a, b in pairwise(spans)]
    lunch = next(
        (g for g in gaps if hours.local(calendar, g[0]).date() == hours.local(calendar, g[1]).date()), None
    )
    if lunch is not None and not through:
        offer = Offer("worked-through", "worked through lunch")
        _ask_softly(book, timed, sitting, "lunch", "Over lunch too?", (offer,), lunch[0], end)
    closing = hours.open_day(calendar, hours.local(calendar, start).date())
    if closing is not None and end > closing[1] >= start:
        half_hours = [closing[1] + timedelta(minutes=30 * n) for n in range(1, 7)]
        steps = [t for t in half_hours if t < end]
        if end - closing[1] <= timedelta(hours=6):
            steps.append(end)
        offers = tuple(Offer("worked-until", "worked until", to_at=t) for t in steps)
        _ask_softly(book, timed, sitting, "closing", "Worked on after closing?", offers, closing[1], end)


def _ask_softly(
    book: Book,
    timed: Timed,
    sitting: Sitting,
    asks: str,
    words: str,
    offers: tuple[Offer, ...],
    at: datetime,
    ended_at: datetime,
) -> None:
    """Offer a soft answer about a sitting."""
    if offers and (sitting.start_id, asks) not in book.answers:
        question = Question(
            sitting.start_id, asks, words, offers, at, sitting.person, sitting.stages, soft=True
        )
        timed.asked[(sitting.start_id, asks)] = Asked(question, _jobs(sitting), ended_at)


def _jobs(sitting: Sitting) -> frozenset[int]:
    return frozenset(d.stage.job for d in sitting.pieces[0].passes)


def ask_limits(book: Book, timed: Timed, now: datetime) -> None:
    """Ask about the last sitting of a pass whose minutes pass the limit written into its start.

    Sittings up to one that was answered are settled and no longer counted against the limit.
    """
    last: dict[int, Sitting] = {}
    total: dict[int, float] = {}
    for sitting in book.sittings:
        if sitting.limit_min is None or not sitting.pieces or id(sitting.pieces[0]) not in timed.pieces:
            continue
        key = id(sitting.pieces[0].passes[0])
        still = book.answers.get((sitting.start_id, "still-on"))
        minutes = sum(timed.pieces[id(p)].minutes for p in sitting.pieces)
        total[key] = 0.0 if still is not None else total.get(key, 0.0) + minutes
        last[key] = sitting
        if still is not None:
            del last[key]
    for key, sitting in last.items():
        if sitting.limit_min is not None and total[key] > sitting.limit_min:
            timed.doubted.add(sitting.start_id)
            _ask_still_on(book, timed, sitting, total[key], now)


def _ask_still_on(book: Book, timed: Timed, sitting: Sitting, total: float, now: datetime) -> None:
    drafts = sitting.pieces[0].passes
    usual = usual_min(drafts, sitting.start)
    offers = [
        Offer("all", "yes, all of it"),
        Offer("usual", "the usual time", usual),
        Offer("other", "another time"),
    ]
    on = hours.local(book.world.calendar, sitting.start).date()
    day = hours.day_spans(book.world.calendar, sitting.person, on)
    if day and sitting.start < day[-1][1] < (sitting.end or now):
        offers.insert(1, Offer("until", "only until", to_at=day[-1][1]))
    names = ", ".join(d.stage.name for d in drafts)
    took, usually = show_minutes(total), show_minutes(usual)
    so_far = " so far" if sitting.end is None else ""
    words = f"{names}: {took}{so_far}, usually {usually}. Was it worked all that time?"
    question = Question(
        sitting.start_id,
        "still-on",
        words,
        tuple(offers),
        sitting.start,
        sitting.person,
        tuple(d.stage.id for d in drafts),
        drafts[0].stage.job,
    )
    timed.asked[(sitting.start_id, "still-on")] = Asked(question, _jobs(sitting))


def usual_min(drafts: Sequence[Draft], at: datetime) -> float:
    """Minutes by rule of thumb for what is done together: one set-up, and the rate for all of each pass."""
    rules = [(in_force(d.stage.rule, at), d.quantity) for d in drafts]
    return max(rule.setup_min for rule, _ in rules) + sum(rule.rate_min * q for rule, q in rules)


def answered(book: Book, sitting: Sitting) -> Entry | None:
    """The answer to whether a sitting was worked all that time."""
    return book.answers.get((sitting.start_id, "still-on"))
