"""Times that look wrong → a list to say of each whether it counts, and the word that was said."""

from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine import durations
from shoptrack.engine.durations import SET_ASIDE_BELOW, quantile_min
from shoptrack.flows.as_of import NEWEST
from shoptrack.flows.learning import KindLearned, Learned
from shoptrack.store.db import Store
from shoptrack.store.log_answers import say_of_log
from shoptrack.store.logs import Logged


@dataclass(frozen=True, slots=True)
class Wild:
    """A time that looks wrong, or of which somebody said something.

    ``usual_min`` is what half of such stages stay under, ``weight`` how far it is believed. ``counts`` None:
    nobody said anything yet.
    """

    time: Logged
    kind: str
    unit: str
    usual_min: float
    weight: float
    counts: bool | None

    @property
    def key(self) -> str:
        """The time's name on forms."""
        return self.time.key


def wild(learned: Learned) -> tuple[Wild, ...]:
    """The times set aside of which nobody said anything, then those that were answered; each newest first.

    Empty: every time looks like the others. Of the answered ones those are told that still are in a fit.
    """
    found = [one for known in learned.kinds.values() for one in _of_kind(known)]
    newest = sorted(found, key=lambda one: (one.time.finished_at, one.key), reverse=True)
    return tuple(sorted(newest, key=lambda one: one.counts is not None))


def _of_kind(known: KindLearned) -> list[Wild]:
    by_key = {one.key: one for one in known.times[-NEWEST:]}
    by_key |= {one.key: one for one in known.times if one.counts is not None}
    return [
        _wild(known, by_key[log.key], weight, log.repeats)
        for log, weight in zip(known.hands.logs, known.hands.weights, strict=True)
        if log.key in by_key and (log.counts is not None or weight < SET_ASIDE_BELOW)
    ]


def _wild(known: KindLearned, time: Logged, weight: float, repeats: int) -> Wild:
    told = durations.predict(known.hands, time.quantity, time.pattern, repeats)
    usual = quantile_min(told, 0.5)
    return Wild(time, known.kind.name, known.kind.unit, usual, weight, time.counts)


def answer_log(store: Store, key: str, counts: bool, who: int | None, now: datetime) -> None:
    """Say of a time whether it counts like any other or is left out; it may be said otherwise later.

    Said again it changes nothing. Raises NotFound where there is no such time.
    """
    with store.writing() as session:
        say_of_log(session, key, counts, who, now)
