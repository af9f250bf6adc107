"""The log of one week → for each person and day the hours paid, on jobs, shop time, unknown and beyond."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shoptrack.engine.days import Span, Spans, by_day, day_of, joined, less, minutes_in
from shoptrack.engine.hours import local, spans
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Replayed, ShopStint, World
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.work_done import Work, work_done
from shoptrack.store import snapshot
from shoptrack.store.db import Store
from shoptrack.store.taps import entries_between

A_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of work of one day: on jobs, named by their tags, or shop time by its own name."""

    start: datetime
    end: datetime
    what: str
    shop: bool


@dataclass(frozen=True, slots=True)
class DayHours:
    """A person's day in minutes: ``paid`` by their calendar, known ``on_jobs`` and as ``shop`` time.

    ``unknown`` is what was paid so far and nobody knows of, ``beyond`` what was worked outside the hours;
    ``paid_spans`` and ``stretches`` are what is drawn.
    """

    on: date
    paid_min: float
    on_jobs_min: float
    shop_min: float
    unknown_min: float
    beyond_min: float
    paid_spans: Spans
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class PersonWeek:
    """A person's seven days, Monday first."""

    person: int
    name: str
    days: tuple[DayHours, ...]

    def total(self, of: str) -> float:
        """The sum of one kind of minutes over the week, by the field's name."""
        return float(sum(getattr(day, of) for day in self.days))


@dataclass(frozen=True, slots=True)
class WeekView:
    """A week of everybody who works here, or worked in it."""

    monday: date
    people: tuple[PersonWeek, ...]
    days: tuple[Span, ...]
    is_last: bool


def week_view(store: Store, on: date | None, now: datetime) -> WeekView:
    """The week with a day in it, this week where none is said, up to now.

    Method: the log of the week and two weeks before is replayed as it stands now, with answers that came
    later; stretches are cut at local midnights.
    """
    calendar = gather(store, now).world.calendar
    today = local(calendar, now).date()
    monday = (on or today) - timedelta(days=(on or today).weekday())
    days = tuple(day_of(calendar, monday + timedelta(days=n)) for n in range(7))
    since, until = days[0][0], days[-1][1]
    with store.reading() as session:
        entries = entries_between(session, since, until)
        world = snapshot.world_around(session, {s for e in entries for s in e.stages})
    state = replay(entries, world, now)
    works = work_done(state, entries, world, world.jobs)
    here = [p for p in world.people.values()]
    weeks = [_person(world, p.id, p.name, days, works, state, now) for p in here]
    shown = [w for w, p in zip(weeks, here, strict=True) if not p.retired or w.total("on_jobs_min")]
    return WeekView(monday, tuple(shown), days, monday + A_WEEK > today)


def _person(
    world: World,
    person: int,
    name: str,
    days: Sequence[Span],
    works: Iterable[Work],
    state: Replayed,
    now: datetime,
) -> PersonWeek:
    own = [w for w in works if w.person == person]
    shop = [s for s in state.shop_time if s.person == person]
    return PersonWeek(person, name, tuple(_day(world, person, day, own, shop, now) for day in days))


def _day(
    world: World,
    person: int,
    day: Span,
    works: Iterable[Work],
    shop: Iterable[ShopStint],
    now: datetime,
) -> DayHours:
    calendar, on = world.calendar, local(world.calendar, day[0]).date()
    own = [part for w in works if (part := w.within(*day)) is not None]
    idle = [(s.name or "shop time", part) for s in shop for part in by_day(calendar, s.counted).get(on, ())]
    paid = spans(calendar, person, *day)
    on_jobs = [_span(w) for w in own]
    known = joined([*on_jobs, *(part for _, part in idle)])
    beyond = minutes_in(less(known, paid))
    on_jobs_min = sum(w.minutes for w in own)
    shop_min = minutes_in(part for _, part in idle)
    so_far = minutes_in((a, min(b, now)) for a, b in paid if a < now)
    return DayHours(
        on=on,
        paid_min=minutes_in(paid),
        on_jobs_min=on_jobs_min,
        shop_min=shop_min,
        unknown_min=max(0.0, so_far - (on_jobs_min + shop_min - beyond)),
        beyond_min=beyond,
        paid_spans=paid,
        stretches=tuple(sorted([*_drawn(world, own), *_idle(idle)], key=lambda s: s.start)),
    )


def _span(work: Work) -> Span:
    """The stretch of some work; what was said afterwards is taken as just before."""
    if work.start < work.end:
        return work.start, work.end
    return work.end - timedelta(minutes=work.minutes), work.end


def _drawn(world: World, works: Iterable[Work]) -> Iterable[Stretch]:
    """Work as stretches: what was done together is one, with the tags of all its jobs."""
    tags: dict[Span, list[str]] = defaultdict(list)
    for work in works:
        tags[_span(work)].append(world.jobs[work.job].tag)
    for (start, end), of in tags.items():
        yield Stretch(start, end, " ".join(dict.fromkeys(of)), shop=False)


def _idle(shop: Iterable[tuple[str, Span]]) -> Iterable[Stretch]:
    for name, (start, end) in shop:
        yield Stretch(start, end, name, shop=True)
