"""The first day's answers about the shop itself, who works in it and its rooms, written down once each."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any, Literal
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import RoomProfile
from shoptrack.errors import BadInput
from shoptrack.flows.first_day.steps import STEPS, go_on
from shoptrack.flows.first_day.ways import ways_of
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, note_made
from shoptrack.store.hours import say_week, weeks_of
from shoptrack.store.shop import (
    PLAIN_DAY,
    find_shop,
    list_people,
    list_rooms,
    make_person,
    make_room,
    make_shop,
)

Span = tuple[time, time]


@dataclass(frozen=True, slots=True)
class Hours:
    """A working day that is the same on each of the days (0 Monday); ``lunch`` None: straight through."""

    opens: time
    closes: time
    lunch: Span | None
    days: frozenset[int]

    def spans(self) -> tuple[Span, ...]:
        """The spans of work. Raises BadInput, by its field, for hours that can't be worked."""
        if self.opens >= self.closes:
            raise BadInput("Work must begin before it ends.", "closes")
        if not self.days:
            raise BadInput("Tick at least one day of work.", "days")
        if self.lunch is None:
            return ((self.opens, self.closes),)
        if not self.opens < self.lunch[0] < self.lunch[1] < self.closes:
            raise BadInput("Lunch must lie within the working day.", "lunch_from")
        return ((self.opens, self.lunch[0]), (self.lunch[1], self.closes))


PLAIN_HOURS = Hours(PLAIN_DAY[0][0], PLAIN_DAY[1][1], (PLAIN_DAY[0][1], PLAIN_DAY[1][0]), frozenset(range(5)))


@dataclass(frozen=True, slots=True)
class ShopAnswers:
    """What the first step asks: name, zone, how things are written, and the working hours.

    ``hours`` None: its days differ, so they stay as they are; they are said in the Shop.
    """

    name: str
    zone: str
    length_unit: Literal["in", "mm"]
    temperature_unit: Literal["F", "C"]
    currency: str
    clock_24h: bool
    hours: Hours | None


def usual_answers(zone: str) -> ShopAnswers:
    """What the form is filled with before there is a shop. Takes the machine's zone."""
    ways = ways_of(zone)
    return ShopAnswers(
        "Our shop", zone, ways.length_unit, ways.temperature_unit, ways.currency, ways.clock_24h, PLAIN_HOURS
    )


def answers_of(session: Session, zone: str) -> ShopAnswers:
    """What the form is filled with: the shop as it is, or the usual before there is one."""
    row = find_shop(session)
    if row is None:
        return usual_answers(zone)
    return ShopAnswers(
        row.name,
        row.zone,
        "mm" if row.length_unit == "mm" else "in",
        "C" if row.temperature_unit == "C" else "F",
        row.currency,
        row.clock_24h,
        hours_of(session) if days_alike(session) else None,
    )


def hours_of(session: Session) -> Hours:
    """The shop's newest week, as far as one working day can say it; the plain one where there is none."""
    weeks = weeks_of(session, None)
    worked = {day: spans for day, spans in enumerate(weeks[-1].days) if spans} if weeks else {}
    if not worked:
        return PLAIN_HOURS
    first = next(iter(worked.values()))
    lunch = (first[0][1], first[1][0]) if len(first) > 1 else None
    return Hours(first[0][0], first[-1][1], lunch, frozenset(worked))


def days_alike(session: Session) -> bool:
    """Whether one working day says all of the shop's newest week."""
    weeks = weeks_of(session, None)
    worked = {spans for spans in weeks[-1].days if spans} if weeks else set()
    return len(worked) <= 1 and all(len(spans) <= 2 for spans in worked)


def save_shop(store: Store, said: ShopAnswers, who: int | None, now: datetime) -> str | None:
    """Make the shop, or change it where it is there already; gives the next step.

    Raises BadInput, by its field, for hours that can't be worked, or are not said of a new shop.
    """
    spans = said.hours.spans() if said.hours else ()
    with store.writing() as session:
        row = find_shop(session)
        if row is None:
            if said.hours is None:
                raise BadInput("When work begins is missing.", "opens")
            _new_shop(session, said, who, now)
        else:
            edit(session, row, who, now, **_columns(said))
        if said.hours and (row is None or said.hours != hours_of(session)):
            days = [spans if day in said.hours.days else () for day in range(7)]
            today = now.astimezone(ZoneInfo(said.zone)).date()
            say_week(session, from_on=today, days=days, person=None, who=who, now=now)
        return go_on(session, "shop")


def _new_shop(session: Session, said: ShopAnswers, who: int | None, now: datetime) -> None:
    ways = {name: value for name, value in _columns(said).items() if name not in ("name", "zone")}
    row = make_shop(session, said.name, said.zone, now, **ways, first_day=next(iter(STEPS)))
    note_made(session, row, who, now)


def _columns(said: ShopAnswers) -> dict[str, Any]:
    """The columns of the shop's row that the answers fill."""
    names = ("name", "zone", "length_unit", "temperature_unit", "currency", "clock_24h")
    return {name: getattr(said, name) for name in names}


def save_people(
    store: Store, names: Iterable[str], who: int | None, now: datetime
) -> tuple[str | None, int | None]:
    """Add those whose names are not there yet; gives the next step, and the id of the first name.

    Raises BadInput where nobody works here and nobody is named.
    """
    with store.writing() as session:
        there = {p.name.casefold(): p for p in list_people(session)}
        place = max((p.position for p in there.values()), default=0)
        first: int | None = None
        for name in names:
            if name.casefold() not in there:
                place += 1
                there[name.casefold()] = row = make_person(session, name, position=place)
                note_made(session, row, who, now)
            first = first if first is not None else there[name.casefold()].id
        if not there:
            raise BadInput("Write at least one name.", "names")
        return go_on(session, "people"), first


@dataclass(frozen=True, slots=True)
class RoomAnswer:
    """A room with its usual warmth while people work and at night."""

    name: str
    heated_c: float
    unheated_c: float


def save_rooms(store: Store, said: Collection[RoomAnswer], who: int | None, now: datetime) -> str | None:
    """Add the rooms that are not there yet, heated in the shop's hours, all months alike.

    Gives the next step.
    """
    with store.writing() as session:
        hours, there = hours_of(session), {r.name.casefold() for r in list_rooms(session)}
        for room in said:
            if room.name.casefold() in there:
                continue
            there.add(room.name.casefold())
            usual = RoomProfile((room.heated_c,) * 12, (room.unheated_c,) * 12, hours.opens, hours.closes)
            note_made(session, make_room(session, room.name, from_at=now, usual=usual), who, now)
        return go_on(session, "rooms")
