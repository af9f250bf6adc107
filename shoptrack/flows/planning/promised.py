"""What may come of a quote among all on the floor → the day that can be promised for it, kept with it."""

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np
from sqlalchemy.orm import Session

from shoptrack import __version__
from shoptrack.engine import outlook
from shoptrack.engine.durations import METHOD
from shoptrack.engine.outlook import Ahead, Outlook, look_ahead
from shoptrack.engine.schedule.problem import trouble
from shoptrack.engine.shapes.promised import NEVER
from shoptrack.errors import Refused
from shoptrack.flows.planning.outlook import day_of, threat_words
from shoptrack.flows.planning.promise_asked import Question, question
from shoptrack.flows.quoting.plain import from_plain, to_plain
from shoptrack.store.db import Store
from shoptrack.store.promises import Promised, keep, of_revision, result_of
from shoptrack.store.quotes import quote_row

TELLING = 0.05
"""A given promise whose chance falls by more than this is said to suffer."""

Run = Callable[[Ahead], Outlook]


@dataclass(frozen=True, slots=True)
class Suffers:
    """A job whose promised date becomes less sure if the quote is taken: its chance before and after."""

    tag: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class ByDay:
    """What share of the futures has an order ready by the end of a day."""

    on: date
    share: float


@dataclass(frozen=True, slots=True)
class QuotePromise:
    """The days by which 5, 8 and 9 in 10 futures have the order of a quote ready; None: fewer ever do.

    ``by_day`` has each day on which any does. ``counted_on`` is the day by which the answer has to come.
    ``hangs_on`` says what it depends on most, ``weighed`` how many other quotes were counted, ``suffers``
    which jobs it would make less sure, ``untold`` what of it can't be planned.
    """

    made_on: date
    counted_on: date
    p50_on: date | None
    p80_on: date | None
    p90_on: date | None
    by_day: tuple[ByDay, ...] = ()
    hangs_on: tuple[str, ...] = ()
    weighed: int = 0
    suffers: tuple[Suffers, ...] = ()
    untold: tuple[str, ...] = ()

    def chance_by(self, on: date) -> float:
        """The chance that it is ready by the end of a day."""
        return max((each.share for each in self.by_day if each.on <= on), default=0.0)


def promise_of_quote(session: Session, revision: int) -> QuotePromise | None:
    """What was kept for a revision of a quote; None: nothing yet. It stands whatever changed since."""
    found = result_of(session, revision)
    return None if found is None else from_plain(QuotePromise, found)


def reckon(store: Store, quote: int, now: datetime, run: Run = look_ahead) -> QuotePromise:
    """The day for the newest revision of a quote, reckoned with all that is on the floor, and kept.

    What is kept already is given as it is. Raises NotFound.
    """
    with store.reading() as session:
        there = promise_of_quote(session, quote_row(session, quote).revisions[-1].id)
    if there is not None:
        return there
    asked = question(store, quote, now)
    found = answered(asked, run(asked.with_it), run(asked.without))
    with store.writing() as session:
        kept = keep(session, _to_keep(asked, found))
    return from_plain(QuotePromise, kept.result)


def answered(asked: Question, with_it: Outlook, without: Outlook) -> QuotePromise:
    """The engine's answer in days and words."""
    laid, calendar, order = asked.laid, asked.sight.world.calendar, asked.order
    promise, job = with_it.promises[order], laid.problem.orders[order].job
    tasks = laid.problem.tasks
    untold = [each.sentence for each in laid.untold if each.job == job]
    untold += [
        left.sentence
        for left in trouble(laid.problem)
        if tasks[left.task].order == order and left.why != "after"
    ]
    return QuotePromise(
        made_on=laid.line.today,
        counted_on=asked.counted_on,
        p50_on=day_of(calendar, laid, promise.p50),
        p80_on=day_of(calendar, laid, promise.p80),
        p90_on=day_of(calendar, laid, promise.p90),
        by_day=tuple(_by_day(asked, with_it)),
        hangs_on=tuple(threat_words(laid, threat) for threat in with_it.threats[order]),
        weighed=asked.weighed,
        suffers=tuple(_suffering(asked, with_it, without)),
        untold=tuple(untold),
    )


def _by_day(asked: Question, found: Outlook) -> Iterator[ByDay]:
    ready = found.ready[:, asked.order]
    days: dict[date, float] = {}
    for minute, count in zip(*np.unique(ready[ready < NEVER], return_counts=True), strict=True):
        on = day_of(asked.sight.world.calendar, asked.laid, int(minute))
        if on is not None:
            days[on] = days.get(on, 0.0) + int(count) / len(ready)
    share = 0.0
    for on, own in sorted(days.items()):
        share += own
        yield ByDay(on, round(min(share, 1.0), 6))


def _suffering(asked: Question, with_it: Outlook, without: Outlook) -> Iterator[Suffers]:
    """The jobs whose chance falls by more than a twentieth, the worst first."""
    orders = asked.laid.problem.orders
    chances = [(o.name, b.chance, a.chance) for o, b, a in zip(orders, without.promises, with_it.promises)]  # noqa: B905 # the last is the quote's own
    found = [Suffers(n, b, a) for n, b, a in chances if b is not None and a is not None and b - a > TELLING]
    yield from sorted(found, key=lambda each: each.after - each.before)


# --- kept, and reckoned again --------------------------------------------------------------------------


def versions() -> str:
    """Which programs reckon: the same ones come to the same day from what was kept."""
    return f"shoptrack {__version__}, times {METHOD}, outlook {outlook.VERSION}, numpy {np.__version__}"


def _to_keep(asked: Question, found: QuotePromise) -> Promised:
    ahead = asked.with_it
    return Promised(
        revision=asked.revision,
        made_at=asked.now,
        seed=ahead.seed,
        draws=ahead.draws,
        versions=versions(),
        head=asked.sight.head,
        result=to_plain(found),
        priority=ahead.priority,
        snapshot=json.dumps(to_plain(ahead)).encode(),
    )


def again(session: Session, revision: int, run: Run = look_ahead) -> Outlook | None:
    """What was kept of a revision of a quote, reckoned again; None where nothing was kept.

    Raises Refused where other versions reckoned it: what they found stands, and can't be found again.
    """
    kept = of_revision(session, revision)
    if kept is None:
        return None
    if kept.versions != versions():
        raise Refused(f"It was reckoned by {kept.versions}; with other versions the day kept stands.")
    plain: Any = json.loads(kept.snapshot)
    return run(from_plain(Ahead, plain))
