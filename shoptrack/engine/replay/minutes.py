"""Sittings and the shop's hours → the minutes that count, who gave them, and what must be asked."""

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise

from shoptrack.engine import hours
from shoptrack.engine.replay.book import Book, Draft, Help, Piece, Sitting
from shoptrack.engine.shapes import Entry, Offer, Question, Run, ShopStint
from shoptrack.engine.units import show_minutes

Spans = tuple[tuple[datetime, datetime], ...]


@dataclass(slots=True)
class Counted:
    """A piece of a sitting with the intervals that count and what others took out of it."""

    piece: Piece
    spans: Spans
    factor: float = 1.0
    given_min: float = 0.0

    @property
    def minutes(self) -> float:
        """Minutes of the whole piece, all its stages together."""
        return max(0.0, length_min(self.spans) * self.factor - self.given_min)


@dataclass(slots=True)
class Timed:
    """All minutes of a replay, by piece, with what the sittings left open."""

    pieces: dict[int, Counted] = field(default_factory=dict)
    crossed: set[str] = field(default_factory=set)
    doubted: set[str] = field(default_factory=set)
    helped: dict[int, float] = field(default_factory=dict)


def length_min(spans: Iterable[tuple[datetime, datetime]]) -> float:
    """Minutes in all of the spans."""
    return sum((b - a).total_seconds() for a, b in spans) / 60.0


class Days:
    """A person's working spans over the whole book, so that a stint inside one of them is found at once."""

    def __init__(self, spans: Spans) -> None:
        self.starts = [a for a, _ in spans]
        self.ends = [b for _, b in spans]

    @classmethod
    def since(cls, book: Book, person: int, start: datetime, now: datetime) -> "Days":
        """The spans from the day of a person's first stint on; sittings are in the order of their starts."""
        return cls(hours.spans(book.world.calendar, person, start - timedelta(days=1), now))

    def has(self, start: datetime, end: datetime) -> bool:
        """Whether an interval lies inside one working span."""
        place = bisect_right(self.starts, start) - 1
        return place >= 0 and end <= self.ends[place]


def reckon(book: Book, now: datetime, jobs: Collection[int] | None) -> Timed:
    """Count the sittings on these jobs within hours, apply answers and help, find what must be asked."""
    timed = Timed()
    days: dict[int, Days] = {}
    for sitting in book.sittings:
        if sitting.pieces and _is_on(sitting, jobs):
            if sitting.person not in days:
                days[sitting.person] = Days.since(book, sitting.person, sitting.start, now)
            _count(book, timed, sitting, days[sitting.person], now)
    own = book.by_person() if book.helps else {}
    for given in book.helps:
        _give(timed, own.get(given.helper, []), given)
    _ask_limits(book, timed, now)
    return timed


def _is_on(sitting: Sitting, jobs: Collection[int] | None) -> bool:
    """Whether a sitting is on any of the jobs; its set of stages only ever shrinks."""
    return jobs is None or any(d.stage.job in jobs for d in sitting.pieces[0].passes)


def _count(book: Book, timed: Timed, sitting: Sitting, days: Days, now: datetime) -> None:
    """The intervals of one sitting that count, its answers applied."""
    lunch = book.answers.get((sitting.start_id, "lunch"))
    worked_until = book.answers.get((sitting.start_id, "closing"))
    still = book.answers.get((sitting.start_id, "still-on"))
    stop = still.to_at if still is not None and still.choice == "until" else None
    through = lunch is not None and lunch.choice == "worked-through"
    until = worked_until.to_at if worked_until is not None else None
    counted = []
    for piece in sitting.pieces:
        end = min(piece.end or now, stop) if stop is not None else piece.end or now
        start = min(piece.start, end)
        inside = days.has(start, end)
        spans = ((start, end),) if inside else _within_hours(book, sitting, start, end, through, until)
        counted.append(Counted(piece, spans))
        timed.pieces[id(piece)] = counted[-1]
        if inside:
            continue
        if length_min(spans) < (end - start).total_seconds() / 60.0 - 0.01 and until is None:
            timed.crossed.add(sitting.start_id)
            _offer(book, sitting, start, end, through, now)
    if still is not None and still.minutes is not None and still.choice in ("usual", "other"):
        _scale(counted, still.minutes)


def _within_hours(
    book: Book, sitting: Sitting, start: datetime, end: datetime, through: bool, until: datetime | None
) -> Spans:
    return hours.counted(book.world.calendar, sitting.person, start, end, through, until)


def _scale(counted: list[Counted], minutes: float) -> None:
    """Somebody said how long the whole sitting really took."""
    total = sum(c.minutes for c in counted)
    for one in counted:
        one.factor = minutes / total if total > 0 else 0.0
    if total <= 0 and counted:
        counted[-1].given_min = -minutes


def _offer(
    book: Book, sitting: Sitting, start: datetime, end: datetime, through: bool, now: datetime
) -> None:
    """Offer "worked through" and "worked until" for a sitting of the last day and a half."""
    if end < now - timedelta(hours=36):
        return
    calendar, stages = book.world.calendar, sitting.stages
    spans = hours.spans(calendar, sitting.person, start, end)
    gaps = [(a[1], b[0]) for a, b in pairwise(spans)]
    lunch = next(
        (g for g in gaps if hours.local(calendar, g[0]).date() == hours.local(calendar, g[1]).date()), None
    )
    if lunch is not None and not through:
        offer = Offer("worked-through", "worked through lunch")
        stints_question(book, sitting, "lunch", "Over lunch too?", (offer,), lunch[0], stages)
    closing = hours.open_day(calendar, hours.local(calendar, start).date())
    if closing is not None and end > closing[1] >= start:
        half_hours = [closing[1] + timedelta(minutes=30 * n) for n in range(1, 7)]
        steps = [t for t in half_hours if t < end]
        if end - closing[1] <= timedelta(hours=6):
            steps.append(end)
        offers = tuple(Offer("worked-until", "worked until", to_at=t) for t in steps)
        stints_question(book, sitting, "closing", "Worked on after closing?", offers, closing[1], stages)


def stints_question(
    book: Book,
    sitting: Sitting,
    asks: str,
    words: str,
    offers: tuple[Offer, ...],
    at: datetime,
    stages: tuple[int, ...],
) -> None:
    """Offer a soft answer about a sitting."""
    if offers and (sitting.start_id, asks) not in book.answers:
        book.questions[(sitting.start_id, asks)] = Question(
            sitting.start_id, asks, words, offers, at, sitting.person, stages, soft=True
        )


def _give(timed: Timed, own: list[Sitting], given: Help) -> None:
    """Take help out of the helper's own stints, newest minutes first, and give it to the stages helped."""
    from_at = given.at - timedelta(minutes=given.minutes)
    left = given.minutes
    begun = bisect_left(own, given.at, key=lambda s: s.start)
    for place in range(begun - 1, -1, -1):
        sitting = own[place]
        if left <= 0 or (sitting.end is not None and sitting.end <= from_at):
            break
        for piece in reversed(sitting.pieces):
            counted = timed.pieces.get(id(piece))
            if counted is None:
                continue  # on another job, whose minutes are not asked for
            overlap = length_min(clip(counted.spans, from_at, given.at))
            counted.given_min += min(left, overlap)
            left -= min(left, overlap)
    weights = [d.stage.rule_min(given.at) or 1.0 for d in given.drafts]
    for draft, weight in zip(given.drafts, weights, strict=True):
        share = given.minutes * weight / sum(weights)
        timed.helped[id(draft)] = timed.helped.get(id(draft), 0.0) + share


def clip(spans: Spans, start: datetime, end: datetime) -> Spans:
    """The parts of spans inside [start, end)."""
    return tuple((max(a, start), min(b, end)) for a, b in spans if a < end and b > start)


def share(piece: Piece, draft: Draft) -> float:
    """A stage's part of a piece's minutes: by rule of thumb among the stages done together."""
    if len(piece.passes) == 1:
        return 1.0
    weights = [d.stage.rule_min(piece.start) * _part(d) or 1.0 for d in piece.passes]
    return weights[[id(d) for d in piece.passes].index(id(draft))] / sum(weights)


def _part(draft: Draft) -> float:
    """How much of the stage this pass is: 1, or the share of spoiled pieces."""
    return draft.quantity / draft.stage.quantity if draft.redo else 1.0


def attended_min(timed: Timed, draft: Draft) -> float:
    """Minutes people gave to a pass: stints, help, and what was said for a finish without a start."""
    own = sum(timed.pieces[id(p)].minutes * share(p, draft) for p in draft.pieces)
    return own + timed.helped.get(id(draft), 0.0) + draft.said_min


def elapsed_min(timed: Timed, draft: Draft) -> float:
    """Minutes during which at least one person was at a pass."""
    spans = sorted(s for p in draft.pieces for s in timed.pieces[id(p)].spans)
    total, reach = 0.0, None
    for a, b in spans:
        start = a if reach is None else max(a, reach)
        if b > start:
            total += (b - start).total_seconds() / 60.0
            reach = b
    return total or draft.said_min


def runs(book: Book, draft: Draft, now: datetime) -> tuple[Run, ...]:
    """The runs of a pass's machine with their minutes: lunch counts, closed nights do not."""
    calendar = book.world.calendar
    return tuple(
        Run(
            draft.stage.id,
            r.start,
            r.end,
            length_min(
                hours.counted(calendar, None, r.start, max(r.start, r.end or now), through_lunch=True)
            ),
            r.started_by,
        )
        for r in draft.runs
    )


def shop_stints(book: Book, now: datetime) -> tuple[ShopStint, ...]:
    """Shop time as stretches with their minutes within hours."""
    calendar = book.world.calendar
    return tuple(
        ShopStint(
            s.person,
            s.shop,
            s.start,
            s.end,
            length_min(hours.counted(calendar, s.person, s.start, max(s.start, s.end or now))),
        )
        for s in book.sittings
        if not s.pieces
    )


def _ask_limits(book: Book, timed: Timed, now: datetime) -> None:
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
            _ask_still_on(book, sitting, total[key], now)


def _ask_still_on(book: Book, sitting: Sitting, total: float, now: datetime) -> None:
    drafts = sitting.pieces[0].passes
    usual = sum(d.stage.rule_min(sitting.start) for d in drafts)
    offers = [
        Offer("all", "yes, all of it"),
        Offer("usual", "the usual time", usual),
        Offer("other", "another time"),
    ]
    day = hours.open_day(book.world.calendar, hours.local(book.world.calendar, sitting.start).date())
    if day is not None and sitting.start < day[1] < (sitting.end or now):
        offers.insert(1, Offer("until", "only until", to_at=day[1]))
    names = ", ".join(d.stage.name for d in drafts)
    so_far, usually = show_minutes(total), show_minutes(usual)
    words = f"{names}: {so_far} so far, usually {usually}. Was it worked all that time?"
    book.questions[(sitting.start_id, "still-on")] = Question(
        sitting.start_id,
        "still-on",
        words,
        tuple(offers),
        sitting.start,
        sitting.person,
        tuple(d.stage.id for d in drafts),
        drafts[0].stage.job,
    )


def answered(book: Book, sitting: Sitting) -> Entry | None:
    """The answer to whether a sitting was worked all that time."""
    return book.answers.get((sitting.start_id, "still-on"))
