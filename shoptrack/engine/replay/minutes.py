"""Sittings and the shop's hours → the minutes that count, who gave them, and what must be asked."""

from bisect import bisect_left
from collections.abc import Collection
from datetime import datetime, timedelta

from shoptrack.engine import hours
from shoptrack.engine.replay.book import Book, Draft, Help, Piece, Sitting
from shoptrack.engine.replay.doubts import ask_limits, offer_breaks
from shoptrack.engine.replay.timed import Counted, Days, Spans, Timed, clip, length_min
from shoptrack.engine.shapes import Run, ShopStint


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
    ask_limits(book, timed, now)
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
            offer_breaks(book, timed, sitting, start, end, through, now)
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
    """Shop time as stretches with their minutes within hours, and what was said of lunch and closing."""
    found = []
    for s in (sitting for sitting in book.sittings if not sitting.pieces):
        end = max(s.start, s.end or now)
        lunch, closing = (book.answers.get((s.start_id, asks)) for asks in ("lunch", "closing"))
        through = lunch is not None and lunch.choice == "worked-through"
        until = closing.to_at if closing is not None else None
        spans = hours.counted(book.world.calendar, s.person, s.start, end, through, until)
        found.append(ShopStint(s.person, s.shop, s.start, s.end, length_min(spans), spans))
    return tuple(found)
