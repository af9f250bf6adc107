"""What was learned of one kind of stage → its page: patterns, months, its newest times with names."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import Literal
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from shoptrack.engine import durations
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.quoted import Range
from shoptrack.errors import NotFound
from shoptrack.flows.learning import KindLearned, Learned
from shoptrack.flows.rests_on import rests_on
from shoptrack.flows.times import (
    KindLine,
    kind_times,
    machine_range,
    odd_keys,
    plainly,
    range_at,
    range_of,
    usual_measure,
)
from shoptrack.store.log_names import LogNames, log_names, pattern_names
from shoptrack.store.logs import Logged
from shoptrack.store.shop import shop_zone

A_PAGE = 40
Believed = Literal["", "set aside", "it counts", "left out"]


@dataclass(frozen=True, slots=True)
class PatternTimes:
    """One pattern within a kind: its times and orders, the rule its log would give, the usual range."""

    id: int
    name: str
    logs: int
    orders: int
    learned: Rule
    range: Range | None


@dataclass(frozen=True, slots=True)
class Month:
    """The times finished in one month: how many, and the middle of them for the usual measure.

    ``minutes`` is the median of minutes per minute of the rule of thumb (or of what was learned, without a
    rule), times what that says of the usual measure.
    """

    first: date
    count: int
    minutes: float
    share: float


@dataclass(frozen=True, slots=True)
class LogLine:
    """One of the newest times with its names. ``believed`` says whether it was set aside, and by whom."""

    log: Logged
    names: LogNames
    believed: Believed


@dataclass(frozen=True, slots=True)
class Foretelling:
    """What was asked: the range for a measure of a pattern (0: of none), in the sentence used everywhere."""

    measure: float
    pattern: int
    range: Range
    machine: Range | None
    sentence: str


@dataclass(frozen=True, slots=True)
class KindPage:
    """One kind of stage with all that its page tells."""

    times: KindLine
    patterns: tuple[PatternTimes, ...]
    months: tuple[Month, ...]
    newest: tuple[LogLine, ...]
    page: int
    pages: int
    choices: tuple[tuple[int, str], ...]


def known_kind(learned: Learned, kind: int) -> KindLearned:
    """What was learned of a kind. Raises NotFound."""
    if kind not in learned.kinds:
        raise NotFound("There is no such kind of stage.")
    return learned.kinds[kind]


def kind_page(session: Session, known: KindLearned, page: int = 1) -> KindPage:
    """One kind, and a page of its times, the newest on the first. Raises NotFound for a page beyond them."""
    pages = max(-(-len(known.times) // A_PAGE), 1)
    if not 1 <= page <= pages:
        raise NotFound("There are not so many pages.")
    shown = known.times[::-1][(page - 1) * A_PAGE : page * A_PAGE]
    named = log_names(session, shown)
    patterns = pattern_names(session)
    return KindPage(
        times=kind_times(known),
        patterns=pattern_times(known, patterns),
        months=months(known, shop_zone(session)),
        newest=tuple(LogLine(one, named[one.key], how) for one, how in _believed(known, shown)),
        page=page,
        pages=pages,
        choices=tuple(patterns.items()),
    )


def pattern_times(known: KindLearned, names: Mapping[int, str]) -> tuple[PatternTimes, ...]:
    """Every pattern that was logged in a kind, by name."""
    logs: dict[int, int] = defaultdict(int)
    for one in known.hands.logs:
        logs[one.pattern or 0] += 1
    usual = usual_measure(known)
    return tuple(
        PatternTimes(
            id=id,
            name=names[id],
            logs=logs[id],
            orders=known.orders[id],
            learned=plainly(durations.learned_rule(known.hands, id, known.orders[id])),
            range=None if usual is None else range_at(known.hands, usual, id, known.orders[id]),
        )
        for id in names
        if id in known.orders and logs[id]
    )


def months(known: KindLearned, zone: ZoneInfo) -> tuple[Month, ...]:
    """The months in which a kind was finished, oldest first; what was left out as wild is not in them."""
    rule = known.kind.rule if known.kind.rule.minutes(1.0) else durations.learned_rule(known.hands)
    wild, usual = odd_keys(known.hands), usual_measure(known)
    by_month: dict[date, list[float]] = defaultdict(list)
    for one in known.times:
        if one.hands_min > 0 and one.key not in wild and rule.minutes(one.quantity) > 0:
            first = one.finished_at.astimezone(zone).date().replace(day=1)
            by_month[first].append(one.hands_min / rule.minutes(one.quantity))
    standard = rule.minutes(usual or 0.0)
    return tuple(
        Month(first, len(found), median(found) * standard, median(found))
        for first, found in sorted(by_month.items())
    )


def foretell(known: KindLearned, measure: float, pattern: int | None = None) -> Foretelling:
    """The range for a measure and a pattern, with the sentence of what it rests on."""
    orders = known.orders.get(pattern or 0, 0)
    foretold = durations.predict(known.hands, measure, pattern, orders)
    return Foretelling(
        measure=measure,
        pattern=pattern or 0,
        range=range_of(foretold),
        machine=machine_range(known, measure, pattern, orders),
        sentence=rests_on(foretold, known.kind.unit, pattern is not None),
    )


def _believed(known: KindLearned, shown: Sequence[Logged]) -> list[tuple[Logged, Believed]]:
    wild = odd_keys(known.hands) | (odd_keys(known.machine) if known.machine else frozenset())
    said: dict[bool, Believed] = {True: "it counts", False: "left out"}
    return [
        (one, ("set aside" if one.key in wild else "") if one.counts is None else said[one.counts])
        for one in shown
    ]
